"""Compiled kernels that follow light backwards from the eye through a body of two media.

Lengths are in units of the body's reference length, coefficients in its inverse. The line between
the media is the plane z = 0; the first medium lies above it. All kernels stand in this one file:
see `partline.numerics.compiled`.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from partline.numerics.compiled import compiled

Array = NDArray[np.floating]
Indices = NDArray[np.integer]

kernel = compiled(__file__)
small = compiled(__file__, inlined=True)

#: Walls that an unscattered line of sight is followed to, and the share that may be left of it.
MOST_WALLS = 40
LEAST = 1e-4
#: Free paths, of the transport length, that the nearest skin or line must lie off before light is
#: let diffuse to a sphere of that radius in one stride.
FAR = 5.0
#: Where the walk of light on spheres is tabled up to; the rest of its tail is one exponential.
TABLED = 0.9
#: Walls after which a wandering path is given up: light that total reflection keeps in a body
#: which hardly scatters. Half of it is taken to come from either side; the kernel counts them.
MOST_VISITS = 500
#: How far light is moved on that stands a rounding outside the skin.
NUDGE = 1e-5
#: A stride may be this share of the local half thickness before the skin is asked for again.
STRIDE = 0.5


def _exit_times(count: int = 513) -> Array:
    """Return the times D·t/ρ² at which a diffusing point first leaves a sphere about its start.

    At even steps of the share that has left, from 0 to `TABLED`; the share that stays is
    2 Σ (−1)^(k+1) exp(−k²π²t).
    """
    time = np.linspace(1e-3, 0.5, 20001)
    k = np.arange(1, 60)[:, None]
    left = 1 - 2 * ((-1.0) ** (k + 1) * np.exp(-((k * np.pi) ** 2) * time)).sum(axis=0)
    found = np.interp(np.linspace(0.0, TABLED, count), np.maximum.accumulate(left), time)
    return np.asarray(found)


EXIT_TIMES = _exit_times()
#: Cosine and sine round the circle: a look-up costs a fraction of the two functions.
_TURNS = 2 * np.pi * (np.arange(4096) + 0.5) / 4096
CIRCLE = np.stack([np.cos(_TURNS), np.sin(_TURNS)], axis=1)


class Skin(NamedTuple):
    """Where the skin is: ``y²/W + z²/H = ρ²`` with W, H by place, ρ² by place and direction.

    Parameters
    ----------
    width, above, below : ndarray, shape (places,)
        Squares of the half width and of the half heights above and below the line.
    radius : ndarray, shape (places, 2, directions)
        Squares ρ² above and below, at even steps of the share v/(u + v).
    inner : ndarray, shape (places,)
        Radius of a circle about the middle of the line that lies within the section, over the
        least of w and h; 1 of domes and boxes.
    length : float
        Of the body.
    is_domed : bool
        Whether every ρ² is 1.
    """

    width: Array
    above: Array
    below: Array
    radius: Array
    inner: Array
    length: float
    is_domed: bool


@small
def _radius(skin: Skin, i: int, f: float, side: int, share: float) -> float:
    last = skin.radius.shape[2] - 1
    t = share * last
    j = min(int(t), last - 1)
    g = t - j
    low = skin.radius[i, side, j] * (1 - g) + skin.radius[i, side, j + 1] * g
    high = skin.radius[i + 1, side, j] * (1 - g) + skin.radius[i + 1, side, j + 1] * g
    return low * (1 - f) + high * f


@small
def _place(skin: Skin, x: float) -> tuple[int, float]:
    last = skin.width.size - 1
    t = min(max(x / skin.length, 0.0), 1.0) * last
    i = min(int(t), last - 1)
    return i, t - i


@small
def _turn(across: float, upright: float) -> float:
    """Share v/(u + v) of squares of u and v, which tells a direction."""
    v = math.sqrt(upright)
    return v / (math.sqrt(across) + v)


@small
def level(skin: Skin, x: float, y: float, z: float) -> float:
    """Negative inside the body, zero on its skin, positive outside."""
    i, f = _place(skin, x)
    width = skin.width[i] * (1 - f) + skin.width[i + 1] * f + 1e-12
    if z >= 0:
        height = skin.above[i] * (1 - f) + skin.above[i + 1] * f + 1e-12
    else:
        height = skin.below[i] * (1 - f) + skin.below[i + 1] * f + 1e-12
    across, upright = y * y / width, z * z / height
    total = across + upright
    reach = 1.0
    if not skin.is_domed and total > 0:
        reach = _radius(skin, i, f, 0 if z >= 0 else 1, _turn(across, upright))
    return max(total - reach, max(-x, x - skin.length))


@small
def _stride(skin: Skin, x: float) -> float:
    i, f = _place(skin, x)
    width = skin.width[i] * (1 - f) + skin.width[i + 1] * f
    above = skin.above[i] * (1 - f) + skin.above[i + 1] * f
    below = skin.below[i] * (1 - f) + skin.below[i + 1] * f
    return STRIDE * math.sqrt(min(width, max(above, below))) + 1e-3


@small
def _room(skin: Skin, x: float, y: float, z: float) -> float:
    """Distance that the skin is at least off a point inside, rather too little than too much."""
    i, f = _place(skin, x)
    width = skin.width[i] * (1 - f) + skin.width[i + 1] * f + 1e-12
    if z >= 0:
        height = skin.above[i] * (1 - f) + skin.above[i + 1] * f + 1e-12
        rise = abs(skin.above[i + 1] - skin.above[i])
    else:
        height = skin.below[i] * (1 - f) + skin.below[i + 1] * f + 1e-12
        rise = abs(skin.below[i + 1] - skin.below[i])
    across, upright = y * y / width, z * z / height
    total = across + upright
    reach = 1.0
    if not skin.is_domed and total > 0:
        reach = _radius(skin, i, f, 0 if z >= 0 else 1, _turn(across, upright))
    rise = max(rise, abs(skin.width[i + 1] - skin.width[i]))
    least = math.sqrt(min(width, height))
    slope = 0.5 * rise / least * (skin.width.size - 1) / skin.length
    inner = min(skin.inner[i], skin.inner[i + 1])
    room = 0.8 * inner * (1 - math.sqrt(total / reach)) * least / math.sqrt(1 + slope * slope)
    return min(room, 0.5 * x, 0.5 * (skin.length - x))


@small
def _exit_time(u: float) -> float:
    if u >= TABLED:
        return -math.log(0.5 * (1 - u)) / (math.pi * math.pi)
    t = u / TABLED * (EXIT_TIMES.size - 1)
    i = min(int(t), EXIT_TIMES.size - 2)
    return EXIT_TIMES[i] + (t - i) * (EXIT_TIMES[i + 1] - EXIT_TIMES[i])


@small
def _crossing(
    skin: Skin, x: float, y: float, z: float, dx: float, dy: float, dz: float, far: float,
    level_far: float,
) -> float:  # fmt: skip
    """Distance to the skin between an inner point and an outer one, by the Illinois rule."""
    low, high = 0.0, far
    f_low, f_high = min(level(skin, x, y, z), -1e-9), level_far
    side = 0
    for _ in range(30):
        middle = high - f_high * (high - low) / (f_high - f_low)
        f = level(skin, x + middle * dx, y + middle * dy, z + middle * dz)
        if f > 0:
            high, f_high = middle, f
            if side == 1:
                f_low *= 0.5
            side = 1
        else:
            low, f_low = middle, f
            if f > -1e-7:
                break
            if side == -1:
                f_high *= 0.5
            side = -1
        if high - low < 1e-9:
            break
    return low


@small
def free_way(
    skin: Skin, x: float, y: float, z: float, dx: float, dy: float, dz: float, far: float
) -> tuple[float, bool]:
    """Return how far light gets towards `far`, and whether the skin stopped it."""
    gone = 0.0
    while True:
        step = min(_stride(skin, x + gone * dx), far - gone)
        end = gone + step
        f = level(skin, x + end * dx, y + end * dy, z + end * dz)
        if f > 0:
            way = _crossing(skin, x + gone * dx, y + gone * dy, z + gone * dz, dx, dy, dz, step, f)
            return gone + way, True
        gone = end
        if gone >= far:
            return far, False


@small
def normal(skin: Skin, x: float, y: float, z: float) -> tuple[float, float, float]:
    """Outward unit normal at a point of the skin."""
    e = 2e-4
    nx = level(skin, x + e, y, z) - level(skin, x - e, y, z)
    ny = level(skin, x, y + e, z) - level(skin, x, y - e, z)
    nz = level(skin, x, y, z + e) - level(skin, x, y, z - e)
    size = math.sqrt(nx * nx + ny * ny + nz * nz)
    if size == 0.0:
        return 1.0, 0.0, 0.0
    return nx / size, ny / size, nz / size


@small
def _reflectance(cosine: float, index: float) -> float:
    """Fresnel, from inside."""
    square = 1 - index * index * (1 - cosine * cosine)
    if square <= 0:
        return 1.0
    out = math.sqrt(square)
    s = (index * cosine - out) / (index * cosine + out)
    p = (cosine - index * out) / (cosine + index * out)
    return 0.5 * (s * s + p * p)


@small
def _next(state: np.uint64) -> tuple[np.uint64, float]:
    """Return the next state of a xorshift generator and a number in (0, 1)."""
    state ^= state << np.uint64(13)
    state ^= state >> np.uint64(7)
    state ^= state << np.uint64(17)
    return state, (float(state >> np.uint64(11)) + 0.5) * (1.0 / 9007199254740992.0)


@small
def _turned(
    dx: float, dy: float, dz: float, cosine: float, share: float
) -> tuple[float, float, float]:
    """Return a direction turned by the angle of that cosine, and by that share of a turn."""
    sine = math.sqrt(max(0.0, 1 - cosine * cosine))
    i = int(share * CIRCLE.shape[0])
    a, b = sine * CIRCLE[i, 0], sine * CIRCLE[i, 1]
    if abs(dx) < 0.9:
        k = math.sqrt(1 - dx * dx)
        a /= k
        b /= k
        return (
            cosine * dx - a * k * k,
            cosine * dy + a * dx * dy - b * dz,
            cosine * dz + a * dx * dz + b * dy,
        )
    k = math.sqrt(1 - dz * dz)
    a /= k
    b /= k
    return (
        cosine * dx + a * dz * dx - b * dy,
        cosine * dy + a * dz * dy + b * dx,
        cosine * dz - a * k * k,
    )


@small
def _sampled_cosine(u: float, g: float) -> float:
    """Henyey-Greenstein."""
    if g == 0.0:
        return 2 * u - 1
    q = (1 - g * g) / (1 - g + 2 * g * u)
    return (1 + g * g - q * q) / (2 * g)


@small
def _is_to_front(
    dx: float, dy: float, dz: float, nx: float, ny: float, nz: float, index: float,
    ey: float, ez: float,
) -> bool:  # fmt: skip
    """Whether light that leaves along d came from the eye's half space, e towards the eye."""
    c = dx * nx + dy * ny + dz * nz
    out = math.sqrt(max(0.0, 1 - index * index * (1 - c * c)))
    k = out - index * c
    return (index * dy + k * ny) * ey + (index * dz + k * nz) * ez > 0


