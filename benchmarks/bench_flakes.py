"""Flakes in a picture: time of each step, against Pillow drawing the same outlines in one run.

Claim: at most 10 ms a picture of 650 × 64 pixels with a few thousand flakes after a change of
colour. Pillow draws the outlines from the farthest to the nearest in one colour each, on a
picture four times as fine that is then averaged: it knows no depth of the plastic and no light,
so that it is a bound from below on what a picture made with it would take.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from partline.materials.mould import Mould
from partline.physics.flake import hexagon_outline, tilted
from partline.process.composition import compose
from partline.process.glints import (
    Depths,
    FlakeKind,
    bait_depths,
    draw_flakes,
    flake_colours,
    kinds_of,
    singled_out,
    slab_mean,
    strew,
)
from partline.process.optics import SideOptics, side_optics
from partline.process.recipe import GradeShare, Half, Loading, Measure, Side
from partline.process.sight import from_back, from_side
from partline.records.exchange import read_file, read_mould, read_shelf

SHED = Path(__file__).parents[1] / "examples" / "vessary-shed"
PIXEL = 0.2e-3
FINER = 4
GOAL = 10.0


def fastest(work: Callable[[], object], repeats: int = 9) -> float:
    """Time the fastest of several runs. [ms of this thread]"""
    times = []
    for _ in range(repeats):
        start = time.thread_time()
        work()
        times.append(time.thread_time() - start)
    return 1e3 * min(times)


def poured(load: float) -> tuple[list[SideOptics], list[FlakeKind]]:
    """Pour copper flake in green-brown over white: optics and flakes."""
    shelf = read_shelf(read_file(SHED / "shelf.toml"))
    grade = (GradeShare(grade="soft", share=1.0),)
    halves = {
        Half.BACK: (
            Loading(supply="Peat", amount=3.0, measure=Measure.DROPS),
            Loading(supply="Penny", amount=load, measure=Measure.GRAMS),
        ),
        Half.BELLY: (Loading(supply="Chalk", amount=5.0, measure=Measure.DROPS),),
    }
    plastics = [
        compose(Side(half=half, blend=grade, loadings=loadings), shelf)
        for half, loadings in halves.items()
    ]
    return [side_optics(each) for each in plastics], list(kinds_of(plastics[0], 0))


def pillow(depths: Depths, outlines: list[list[tuple[float, float]]]) -> Image.Image:
    """Draw as many outlines with Pillow, four times as fine, and average."""
    rows, columns = depths.own.shape
    picture = Image.new("RGB", (columns * FINER, rows * FINER))
    draw = ImageDraw.Draw(picture)
    for number, outline in enumerate(outlines):
        draw.polygon(outline, fill=(number % 256, 128, 64))
    return picture.reduce(FINER)


def outlines_for(depths: Depths, kind: FlakeKind, count: int) -> list[list[tuple[float, float]]]:
    """Turn hexagons at random, in fine pixels of the picture."""
    drawn = np.random.default_rng(1).random((count, 5))
    shape = tilted(
        hexagon_outline(kind.cut.size), drawn[:, 0], 6.2832 * drawn[:, 1], 6.2832 * drawn[:, 2]
    )
    rows, columns = depths.own.shape
    corners = drawn[:, None, 3:] * (columns, rows) + shape / depths.pixel
    return [[tuple(corner) for corner in each] for each in (FINER * corners).tolist()]


def reed() -> Mould:
    """Read the demo's straight body of 130 mm."""
    return read_mould(read_file(SHED / "moulds" / "reed-130.toml"))


def main() -> None:
    """Print the table."""
    print("one view of a 130 mm bait; ms of one core, fastest of 9")
    print(
        "load g  view        pixels  strewn  entries   strew  solve   draw    goal  Pillow"
        "  over draw  over both"
    )
    for load in (0.25, 1.0, 4.0):
        sides, loaded = poured(load)
        for look in (from_back, from_side):
            depths = bait_depths(reed(), look, sides[0].index, PIXEL)
            kinds = singled_out(loaded, [depths])
            cuts = tuple(kind.cut for kind in kinds)
            colours = flake_colours(sides, kinds, [depths])
            mean = slab_mean(colours, depths)
            strewn = strew(depths, cuts, 1)
            draw_flakes(mean, strewn, colours)
            lay = fastest(partial(strew.__wrapped__, depths, cuts, 1))
            solve = fastest(partial(flake_colours, sides, kinds, [depths]))
            draw = fastest(partial(draw_flakes, mean, strewn, colours))
            seen = int(np.unique(strewn.entries.flake).size)
            theirs = fastest(partial(pillow, depths, outlines_for(depths, kinds[0], seen)))
            rows, columns = depths.own.shape
            print(
                f"{load:6g}  {look.__name__:<10}{columns:5} ×{rows:3}{seen:8}"
                f"{strewn.entries.pixel.size:9}{lay:8.1f}{solve:7.1f}{draw:7.1f}{GOAL:8.0f}"
                f"{theirs:8.1f}{theirs / draw:11.1f}{theirs / (lay + draw):11.1f}"
            )
    print("strewn: flakes that lie in the plastic; over both: Pillow over strew and draw together")


if __name__ == "__main__":
    main()
