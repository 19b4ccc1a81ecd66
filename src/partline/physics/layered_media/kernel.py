"""Compiled kernels of the layered-media solver; `SlabSolver` explains the method.

Every array ends in LANES wavelengths that are worked on side by side, and every innermost loop
runs over them, so that the compiler fills the processor's vector registers. Symmetric matrices
use their lower triangle only. All kernels stand in this one file: see
`partline.numerics.compiled`.

Notation: u = √(μw)·I is the light of each direction; at an interface s = u_in + u_out and
d = u_in − u_out, seen from the body below it. That body is known by its admittance y: d = y s.
In the modes of a medium, s = Z ŝ and d = X d̂ with X = Z⁻ᵀ, a layer is diagonal.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from partline.numerics.compiled import compiled

Array = NDArray[np.floating]
Indices = NDArray[np.integer]

# Kernels read the number of lanes from their arrays: the compiler unrolls a loop of constant
# length before it thinks of vectors, and then finds none.
LANES = 32
MOST_SWEEPS = 16

kernel = compiled(__file__)
lanewise = compiled(__file__, inlined=True)


class Nodes(NamedTuple):
    """What the kernels need to know of the directions and surfaces, by direction.

    The admittances are (1 − r)/(1 + r); `light` and `leak` are the patterns in which diffuse
    light meets the upper and the lower surface; `legendre` has the order first.
    """

    inverse_cosine: Array
    legendre: Array
    top_admittance: Array
    bottom_admittance: Array
    light: Array
    leak: Array


class Modes(NamedTuple):
    """Media in their modes; every array begins with (media, blocks) and ends with (lanes,).

    Decay rates Λ, Z and X; the surfaces as matrices, the patterns as vectors, in these modes;
    and the extinction of each medium.
    """

    rate: Array
    light: Array
    leak: Array
    to_space: Array
    from_sum: Array
    top: Array
    bottom: Array
    extinction: Array


# -- one entry of all lanes ------------------------------------------------------------------


@lanewise
def _clear(x: Array) -> None:
    for lane in range(x.size):
        x[lane] = 0.0


@lanewise
def _add(x: Array, a: Array, b: Array) -> None:
    for lane in range(x.size):
        x[lane] += a[lane] * b[lane]


@lanewise
def _add_scaled(x: Array, factor: float, a: Array) -> None:
    for lane in range(x.size):
        x[lane] += factor * a[lane]


@lanewise
def _take(x: Array, a: Array, b: Array) -> None:
    for lane in range(x.size):
        x[lane] -= a[lane] * b[lane]


@lanewise
def _scale(x: Array, a: Array) -> None:
    for lane in range(x.size):
        x[lane] *= a[lane]


@lanewise
def _copy(a: Array, x: Array) -> None:
    for lane in range(x.size):
        x[lane] = a[lane]


@lanewise
def _turn(a: Array, b: Array, cosine: Array, sine: Array) -> None:
    for lane in range(a.size):
        x = a[lane]
        y = b[lane]
        a[lane] = cosine[lane] * x - sine[lane] * y
        b[lane] = sine[lane] * x + cosine[lane] * y


# -- media -----------------------------------------------------------------------------------


@kernel
def decompose(albedo: Array, moments: Array, nodes: Nodes, modes: Modes) -> int:
    """Fill the modes of each medium; return the Jacobi sweeps that the slowest one needed."""
    media, blocks, n, lanes = modes.rate.shape
    odd = np.empty((n, n, lanes))
    even = np.empty((n, n, lanes))
    product = np.empty((n, n, lanes))
    vectors = np.empty((n, n, lanes))
    inverse = np.empty((n, lanes))
    most = 0
    for medium in range(media):
        for block in range(blocks):
            _collisions(albedo[medium, block], moments[medium, block], 1, nodes, odd)
            _collisions(albedo[medium, block], moments[medium, block], 0, nodes, even)
            _cholesky(odd, inverse)
            _sandwich(even, odd, vectors, product)
            most = max(most, _eigen(product, vectors))
            _rates(product, modes.rate[medium, block])
            z = modes.to_space[medium, block]
            _lower_times(odd, vectors, z)
            _solve_transposed(odd, inverse, vectors, modes.from_sum[medium, block])
            _surface(z, nodes.top_admittance, modes.top[medium, block])
            _surface(z, nodes.bottom_admittance, modes.bottom[medium, block])
            _pattern(z, nodes.light, modes.light[medium, block])
            _pattern(z, nodes.leak, modes.leak[medium, block])
    return most


@kernel
def _collisions(albedo: Array, moments: Array, first: int, nodes: Nodes, out: Array) -> None:
    """Fill out = diag(1/μ) − a Σ χ_k v_k v_kᵀ over every other order k from `first`."""
    n, lanes = out.shape[0], out.shape[-1]
    gain = np.empty(lanes)
    for i in range(n):
        for j in range(i + 1):
            start = nodes.inverse_cosine[i] if i == j else 0.0
            for lane in range(lanes):
                out[i, j, lane] = start
    for k in range(first, n, 2):
        _clear(gain)
        _add(gain, albedo, moments[k])
        for i in range(n):
            for j in range(i + 1):
                _add_scaled(out[i, j], -nodes.legendre[k, i] * nodes.legendre[k, j], gain)


@kernel
def _cholesky(a: Array, inverse: Array) -> None:
    """Replace the lower triangle of a by its Cholesky factor; fill inverse = 1/L_jj."""
    n, lanes = a.shape[0], a.shape[-1]
    for j in range(n):
        for k in range(j):
            _take(a[j, j], a[j, k], a[j, k])
        for lane in range(lanes):
            a[j, j, lane] = math.sqrt(a[j, j, lane])
            inverse[j, lane] = 1.0 / a[j, j, lane]
        for i in range(j + 1, n):
            for k in range(j):
                _take(a[i, j], a[i, k], a[j, k])
            _scale(a[i, j], inverse[j])


@kernel
def _sandwich(f: Array, factor: Array, scratch: Array, out: Array) -> None:
    """Fill the lower triangle of out = Lᵀ F L."""
    n = f.shape[0]
    for i in range(n):
        for j in range(n):
            _clear(scratch[i, j])
            for k in range(j, n):
                _add(scratch[i, j], f[max(i, k), min(i, k)], factor[k, j])
    for i in range(n):
        for j in range(i + 1):
            _clear(out[i, j])
            for k in range(i, n):
                _add(out[i, j], factor[k, i], scratch[k, j])


@kernel
def _eigen(c: Array, q: Array) -> int:
    """Diagonalise symmetric c by cyclic Jacobi rotations; q gets the vectors, in columns."""
    n, lanes = c.shape[0], c.shape[-1]
    cosine = np.empty(lanes)
    sine = np.empty(lanes)
    for i in range(n):
        for j in range(n):
            for lane in range(lanes):
                q[i, j, lane] = 1.0 if i == j else 0.0
    for sweep in range(MOST_SWEEPS):
        if _is_diagonal(c, cosine, sine):
            return sweep
        for p in range(n - 1):
            for r in range(p + 1, n):
                _rotation(c[p, p], c[r, r], c[r, p], cosine, sine)
                _turn_symmetric(c, p, r, cosine, sine)
                for i in range(n):
                    _turn(q[i, p], q[i, r], cosine, sine)
    return MOST_SWEEPS


@kernel
def _turn_symmetric(c: Array, p: int, r: int, cosine: Array, sine: Array) -> None:
    """Rotate rows and columns p < r of the lower triangle c, beside the diagonal."""
    for i in range(p):
        _turn(c[p, i], c[r, i], cosine, sine)
    for i in range(p + 1, r):
        _turn(c[i, p], c[r, i], cosine, sine)
    for i in range(r + 1, c.shape[0]):
        _turn(c[i, p], c[i, r], cosine, sine)


@lanewise
def _rotation(first: Array, second: Array, between: Array, cosine: Array, sine: Array) -> None:
    """Find the rotation that clears the entry between two diagonal ones, and apply it to them."""
    for lane in range(cosine.size):
        x = between[lane]
        half = 0.5 * (second[lane] - first[lane])
        length = abs(half) + math.sqrt(x * x + half * half) + 1e-300
        tangent = math.copysign(1.0, half) * x / length
        cosine[lane] = 1.0 / math.sqrt(1.0 + tangent * tangent)
        sine[lane] = tangent * cosine[lane]
        first[lane] -= tangent * x
        second[lane] += tangent * x
        between[lane] = 0.0


@kernel
def _is_diagonal(c: Array, beside: Array, diagonal: Array) -> bool:
    """Tell whether what is left beside the diagonal is below rounding in every lane."""
    _clear(beside)
    _clear(diagonal)
    for i in range(c.shape[0]):
        _add(diagonal, c[i, i], c[i, i])
        for j in range(i):
            _add(beside, c[i, j], c[i, j])
    worst = 0.0
    for lane in range(beside.size):
        worst = max(worst, beside[lane] / diagonal[lane])
    return worst <= 1e-24


@kernel
def _rates(c: Array, out: Array) -> None:
    """Fill out = √ of the diagonal, with a floor: at rate 0, tanh(Λτ)/Λ must still be τ."""
    for i in range(c.shape[0]):
        for lane in range(c.shape[-1]):
            out[i, lane] = math.sqrt(max(c[i, i, lane], 1e-28))


@kernel
def _lower_times(factor: Array, q: Array, out: Array) -> None:
    """Fill out = L q."""
    n = q.shape[0]
    for i in range(n):
        for j in range(n):
            _clear(out[i, j])
            for k in range(i + 1):
                _add(out[i, j], factor[i, k], q[k, j])


@kernel
def _solve_transposed(factor: Array, inverse: Array, q: Array, out: Array) -> None:
    """Fill out = L⁻ᵀ q."""
    n = q.shape[0]
    for i in range(n - 1, -1, -1):
        for j in range(n):
            _copy(q[i, j], out[i, j])
            for k in range(i + 1, n):
                _take(out[i, j], factor[k, i], out[k, j])
            _scale(out[i, j], inverse[i])


@kernel
def _surface(z: Array, admittance: Array, out: Array) -> None:
    """Fill the lower triangle of out = Zᵀ diag(admittance) Z."""
    n, lanes = z.shape[0], z.shape[-1]
    for i in range(n):
        for j in range(i + 1):
            _clear(out[i, j])
            for k in range(n):
                left = z[k, i]
                right = z[k, j]
                for lane in range(lanes):
                    out[i, j, lane] += admittance[k] * left[lane] * right[lane]


@kernel
def _pattern(z: Array, vector: Array, out: Array) -> None:
    """Fill out = Zᵀ vector."""
    for i in range(z.shape[0]):
        _clear(out[i])
        for k in range(z.shape[0]):
            _add_scaled(out[i], vector[k], z[k, i])


# -- stacks ----------------------------------------------------------------------------------


@kernel
def couple(upper: Indices, lower: Indices, modes: Modes, out: Array) -> None:
    """Fill out = X_lowerᵀ Z_upper for each pair of media that touch."""
    n = modes.rate.shape[2]
    for pair in range(upper.size):
        for block in range(modes.rate.shape[1]):
            x = modes.from_sum[lower[pair], block]
            z = modes.to_space[upper[pair], block]
            m = out[pair, block]
            for i in range(n):
                for j in range(n):
                    _clear(m[i, j])
                    for k in range(n):
                        _add(m[i, j], x[k, i], z[k, j])


@kernel
def _change_modes(y: Array, m: Array, scratch: Array) -> None:
    """Replace y by Mᵀ y M: the body below, seen in the modes of the medium above."""
    n = y.shape[0]
    for i in range(n):
        for j in range(n):
            _clear(scratch[i, j])
            for k in range(n):
                _add(scratch[i, j], y[max(i, k), min(i, k)], m[k, j])
    for i in range(n):
        for j in range(i + 1):
            _clear(y[i, j])
            for k in range(n):
                _add(y[i, j], m[k, i], scratch[k, j])


class Fading(NamedTuple):
    """How the modes fade across a layer: tanh Λτ, sech Λτ and tanh(Λτ)/Λ; (nodes, lanes) each."""

    tangent: Array
    secant: Array
    depth: Array


@kernel
def _fade(rate: Array, extinction: Array, thickness: float, fading: Fading) -> None:
    """Fill the fading of a layer, right at both ends of Λτ."""
    for i in range(rate.shape[0]):
        for lane in range(rate.shape[1]):
            z = rate[i, lane] * extinction[lane] * thickness
            e = math.exp(-z)
            square = 1.0 + e * e
            fading.tangent[i, lane] = -math.expm1(-z) * (1.0 + e) / square
            fading.secant[i, lane] = 2.0 * e / square
            fading.depth[i, lane] = fading.tangent[i, lane] / rate[i, lane]


@kernel
def _in_series(y: Array, depth: Array, column: Array, share: Array, less: Array) -> None:
    """Replace y by (y⁻¹ + diag(depth))⁻¹, one mode at a time.

    Each mode takes a matrix of rank one away: nothing is inverted, so y may be singular and a
    depth may be 0.
    """
    n, lanes = y.shape[0], y.shape[-1]
    for k in range(n):
        for i in range(n):
            _copy(y[max(i, k), min(i, k)], column[i])
        for lane in range(lanes):
            share[lane] = 1.0 / (1.0 + depth[k, lane] * column[k, lane])
        for i in range(n):
            for lane in range(lanes):
                less[lane] = depth[k, lane] * share[lane] * column[i, lane]
            for j in range(i + 1):
                _take(y[i, j], less, column[j])
        for i in range(n):  # the mode's own row, without cancellation
            _copy(column[i], y[max(i, k), min(i, k)])
            _scale(y[max(i, k), min(i, k)], share)


@kernel
def _faded(y: Array, rate: Array, fading: Fading) -> None:
    """Replace y by Λ tanh Λτ + sech Λτ · y · sech Λτ."""
    for i in range(y.shape[0]):
        for j in range(i + 1):
            _scale(y[i, j], fading.secant[i])
            _scale(y[i, j], fading.secant[j])
        _add(y[i, i], rate[i], fading.tangent[i])


@kernel
def _under(surface: Array, leak: Array, give: Array, y: Array) -> None:
    """Fill y with what lies under the lowest layer: its surface and a Lambertian backing."""
    for i in range(y.shape[0]):
        for j in range(i + 1):
            for lane in range(y.shape[-1]):
                returned = give[lane] * leak[i, lane] * leak[j, lane]
                y[i, j, lane] = surface[i, j, lane] - returned


@kernel
def _light_up(y: Array, surface: Array, source: Array, field: Array) -> None:
    """Fill field = (surface + y)⁻¹ source by an L D Lᵀ factorisation; y is used up."""
    n, lanes = y.shape[0], y.shape[-1]
    for i in range(n):
        _copy(source[i], field[i])
        for j in range(i + 1):
            for lane in range(lanes):
                y[i, j, lane] += surface[i, j, lane]
    for j in range(n):
        _eliminate(y, j, field)
    for i in range(n - 1, -1, -1):
        _scale(field[i], y[i, i])
        for k in range(i + 1, n):
            _take(field[i], y[k, i], field[k])


@kernel
def _eliminate(y: Array, j: int, field: Array) -> None:
    """Clear column j below the diagonal, which keeps 1/D_j; the column keeps L."""
    lanes = y.shape[-1]
    for lane in range(lanes):
        y[j, j, lane] = 1.0 / y[j, j, lane]
    for i in range(y.shape[0] - 1, j, -1):  # from below: column j above i is still unscaled
        for lane in range(lanes):
            low = y[i, j, lane] * y[j, j, lane]
            y[i, i, lane] -= low * y[i, j, lane]
            y[i, j, lane] = low
        for k in range(j + 1, i):
            _take(y[i, k], y[i, j], y[k, j])
        _take(field[i], y[i, j], field[j])


class Stacks(NamedTuple):
    """Stacks of layers: media from the top (stacks, layers), the pair of media below each layer
    (stacks, layers − 1), thickness (stacks, layers), backing (stacks, blocks, lanes).
    """  # noqa: D205

    layers: Indices
    pairs: Indices
    thickness: Array
    give: Array


@kernel
def reflect(stacks: Stacks, modes: Modes, coupling: Array, out: Array) -> None:
    """Fill out (stacks, blocks, 2, lanes): the field summed over the light, and at the normal."""
    _, blocks, n, lanes = modes.rate.shape
    y = np.empty((n, n, lanes))
    scratch = np.empty((n, n, lanes))
    field = np.empty((n, lanes))
    share = np.empty(lanes)
    less = np.empty(lanes)
    fading = Fading(np.empty((n, lanes)), np.empty((n, lanes)), np.empty((n, lanes)))
    count, layers = stacks.layers.shape
    for stack in range(count):
        for block in range(blocks):
            medium = stacks.layers[stack, layers - 1]
            leak = modes.leak[medium, block]
            _under(modes.bottom[medium, block], leak, stacks.give[stack, block], y)
            for layer in range(layers - 1, -1, -1):
                if stacks.layers[stack, layer] != medium:
                    medium = stacks.layers[stack, layer]
                    _change_modes(y, coupling[stacks.pairs[stack, layer], block], scratch)
                rate = modes.rate[medium, block]
                extinction = modes.extinction[medium, block]
                _fade(rate, extinction, stacks.thickness[stack, layer], fading)
                _in_series(y, fading.depth, field, share, less)
                _faded(y, rate, fading)
            light = modes.light[medium, block]
            _light_up(y, modes.top[medium, block], light, field)
            summed = out[stack, block, 0]
            normal = out[stack, block, 1]
            _clear(summed)
            _clear(normal)
            for i in range(n):
                _add(summed, light[i], field[i])
                _add(normal, modes.to_space[medium, block, n - 1, i], field[i])


@kernel
def pass_through(thickness: Array, source: Array, modes: Modes, out: Array) -> None:
    """Fill out (media, blocks, 2, nodes, lanes): the field s at both faces of one layer each."""
    media, blocks, n, lanes = modes.rate.shape
    y = np.empty((n, n, lanes))
    series = np.empty((n, n, lanes))
    field = np.empty((n, lanes))
    far = np.empty((n, lanes))
    share = np.empty(lanes)
    less = np.empty(lanes)
    fading = Fading(np.empty((n, lanes)), np.empty((n, lanes)), np.empty((n, lanes)))
    for medium in range(media):
        for block in range(blocks):
            z = modes.to_space[medium, block]
            rate = modes.rate[medium, block]
            leak = modes.leak[medium, block]
            _clear(share)
            _under(modes.bottom[medium, block], leak, share, y)
            _fade(rate, modes.extinction[medium, block], thickness[medium], fading)
            _in_series(y, fading.depth, field, share, less)
            for i in range(n):
                for j in range(i + 1):
                    _copy(y[i, j], series[i, j])
            _faded(y, rate, fading)
            _light_up(y, modes.top[medium, block], source[medium, block], field)
            _to_space(z, field, out[medium, block, 0])
            _far_side(series, fading, field, far)
            _to_space(z, far, out[medium, block, 1])


@kernel
def _far_side(series: Array, fading: Fading, field: Array, far: Array) -> None:
    """Fill far = (1 + D y)⁻¹ sech(Λτ) field = (1 − D·series) sech(Λτ) field."""
    n = field.shape[0]
    for i in range(n):
        _scale(field[i], fading.secant[i])
    for i in range(n):
        _clear(far[i])
        for k in range(n):
            _take(far[i], series[max(i, k), min(i, k)], field[k])
        _scale(far[i], fading.depth[i])
        _add_scaled(far[i], 1.0, field[i])


@kernel
def _to_space(z: Array, modal: Array, out: Array) -> None:
    """Fill out = Z modal: the field by direction."""
    for i in range(z.shape[0]):
        _clear(out[i])
        for k in range(z.shape[0]):
            _add(out[i], z[i, k], modal[k])


@kernel
def spread(z: Array, share: Array, out: Array) -> None:
    """Fill out (media, blocks, nodes, lanes) = Zᵀ share: a pattern of light in each medium."""
    for medium in range(z.shape[0]):
        for block in range(z.shape[1]):
            _pattern(z[medium, block], share, out[medium, block])