@kernel
def entry(
    skin: Skin, x: float, y: float, z: float, ey: float, ez: float, index: float
) -> tuple[float, float, float, float]:
    """Return the direction inside of a line of sight at the skin, and its cosine outside."""
    nx, ny, nz = normal(skin, x, y, z)
    c = max(ey * ny + ez * nz, 1e-6)
    inside = math.sqrt(1 - (1 - c * c) / (index * index))
    k = c / index - inside
    dx, dy, dz = k * nx, -ey / index + k * ny, -ez / index + k * nz
    size = 1 / math.sqrt(dx * dx + dy * dy + dz * dz)
    return dx * size, dy * size, dz * size, c


@kernel
def sightline(
    skin: Skin, start: Array, eye: Array, index: float, legs: Array, exits: Array
) -> tuple[int, int]:
    """Follow a line of sight that meets nothing but the skin.

    Fills `legs` (place, direction, length, medium, weight; lengths l1 and l2 before) and `exits`
    (weight, l1, l2, whether to the front) and returns how many there are of each.
    """
    x, y, z = start[0], start[1], start[2]
    dx, dy, dz, _ = entry(skin, x, y, z, eye[1], eye[2], index)
    weight, l1, l2 = 1.0, 0.0, 0.0
    above = z > 0 or (z == 0 and dz > 0)
    n_legs, n_exits, walls = 0, 0, 0
    while walls < MOST_WALLS and n_legs < legs.shape[0] and weight > LEAST:
        far = 1e30
        if (above and dz < 0) or (not above and dz > 0):
            far = max(-z / dz, 0.0)
        way, is_skin = free_way(skin, x, y, z, dx, dy, dz, min(far, 1e6))
        legs[n_legs] = (x, y, z, dx, dy, dz, way, 0.0 if above else 1.0, weight, l1, l2)
        n_legs += 1
        x += dx * way
        y += dy * way
        z += dz * way
        if above:
            l1 += way
        else:
            l2 += way
        if not is_skin:
            above = not above
            z = 0.0
            continue
        walls += 1
        nx, ny, nz = normal(skin, x, y, z)
        c = dx * nx + dy * ny + dz * nz
        if c <= 0:  # on its way in: the start lay a rounding outside
            x += NUDGE * dx
            y += NUDGE * dy
            z += NUDGE * dz
            continue
        kept = _reflectance(c, index)
        if kept < 1.0:
            front = _is_to_front(dx, dy, dz, nx, ny, nz, index, eye[1], eye[2])
            exits[n_exits] = (weight * (1 - kept), l1, l2, 0.0 if front else 1.0)
            n_exits += 1
        weight *= kept
        dx -= 2 * c * nx
        dy -= 2 * c * ny
        dz -= 2 * c * nz
    return n_legs, n_exits


