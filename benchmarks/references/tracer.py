"""Light through a body of two media, traced with Mitsuba's rays, Fresnel law and random numbers.

Paths start at the eye. Scattering decides where they go; the lengths run in each medium are kept,
so that the absorption of several wavelengths of nearly the same scattering is applied to the same
paths afterwards. `check.py` compares with Mitsuba's own volumetric integrator.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from benchmarks.references.cases import EYES, Case
from benchmarks.references.skin import Pixels, Triangles, triangles

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

mi.set_variant("llvm_ad_mono")

#: Steps inwards after a reflection, so that the skin is not met again at once. [mm]
INWARDS = 5e-4
#: Steps after which a path is given up, and counted as lost.
MOST_STEPS = 200_000
#: Sub-pixels along each side of a pixel; every one that the body covers sends paths.
SUB = 16
#: Light is followed for certain until this absorption depth; beyond it a path goes on with the
#: odds exp(-depth) and its weight rises by as much, so that nothing is lost in the mean. [-]
CERTAIN = 1.2
#: How a path ended.
FRONT, BACK, DARK, LOST = 0, 1, 2, 3


class Paths(NamedTuple):
    """Ended paths, shape (paths,), those of a start together.

    Lengths run in both media [mm] and how each ended; the weight makes up for paths given up as
    dark, whose own lengths and weight are 0. [-]
    """

    above: Floats
    below: Floats
    light: Integers
    weight: Floats


class Starts(NamedTuple):
    """Where lines of sight enter: pixel, place, direction within, share let in."""

    pixel: Integers
    place: Floats
    direction: Floats
    share: Floats

    def of(self, which: Integers) -> Starts:
        """Return some of them."""
        return Starts(*(each[which] for each in self))


class Lobes(NamedTuple):
    """One medium: scattering and least absorption [1/mm], cumulative odds and cosines of lobes."""

    scattering: float
    absorption: float
    odds: Floats
    cosines: Floats


def mesh_scene(skin: Triangles) -> Any:
    """Return a Mitsuba scene that holds nothing but the skin."""
    mesh = mi.Mesh("skin", len(skin.corners), len(skin.faces), has_vertex_normals=False)
    values = mi.traverse(mesh)
    values["vertex_positions"] = mi.Float(skin.corners.astype(np.float32).ravel())
    values["faces"] = mi.UInt32(skin.faces.astype(np.uint32).ravel())
    values.update()
    return mi.load_dict({"type": "scene", "skin": mesh})


class Stage:
    """A body ready to be looked at."""

    def __init__(self, case: Case) -> None:
        self.body = case.body
        self.index = case.index
        skin = triangles(self.body)
        self.scene = mesh_scene(skin)
        self.normals = mi.Vector3f(*(mi.Float(n) for n in skin.normals.T.astype(np.float32)))
        self.size = float(np.abs(skin.corners).max())
        dr.eval(self.normals)

    def starts(self, view: str, grid: Pixels, seed: int) -> tuple[Starts, Floats]:
        """Send one line of sight through a random place of every sub-pixel.

        Returns
        -------
        starts : Starts
            Of those that meet the body.
        cover : ndarray, shape (pixels,)
            Share of sub-pixels that do. [-]
        """
        rng = np.random.default_rng([seed, 1])
        count = len(grid.x)
        step = (np.arange(SUB) - (SUB - 1) / 2) / SUB
        jitter = rng.uniform(-0.5, 0.5, (2, count, SUB, SUB)) / SUB
        off = np.stack(np.meshgrid(step, step, indexing="ij"))[:, None] + jitter
        x, q = (
            1e3 * (centre[:, None, None] + side[:, None, None] * each)
            for centre, side, each in zip(
                (grid.x, grid.q), (grid.along, grid.across), off, strict=True
            )
        )
        eye = np.array(EYES[view])
        place = np.zeros((x.size, 3))
        place[:, 0] = x.ravel()
        place[:, 2 if view == "side" else 1] = q.ravel()
        place += 2 * self.size * eye
        origin = mi.Point3f(*(mi.Float(p) for p in place.T.astype(np.float32)))
        met = self.scene.ray_intersect_preliminary(mi.Ray3f(origin, mi.Vector3f(*(-eye).tolist())))
        hits = met.is_valid().numpy()
        met_normals = dr.gather(mi.Vector3f, self.normals, met.prim_index, met.is_valid())
        normal = np.array(met_normals.numpy()).T[hits]
        place = (place - eye * np.where(hits, met.t.numpy(), 0.0)[:, None])[hits]
        cosine = normal @ eye
        reflected = mi.fresnel(mi.Float(cosine.astype(np.float32)), self.index)[0].numpy()
        inside = np.sqrt(1 - (1 - cosine**2) / self.index**2)
        direction = -eye / self.index + (cosine / self.index - inside)[:, None] * normal
        pixel = np.repeat(np.arange(count), SUB * SUB)[hits]
        good = cosine > 1e-4
        starts = Starts(
            pixel[good], (place - INWARDS * normal)[good], direction[good], 1 - reflected[good]
        )
        return starts, hits.reshape(count, -1).mean(axis=1)

    def follow(
        self, starts: Starts, view: str, media: tuple[Lobes, Lobes], paths: Integers, seed: int
    ) -> Paths:
        """Follow so many paths from each start, shape (starts,)."""
        total = int(paths.sum())
        records = Records(
            above=dr.zeros(mi.Float, total),
            below=dr.zeros(mi.Float, total),
            light=dr.full(mi.UInt32, LOST, total),
        )
        lanes = Lanes(
            start=mi.Point3f(*(mi.Float(p) for p in starts.place.T.astype(np.float32))),
            direction=mi.Vector3f(*(mi.Float(p) for p in starts.direction.T.astype(np.float32))),
            paths=mi.UInt32(paths.astype(np.uint32)),
            offsets=mi.UInt32(np.concatenate([[0], np.cumsum(paths)[:-1]]).astype(np.uint32)),
        )
        eye = mi.Vector3f(*(dr.opaque(mi.Float, e) for e in EYES[view]))
        _wander(self, lanes, plastic_of(media), eye, seed, records)
        light = records.light.numpy()
        ended = light <= BACK
        above, below = (
            np.where(ended, way.numpy(), 0.0) for way in (records.above, records.below)
        )
        depth = above * media[0].absorption + below * media[1].absorption
        weight = np.where(ended, np.exp(np.maximum(depth - CERTAIN, 0.0)), 0.0)
        return Paths(above, below, light, weight.astype(np.float32))


@dataclass
class Records:
    """Where ended paths are written down, (paths,); see `Paths`."""

    above: Any
    below: Any
    light: Any


@dataclass
class Lanes:
    """Starts, each with its number of paths and the place of its first one in the records."""

    start: Any
    direction: Any
    paths: Any
    offsets: Any


@dataclass
class Plastic:
    """Both media, above and below the line; lobes of both in one row, as many for each."""

    scattering: list[Any]
    absorption: list[Any]
    odds: Any
    cosines: Any
    lobes: int


def plastic_of(media: tuple[Lobes, Lobes]) -> Plastic:
    """Return the media for the loop; their numbers are no part of the compiled program."""
    lobes = max(len(each.odds) for each in media)
    odds = [np.pad(m.odds, (0, lobes - len(m.odds)), constant_values=2.0) for m in media]
    cosines = [np.pad(m.cosines, (0, lobes - len(m.cosines))) for m in media]
    return Plastic(
        scattering=[dr.opaque(mi.Float, max(each.scattering, 1e-7)) for each in media],
        absorption=[dr.opaque(mi.Float, each.absorption) for each in media],
        odds=mi.Float(np.concatenate(odds).astype(np.float32)),
        cosines=mi.Float(np.concatenate(cosines).astype(np.float32)),
        lobes=lobes,
    )


def _flight(plastic: Plastic, place: Any, direction: Any, depth: Any) -> tuple[Any, ...]:
    """Return whether the start is below the line, the ways to it and to the next collision."""
    under = (place.z < 0) | ((place.z == 0) & (direction.z < 0))
    here = dr.select(under, plastic.scattering[1], plastic.scattering[0])
    there = dr.select(under, plastic.scattering[0], plastic.scattering[1])
    to_line = dr.select((direction.z > 0) == under, -place.z / direction.z, dr.inf)
    to_line = dr.select(direction.z == 0, dr.inf, to_line)
    aim = depth / here
    aim = dr.select(aim <= to_line, aim, to_line + (depth - here * to_line) / there)
    return under, here, there, to_line, aim


def _at_skin(direction: Any, normal: Any, index: float) -> tuple[Any, Any, Any]:
    """Return the cosine to the skin, the share reflected, and the direction outside."""
    cosine = dr.dot(direction, normal)
    reflected = mi.fresnel(-cosine, index)[0]
    outside = dr.sqrt(dr.maximum(0, 1 - index**2 * (1 - cosine**2)))
    return cosine, reflected, index * direction + (outside - index * cosine) * normal


def _lobe(plastic: Plastic, place: Any, rng: Any) -> Any:
    """Return the mean cosine of the lobe that scatters."""
    lobe = dr.select(place.z < 0, mi.UInt32(plastic.lobes), mi.UInt32(0))
    if plastic.lobes > 1:
        chance = rng.next_float32()
        first = mi.UInt32(lobe)
        for k in range(plastic.lobes - 1):
            lobe += dr.select(chance >= dr.gather(mi.Float, plastic.odds, first + k), 1, 0)
    return dr.gather(mi.Float, plastic.cosines, lobe)


def _turned(direction: Any, g: Any, first: Any, second: Any) -> Any:
    """Return a direction after a Henyey-Greenstein collision."""
    ratio = (1 - g * g) / (1 - g + 2 * g * first)
    turn = dr.select(dr.abs(g) < 1e-3, 2 * first - 1, (1 + g * g - ratio * ratio) / (2 * g))
    turn = dr.clip(turn, -1, 1)
    sine = dr.sqrt(dr.maximum(0, 1 - turn * turn))
    sin_around, cos_around = dr.sincos(dr.two_pi * second)
    local = mi.Vector3f(sine * cos_around, sine * sin_around, turn)
    return mi.Frame3f(direction).to_world(local)


def _spread(number: Any, step: float, shift: Any) -> Any:
    """Return a Kronecker sequence's numbers."""
    at = dr.fma(mi.Float(number), step, shift)
    return at - dr.floor(at)


