"""How far pictures lie from path-traced baits, and how long they take.

Claims: ΔE00 of at most 0.3 in the median, 1.0 at the 95th percentile on the straight part and 1.5
over the whole body, for bodies and media that no table was tuned to; three views within 10 ms of a
changed recipe. The references stand in `benchmarks/references`, traced with Mitsuba's rays;
`benchmarks/references/README.md` says how. Tables of their index are made once and kept beside the
user's own: about 7 minutes a body and core. `--quick` uses the first pass only.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from benchmarks.references.cases import CASES, EYES, INDEX, LIGHTS, MOULDS, Case
from benchmarks.references.compare import (
    HEAD,
    Differences,
    PictureAt,
    compare,
    slab_picture,
)
from partline.physics.colorimetry import WEIGHTS
from partline.physics.response.making import Making
from partline.physics.response.places import places_of
from partline.physics.response.table import Response, ResponseTable
from partline.process.bait_body import bait_body
from partline.process.rendering import PictureError, Quality, Surroundings, View
from partline.process.traced import TracedRenderer
from partline.records.ready_tables import IN_AIR, ready_response
from partline.records.response_files import ResponseCache

Floats = NDArray[np.floating]

PIXEL = 0.1e-3
MAKING = Making(index=INDEX, angles=(0.0, np.pi / 2, np.pi))
LIGHT = Surroundings(
    weights=WEIGHTS,
    back=np.full(len(WEIGHTS), LIGHTS[1]),
    veil=np.zeros(3),
    white=WEIGHTS.sum(axis=0),
    degree=0.0,
)
NO_ERROR = PictureError(median=0.0, high=0.0, source="what is measured here")


def tables_of(name: str, passes: int) -> ResponseTable:
    """Return a body's table after so many passes; made and kept when it is not there yet."""
    body, cache = bait_body(MOULDS[name]), ResponseCache.usual()
    key = f"{MAKING.key(body)}-{passes}"
    kept = cache.find(key, body)
    if kept is not None:
        return kept
    places = MAKING.places(body)
    done, traced = cache.find_passes(key[:-2] + "-bench") or (0, None)
    if done > passes:
        done, traced = 0, None
    began, spent = time.perf_counter(), time.process_time()
    for number in range(done, passes):
        new = MAKING.one_pass(body, places, number, workers=os.cpu_count() or 1)
        assert new is not None
        traced = new if traced is None else traced.joined(new)
        cache.keep_passes(key[:-2] + "-bench", number + 1, traced)
    assert traced is not None
    table = MAKING.table(body, places, traced)
    cache.keep(key, table)
    print(
        f"  {name}: passes {done + 1} to {passes} in {time.perf_counter() - began:.0f} s, "
        f"{time.process_time() - spent:.0f} s of a core; standard error of a cube root "
        f"{table.error:.4f}",
        flush=True,
    )
    return table


def renderer_of(name: str, response: Response) -> TracedRenderer:
    """Return a renderer of a body."""
    return TracedRenderer(
        body=bait_body(MOULDS[name]), response=response, quality=Quality.FINAL, error=NO_ERROR,
        pixel=PIXEL,
    )  # fmt: skip


def sectioned(name: str) -> TracedRenderer:
    """Return the renderer of ready sections, which are of another index: 1.494."""
    body = bait_body(MOULDS[name])
    places = places_of(body, np.linspace(0.0, np.pi, 5), MAKING.along)
    response = ready_response(body, places, IN_AIR)
    assert response is not None
    return renderer_of(name, response)


def picture_of(renderer: TracedRenderer, case: Case) -> PictureAt:
    """Return what a renderer shows of a case."""
    drawn = {view: renderer.xyz(case.sides, View(view).angle, LIGHT) for view in EYES}

    def at(view: str, x: Floats, q: Floats) -> Floats:
        xyz = drawn[view]
        column = np.clip((x / PIXEL).astype(int), 0, xyz.shape[1] - 1)
        row = np.rint((xyz.shape[0] - 1) / 2 - q / PIXEL).astype(int)
        return xyz[np.clip(row, 0, xyz.shape[0] - 1), column]

    return at


def drawn_by(renderers: dict[str, TracedRenderer], case: Case) -> PictureAt:
    """Return what the renderer of a case's body shows of it."""
    return picture_of(renderers[case.mould], case)


def report(title: str, picture: Callable[[Case], PictureAt]) -> None:
    """Print a line a case and one for all."""
    print(f"\n{title}\n{HEAD}")
    every = []
    for case in CASES.values():
        views = compare(case, picture(case))
        every += views.values()
        print(Differences.together(views.values()).row(case.name))
    print(Differences.together(every).row("all"), flush=True)


def time_views(renderers: dict[str, TracedRenderer]) -> None:
    """Time three views after a change of the recipe, at the pixel of the live page."""
    case = next(iter(CASES.values()))
    renderer = replace(renderers[case.mould], pixel=0.2e-3)
    times = []
    for round_ in range(41):
        side = case.sides[0]
        members = tuple(
            each._replace(absorption=each.absorption * (1 + 0.01 * round_))
            for each in side.members
        )
        sides = (replace(side, members=members), case.sides[1])
        began = time.perf_counter()
        for view in EYES:
            renderer.xyz(sides, View(view).angle, LIGHT)
        times.append(1e3 * (time.perf_counter() - began))
    with np.load(case.path) as kept:
        traced = float(kept["seconds"])
    middle = statistics.median(times[1:])
    print(
        f"\nThree views of {case.mould} after a changed recipe: median {middle:.1f} ms, worst of "
        f"{len(times) - 1} {max(times[1:]):.1f} ms. Path tracing the same three took "
        f"{traced:.0f} s of a core when it was made: {1e3 * traced / middle:,.0f} times as long."
    )


def main() -> None:
    """Compare every kind of picture, then time the best."""
    is_quick = "--quick" in sys.argv
    report("slabs", slab_picture)
    report("ready sections", partial(drawn_by, {name: sectioned(name) for name in MOULDS}))
    stages = {"preview": 1} if is_quick else {"preview": 1, "final": len(MAKING.passes)}
    renderers: dict[str, TracedRenderer] = {}
    for title, passes in stages.items():
        print()
        renderers = {name: renderer_of(name, tables_of(name, passes)) for name in MOULDS}
        report(title, partial(drawn_by, renderers))
    time_views(renderers)


if __name__ == "__main__":
    main()