@small
def _diffused(
    skin: Skin, x: float, y: float, z: float, dx: float, dy: float, dz: float, thin: float,
    room: float, state: np.uint64,
) -> tuple[float, float, float, float, float, float, float, np.uint64]:  # fmt: skip
    """Let light that collides far from skin and line diffuse until it is near one of them.

    `thin` is the inverse of the transport length and `room` how far they are off. Returns where
    it comes to, the length of its way, and its direction, which is any.
    """
    # It still remembers where it came from: one free path of the transport length makes up for it.
    state, u = _next(state)
    way = min(-math.log(u) / thin, 0.5 * room)
    x += way * dx
    y += way * dy
    z += way * dz
    room = min(_room(skin, x, y, z), abs(z))
    while thin * room > FAR:
        state, u = _next(state)
        state, v = _next(state)
        up = 2 * u - 1
        across = room * math.sqrt(1 - up * up)
        i = int(v * CIRCLE.shape[0])
        x += across * CIRCLE[i, 0]
        y += across * CIRCLE[i, 1]
        z += room * up
        state, u = _next(state)
        way += 3 * thin * room * room * _exit_time(u)
        room = min(_room(skin, x, y, z), abs(z))
    state, u = _next(state)
    state, v = _next(state)
    dz = 2 * u - 1
    across = math.sqrt(1 - dz * dz)
    i = int(v * CIRCLE.shape[0])
    return x, y, z, way, across * CIRCLE[i, 0], across * CIRCLE[i, 1], dz, state


