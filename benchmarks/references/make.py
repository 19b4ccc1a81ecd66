"""Make the references again: ``python -m benchmarks.references.make --case all``.

Needs Mitsuba 3.9 (a dev dependency); see the README beside it for how, how long and how exact.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import dataclass
from typing import NamedTuple

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from benchmarks.references.cases import CASES, EYES, LIGHTS, Case, Medium, freeze
from benchmarks.references.skin import Pixels, pixels
from benchmarks.references.tracer import BACK, FRONT, LOST, Lobes, Paths, Stage, Starts
from partline.data.cie import WAVELENGTHS
from partline.physics.colorimetry import WEIGHTS, xyz_to_lab
from partline.physics.colour_difference import ciede2000

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Steps between the wavelengths whose scattering is traced, in the sets that are tried.
STEPS = (3, 10)
#: How far the reduced scattering's logarithm may lie off a line between two such wavelengths. [-]
BENT = 2e-3
#: How far it may change between them: light is no straight line of it over much more. [-]
APART = 0.3
HALVES = 2
#: Collisions that a half of a view may cost, about.
COLLISIONS = 5e8
#: Paths from every third sub-pixel in the trial that shares the others out.
TRIAL, THIRD = 2, 3
#: Most paths from a sub-pixel at one node.
MOST = 4000
#: Collisions that a path costs beside those it has: it has to be started and written down.
FIXED = 25.0


def node_sets(case: Case) -> list[Integers]:
    """Return sets of wavelengths whose scattering may be traced, shape (nodes,) each.

    Between its nodes the light is taken as linear in the logarithm of the wavelength, with the
    absorption of each wavelength. The fewer nodes, the more wavelengths share their paths and
    their noise, which then is no colour; the more, the sooner a path that is dark to all that
    share it may be given up. The last set has as few as the media's scattering allows.
    """
    thin = 1 / case.body.reference
    bends = []
    for medium in case.media:
        reduced = (medium.lobes * (1 - medium.anisotropy)).sum(axis=0)
        # Scattering that is weak across the whole body may bend more.
        bends.append(np.log(reduced + thin))
    scale = np.log(WAVELENGTHS)

    def off(nodes: Integers) -> Floats:
        lines = [np.interp(scale, scale[nodes], bend[nodes]) for bend in bends]
        return np.abs(np.array(bends) - lines).max(axis=0)

    few = np.array([0, len(WAVELENGTHS) - 1])
    while off(few).max() > BENT:
        few = np.sort(np.append(few, off(few).argmax()))
    while (change := np.abs(np.diff(np.array(bends)[:, few])).max(axis=0)).max() > APART:
        k = change.argmax()
        few = np.insert(few, k + 1, (few[k] + few[k + 1]) // 2)
    even = [np.arange(0, len(WAVELENGTHS), step) for step in STEPS]
    return [*(nodes for nodes in even if off(nodes).max() <= BENT), few]


class Node:
    """The wavelengths that are traced with the scattering of one of them."""

    def __init__(self, media: tuple[Medium, Medium], nodes: Integers, number: int) -> None:
        scale = np.log(WAVELENGTHS)
        weights = np.interp(scale, scale[nodes], np.eye(len(nodes))[number])
        self.served = np.flatnonzero(weights)
        self.colour = WEIGHTS[self.served] * weights[self.served, None]
        self.absorption = [1e-3 * each.absorption[self.served] for each in media]
        self.lobes = tuple(
            lobes_at(each, nodes[number], least.min())
            for each, least in zip(media, self.absorption, strict=True)
        )

    def left(self, paths: Paths) -> Floats:
        """Return the light left on each path, shape (paths, served). [-]"""
        above, below = (each.astype(np.float32) for each in self.absorption)
        depth = paths.above[:, None] * above + paths.below[:, None] * below
        return np.exp(-depth) * paths.weight[:, None]

    def collisions(self, paths: Paths) -> Floats:
        """Return the mean number of collisions of each path, shape (paths,). [-]"""
        return sum(
            way * lobes.scattering
            for way, lobes in zip((paths.above, paths.below), self.lobes, strict=True)
        )


def lobes_at(medium: Medium, wavelength: int, absorption: float) -> Lobes:
    """Return a medium's scattering at one wavelength, in millimetres."""
    total = medium.scattering[wavelength]
    odds = np.cumsum(medium.lobes[:, wavelength]) / total
    odds[-1] = 2.0
    return Lobes(1e-3 * total, absorption, odds, medium.anisotropy[:, wavelength])


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """What one half of the paths found, by pixel.

    Parameters
    ----------
    xyz : ndarray, shape (lights, pixels, 3)
        Mean over the covered part, for light of 1 from the front and from behind, D65. [-]
    cover : ndarray, shape (pixels,)
        Share of sub-pixels that meet the body. [-]
    paths, collisions : float
        Number of paths, and of their collisions.
    lost : float
        Share of paths given up.
    """

    xyz: Floats
    cover: Floats
    paths: float
    collisions: float
    lost: float