@dr.syntax
def _wander(  # noqa: PLR0915 - one compiled loop
    stage: Stage, lanes: Lanes, plastic: Plastic, eye: Any, seed: int, records: Records
) -> None:
    """Fill the records: every lane ends its number of paths, one after another."""
    scene, normals, size = stage.scene, stage.normals, dr.opaque(mi.Float, stage.size)
    count, index = dr.width(lanes.start), stage.index
    start = dr.opaque(mi.UInt64, seed)
    lane = dr.arange(mi.UInt32, count)
    # Each path has its own numbers, the same ones whatever the media are.
    key = mi.UInt32(start) + lane * 7919
    rng = mi.PCG32(size=count, initstate=start, initseq=mi.UInt64(lane))
    shifts = [rng.next_float32() for _ in range(2)]
    place, direction = mi.Point3f(lanes.start), mi.Vector3f(lanes.direction)
    done, steps = dr.zeros(mi.UInt32, count), dr.zeros(mi.UInt32, count)
    above, below = dr.zeros(mi.Float, count), dr.zeros(mi.Float, count)
    # First flights are spread evenly over a lane's paths.
    depth = -dr.log(1 - rng.next_float32() / mi.Float(lanes.paths))
    bearable = CERTAIN - dr.log(1 - rng.next_float32())
    while done < lanes.paths:
        under, here, there, to_line, aim = _flight(plastic, place, direction, depth)
        met = scene.ray_intersect_preliminary(mi.Ray3f(place, direction, aim, 0, []), False)
        hits = met.is_valid()
        way = dr.select(hits, met.t, aim)
        way_here = dr.minimum(way, to_line)
        way_there = way - way_here
        above += dr.select(under, way_there, way_here)
        below += dr.select(under, way_here, way_there)
        place += way * direction

        first, second, third = rng.next_float32(), rng.next_float32(), rng.next_float32()
        # The first turns of a lane's paths are spread evenly too.
        is_first = (steps == 0) & ~hits
        first = dr.select(is_first, _spread(done, 0.7548776662466927, shifts[0]), first)
        second = dr.select(is_first, _spread(done, 0.5698402909980532, shifts[1]), second)
        normal = dr.gather(mi.Vector3f, normals, met.prim_index, hits)
        cosine, reflected, out = _at_skin(direction, normal, index)
        turned = _turned(direction, _lobe(plastic, place, rng), first, second)
        left = dr.maximum(depth - here * way_here - there * way_there, 0)
        depth = dr.select(hits, left, dr.maximum(-dr.log(1 - third), 0))
        place = mi.Point3f(dr.select(hits, place - INWARDS * normal, place))
        steps += 1
        is_lost = (hits & (cosine <= 0)) | (steps > MOST_STEPS)
        is_lost |= dr.max(dr.abs(place)) > 1.01 * size
        is_dark = above * plastic.absorption[0] + below * plastic.absorption[1] > bearable
        ends = (hits & (first >= reflected)) | is_lost | is_dark

        light = dr.select(dr.dot(out, eye) > 0, mi.UInt32(FRONT), mi.UInt32(BACK))
        light = dr.select(is_dark, mi.UInt32(DARK), light)
        dr.scatter(records.above, above, lanes.offsets + done, ends)
        dr.scatter(records.below, below, lanes.offsets + done, ends)
        dr.scatter(
            records.light, dr.select(is_lost, mi.UInt32(LOST), light), lanes.offsets + done, ends
        )
        done += dr.select(ends, 1, 0)
        if ends:
            state, sequence = mi.sample_tea_32(key, done)
            rng.seed(mi.UInt64(state), mi.UInt64(sequence))
        again = -dr.log(1 - (mi.Float(done) + rng.next_float32()) / mi.Float(lanes.paths))
        depth = dr.select(ends, again, depth)
        bearable = dr.select(ends, CERTAIN - dr.log(1 - rng.next_float32()), bearable)
        direction = dr.select(hits, direction - 2 * cosine * normal, turned)
        direction = mi.Vector3f(dr.normalize(dr.select(ends, lanes.direction, direction)))
        place = mi.Point3f(dr.select(ends, lanes.start, place))
        steps = dr.select(ends, 0, steps)
        above = dr.select(ends, 0, above)
        below = dr.select(ends, 0, below)
    dr.eval(records)