@small
def _wander(
    skin: Skin, x: float, y: float, z: float, dx: float, dy: float, dz: float, above: bool,
    s1: float, s2: float, g1: float, g2: float, index: float, ey: float, ez: float, l1: float,
    l2: float, state: np.uint64,
) -> tuple[int, float, float, np.uint64]:  # fmt: skip
    """Follow light after a collision until it leaves: 0 to the front, 1 to the back, 2 lost."""
    walls, clear = 0, 0.0
    state, u = _next(state)
    depth = -math.log(u)
    while True:
        far = 1e30
        if (above and dz < 0) or (not above and dz > 0):
            far = max(-z / dz, 0.0)
        s, g = (s1, g1) if above else (s2, g2)
        meets_line = depth >= s * far
        way = far if meets_line else depth / s if s > 0 else 1e6
        is_skin = False
        if way > clear:
            way, is_skin = free_way(skin, x, y, z, dx, dy, dz, min(way, 1e6))
            clear = 0.0
        else:
            clear -= way
        if above:
            l1 += way
        else:
            l2 += way
        x += dx * way
        y += dy * way
        z += dz * way
        if is_skin:
            depth -= s * way
            walls += 1
            nx, ny, nz = normal(skin, x, y, z)
            c = dx * nx + dy * ny + dz * nz
            if c <= 0 and walls <= MOST_VISITS:
                x += NUDGE * dx
                y += NUDGE * dy
                z += NUDGE * dz
                continue
            state, u = _next(state)
            if u >= _reflectance(c, index):
                front = _is_to_front(dx, dy, dz, nx, ny, nz, index, ey, ez)
                return (0 if front else 1), l1, l2, state
            if walls > MOST_VISITS:
                return 2, l1, l2, state
            dx -= 2 * c * nx
            dy -= 2 * c * ny
            dz -= 2 * c * nz
            continue
        if meets_line:
            depth -= s * way
            above = not above
            z = 0.0
            clear = 0.0  # the other half may be thinner
            continue
        if clear == 0.0:
            clear = _room(skin, x, y, z)
        room = min(clear, abs(z))
        thin = s * (1 - g)
        if thin * room > FAR:
            x, y, z, way, dx, dy, dz, state = _diffused(
                skin, x, y, z, dx, dy, dz, thin, room, state
            )
            if above:
                l1 += way
            else:
                l2 += way
            clear = _room(skin, x, y, z)
        else:
            state, u = _next(state)
            state, v = _next(state)
            dx, dy, dz = _turned(dx, dy, dz, _sampled_cosine(u, g), v)
        state, u = _next(state)
        depth = -math.log(u)