def lab_steps(xyz: Floats) -> Floats:
    """Return what a step of XYZ does to a colour, in about ΔE00, shape (..., 3, 3)."""
    lab = xyz_to_lab(xyz)
    slopes = np.stack([
        (xyz_to_lab(xyz * (1 + 1e-4 * one)) - lab) / (1e-4 * xyz[..., c : c + 1])
        for c, one in enumerate(np.eye(3))
    ], axis=-1)  # fmt: skip
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    fade = 1 / (1 + 0.045 * chroma)
    weight = np.stack([np.full_like(fade, 0.8), 1.3 * fade, fade], axis=-1)
    return slopes * weight[..., None]


class Trial(NamedTuple):
    """What a few paths tell of one node, by pixel: XYZ's mean and covariance, cost of a path."""

    mean: Floats
    covariance: Floats
    cost: Floats


def trial(stage: Stage, view: str, starts: Starts, node: Node, count: int, seed: int) -> Trial:
    """Follow a few paths from every start with the scattering of a node, into so many pixels."""
    paths = stage.follow(starts, view, node.lobes, np.full(len(starts.pixel), TRIAL), seed)
    light = np.where(paths.light == FRONT, *LIGHTS) * np.repeat(starts.share, TRIAL)
    xyz = (node.left(paths) * light[:, None]) @ node.colour
    of_path = np.repeat(starts.pixel, TRIAL)
    seen = np.maximum(np.bincount(of_path, minlength=count), 1)

    def mean(values: Floats) -> Floats:
        return np.bincount(of_path, values, count) / seen

    first = np.stack([mean(each) for each in xyz.T], axis=-1)
    second = np.stack([
        np.stack([mean(a * b) for a in xyz.T], axis=-1) for b in xyz.T
    ], axis=-1)  # fmt: skip
    covariance = second - first[:, :, None] * first[:, None, :]
    return Trial(first, covariance, mean(node.collisions(paths)) + FIXED)


def shared_out(
    stage: Stage, view: str, starts: Starts, sets: list[list[Node]], collisions: float, seed: int
) -> list[list[Integers]]:
    """Return paths from each start, shape (starts,), for every node of every set.

    Trial paths tell each pixel's noise and cost, and so which set serves it best; the number of
    paths goes as the noise over the root of the cost.
    """
    few = starts.of(np.arange(0, len(starts.pixel), THIRD))
    count = starts.pixel.max() + 1
    trials = [
        [trial(stage, view, few, node, count, seed + 40 * k + n) for n, node in enumerate(nodes)]
        for k, nodes in enumerate(sets)
    ]
    total = np.mean([sum(each.mean for each in some) for some in trials], axis=0)
    steps = lab_steps(np.maximum(total, 1e-4))
    ways, prices = [], []
    for some in trials:
        errors = [
            np.sqrt(np.maximum(np.einsum("pia,pab,pib->p", steps, t.covariance, steps), 0.0))
            for t in some
        ]
        floor = 0.1 * np.mean(errors, axis=0)
        errors = [np.maximum(error, floor) for error in errors]
        ways.append([error / np.sqrt(t.cost) for error, t in zip(errors, some, strict=True)])
        prices.append(sum(e * np.sqrt(t.cost) for e, t in zip(errors, some, strict=True)))
    best = np.argmin(prices, axis=0)
    spent = np.bincount(starts.pixel, np.choose(best, prices)[starts.pixel]).sum()
    shares = []
    for k, some in enumerate(ways):
        is_best = (best == k)[starts.pixel]
        shares.append([
            np.where(
                is_best,
                np.clip(np.rint(collisions / spent * way[starts.pixel]), 1, MOST),
                0,
            ).astype(np.int64)
            for way in some
        ])  # fmt: skip
    return shares