@kernel
def respond(
    skin: Skin, start: Array, eye: Array, index: float, scattering: Array, anisotropy: Array,
    absorption: Array, paths: Indices, seed: int, out: Array,
) -> int:  # fmt: skip
    """Fill the scattered light that one line of sight gathers, for every pair of media.

    `scattering`, `anisotropy` and `absorption` are the nodes of one medium (μs and its mean
    cosine, and μa); `paths` says how many are followed for each pair of scattering nodes; `out` is
    (batches, lights, scattering 1, scattering 2, absorption 1, absorption 2), the lights being 1
    all over the eye's half space and all over the one behind. Returns how many paths were lost.
    """
    legs, exits = np.empty((3 * MOST_WALLS, 11)), np.empty((MOST_WALLS, 4))
    n_legs, _ = sightline(skin, start, eye, index, legs, exits)
    n, m, batches = scattering.size, absorption.size, out.shape[0]
    e1, e2 = np.empty(m), np.empty(m)
    chance = np.empty(n_legs)
    lost = 0
    state = np.uint64(seed) * np.uint64(0x9E3779B97F4A7C15) + np.uint64(0x632BE59BD9B4E019)
    for _ in range(4):
        state, _u = _next(state)
    for i in range(n):
        for j in range(n):
            s1, s2 = scattering[i], scattering[j]
            out[:, :, i, j] = 0.0
            total, last = 0.0, 0
            for k in range(n_legs):
                s = s1 if legs[k, 7] == 0 else s2
                before = math.exp(-s1 * legs[k, 9] - s2 * legs[k, 10])
                chance[k] = legs[k, 8] * before * -math.expm1(-s * legs[k, 6])
                total += chance[k]
                if chance[k] > 0:
                    last = k
            if total < 1e-12:
                continue
            count = paths[i, j]
            for batch in range(batches):
                share = total / count
                # Even steps with one random shift: the first collision is spread along the line
                # of sight, its two angles as a Kronecker sequence.
                state, shift = _next(state)
                state, shift_u = _next(state)
                state, shift_v = _next(state)
                for p in range(count):
                    pick = (p + shift) / count * total
                    k = 0
                    while k < last and pick >= chance[k]:
                        pick -= chance[k]
                        k += 1
                    above = legs[k, 7] == 0
                    s, g = (s1, anisotropy[i]) if above else (s2, anisotropy[j])
                    u = min(max(pick / chance[k], 0.0), 1.0)
                    way = min(-math.log1p(u * math.expm1(-s * legs[k, 6])) / s, legs[k, 6])
                    l1, l2 = legs[k, 9], legs[k, 10]
                    if above:
                        l1 += way
                    else:
                        l2 += way
                    u = (shift_u + p * 0.7548776662466927) % 1.0
                    v = (shift_v + p * 0.5698402909980532) % 1.0
                    dx, dy, dz = _turned(
                        legs[k, 3], legs[k, 4], legs[k, 5],
                        _sampled_cosine(u, g), v,
                    )  # fmt: skip
                    where, l1, l2, state = _wander(
                        skin, legs[k, 0] + way * legs[k, 3], legs[k, 1] + way * legs[k, 4],
                        legs[k, 2] + way * legs[k, 5], dx, dy, dz, above, s1, s2,
                        anisotropy[i], anisotropy[j], index, eye[1], eye[2], l1, l2, state,
                    )  # fmt: skip
                    if where == 2:
                        lost += 1
                        where = lost % 2
                    for a in range(m):
                        e1[a] = math.exp(-absorption[a] * l1)
                        e2[a] = share * math.exp(-absorption[a] * l2)
                    for a in range(m):
                        for b in range(m):
                            out[batch, where, i, j, a, b] += e1[a] * e2[b]
    return lost


@kernel
def follow(
    skin: Skin, starts: Array, eye: Array, index: float, least: float, count: Indices, exits: Array
) -> None:
    """Fill where unscattered lines of sight come out.

    `exits` is (points, most, 4): weight, l1, l2, and 0 for the eye's half space or 1; the
    strongest first come, and what is left below `least` is not followed. `count` is (points,).
    """
    legs, found = np.empty((3 * MOST_WALLS, 11)), np.empty((MOST_WALLS, 4))
    most = exits.shape[1]
    for p in range(starts.shape[0]):
        _, n = sightline(skin, starts[p], eye, index, legs, found)
        kept = 0
        for k in range(n):
            if found[k, 0] >= least and kept < most:
                exits[p, kept] = found[k]
                kept += 1
        count[p] = kept


@kernel
def direct(count: Indices, exits: Array, extinction: Array, back: Array, out: Array) -> None:
    """Fill unscattered light, (points, wavelengths); `extinction` is (wavelengths, 2)."""
    for p in range(out.shape[0]):
        for q in range(out.shape[1]):
            out[p, q] = 0.0
        for k in range(count[p]):
            weight, l1, l2 = exits[p, k, 0], exits[p, k, 1], exits[p, k, 2]
            is_front = exits[p, k, 3] == 0
            for q in range(out.shape[1]):
                light = weight if is_front else weight * back[q]
                out[p, q] += light * math.exp(-extinction[q, 0] * l1 - extinction[q, 1] * l2)


@kernel
def meet(
    skin: Skin, places: Array, heights: Array, up: Array, towards: Array, starts: Array,
    cosines: Array,
) -> None:  # fmt: skip
    """Fill where lines of sight meet the skin, and the cosine between its normal and the eye.

    `places` along the body and `heights` upwards in the picture, shape (points,); `up` and
    `towards` the eye are directions across the body, y and z; `starts` is (points, 3). A line of
    sight that misses the body gets a cosine of 0 and starts on the axis.
    """
    for p in range(places.size):
        x, h = places[p], heights[p]
        outer, step = 3.0, 0.02
        found = False
        while outer > -3.0:
            t = outer - step
            if level(skin, x, h * up[0] + t * towards[0], h * up[1] + t * towards[1]) < 0:
                found = True
                break
            outer = t
        cosines[p] = 0.0
        starts[p] = (x, 0.0, 0.0)
        if not found:
            continue
        low, high = outer - step, outer
        for _ in range(40):
            t = 0.5 * (low + high)
            if level(skin, x, h * up[0] + t * towards[0], h * up[1] + t * towards[1]) < 0:
                low = t
            else:
                high = t
        y, z = h * up[0] + low * towards[0], h * up[1] + low * towards[1]
        _, ny, nz = normal(skin, x, y, z)
        cosines[p] = max(ny * towards[0] + nz * towards[1], 0.0)
        starts[p] = (x, y, z)