def trace_half(stage: Stage, case: Case, view: str, grid: Pixels, seed: int) -> Half:
    """Trace one half of a view."""
    starts, cover = stage.starts(view, grid, seed)
    count = len(grid.x)
    seen = np.maximum(np.bincount(starts.pixel, minlength=count), 1)
    media = case.media
    sets = [[Node(media, nodes, k) for k in range(len(nodes))] for nodes in node_sets(case)]
    shares = shared_out(stage, view, starts, sets, case.effort * COLLISIONS, 1000 * seed)
    xyz = np.zeros((2, count, 3))
    spent, lost, followed = 0.0, 0, 0
    for k, (nodes, some) in enumerate(zip(sets, shares, strict=True)):
        asked = np.flatnonzero(some[0])
        if not asked.size:
            continue
        these = starts.of(asked)
        for node, every in zip(nodes, some, strict=True):
            share = every[asked]
            paths = stage.follow(these, view, node.lobes, share, 1000 * seed + 500 + k)
            first = np.concatenate([[0], np.cumsum(share)[:-1]])
            left = node.left(paths)
            for light in (FRONT, BACK):
                sums = np.add.reduceat(left * (paths.light == light)[:, None], first, axis=0)
                mean = (sums / share[:, None] * these.share[:, None]) @ node.colour
                for c in range(3):
                    xyz[light, :, c] += np.bincount(these.pixel, mean[:, c], count) / seen
            lost += int((paths.light == LOST).sum())
            followed += len(paths.light)
            spent += float(node.collisions(paths).sum(dtype=float))
    return Half(xyz=xyz, cover=cover, paths=followed, collisions=spent, lost=lost / followed)


def noise(halves: list[Half]) -> Floats:
    """Return ΔE00 that the mean of two halves is off by, about: half of what they differ by."""
    first, second = (xyz_to_lab(np.einsum("l,lpc->pc", LIGHTS, half.xyz)) for half in halves)
    return 0.5 * ciede2000(first, second)


def make(case: Case) -> None:
    """Trace every view of a case and keep it."""
    begun = time.time()
    stage = Stage(case)
    kept: dict[str, object] = {}
    for number, view in enumerate(EYES):
        view_begun = time.time()
        grid = pixels(stage.body, view, case.across)
        halves = [
            trace_half(stage, case, view, grid, 1000 * case.seed + 10 * number + half)
            for half in range(HALVES)
        ]
        seen = np.all([half.cover > 0 for half in halves], axis=0)
        cover = np.mean([half.cover for half in halves], axis=0)[seen]
        lost = max(half.lost for half in halves)
        kept |= {
            f"{view}_x": grid.x[seen],
            f"{view}_q": grid.q[seen],
            f"{view}_along": grid.along[seen],
            f"{view}_across": grid.across[seen],
            f"{view}_cover": cover.astype(np.float32),
            f"{view}_xyz": np.array([half.xyz[:, seen] for half in halves], dtype=np.float32),
            f"{view}_lost": lost,
        }
        each = noise(halves)[seen][cover == 1]
        print(
            f"{case.name} {view}: {seen.sum()} pixels, {each.size} full; noise ΔE00 median "
            f"{np.median(each):.3f}, 95th {np.percentile(each, 95):.3f}; "
            f"{sum(half.paths for half in halves):.2g} paths, "
            f"{sum(half.collisions for half in halves):.2g} collisions, lost {lost:.0e}; "
            f"{time.time() - view_begun:.0f} s",
            flush=True,
        )
    for side, medium in zip(("back_side", "belly_side"), case.media, strict=True):
        kept |= {
            f"{side}_absorption": medium.absorption,
            f"{side}_lobes": medium.lobes,
            f"{side}_anisotropy": medium.anisotropy,
        }
    body = stage.body
    kept |= {
        "shape": np.stack([body.half_width, body.above, body.below, *body.boxed.T]),
        "length": body.length,
        "index": case.index,
        "lights": np.array(LIGHTS),
        "seed": case.seed,
        "seconds": time.time() - begun,
        "made_with": f"mitsuba {mi.__version__}, drjit {dr.__version__}, {mi.variant()}",
    }  # fmt: skip
    case.path.parent.mkdir(exist_ok=True)
    np.savez_compressed(case.path, **kept)


def main() -> None:
    """Make the cases asked for, one after another."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--case", nargs="+", default=["all"], choices=["all", *CASES])
    parser.add_argument("--threads", type=int, default=1)
    parser.add_argument(
        "--media", action="store_true", help="first take the recipes' media from the shelves anew"
    )
    asked = parser.parse_args()
    if asked.media:
        freeze()
    dr.set_thread_count(asked.threads)
    for name in CASES if "all" in asked.case else asked.case:
        make(CASES[name])


if __name__ == "__main__":
    main()
