"""Small bodies and quick tables for tests."""

from __future__ import annotations

from functools import cache

import numpy as np

from partline.physics.response import Body, Grid, ResponseTable
from partline.physics.response.body import DIRECTIONS
from partline.physics.response.grid import tabled_anisotropy, tabled_scattering
from partline.physics.response.kernel import respond
from partline.physics.response.making import Making
from partline.physics.response.places import eye

INDEX = 1.5
#: Few nodes and paths: enough to see that things are joined up, not for figures.
QUICK = Making(
    index=INDEX, along=5, passes=(12, 24), rank=24, grid=Grid(scattering=6, absorption=6)
)


def rod() -> Body:
    """An endless round rod, line at mid-height."""
    return Body.straight(1.0, 1.0, 1.0)


def spindle() -> Body:
    """A round body, closed at the nose and cut at the tail."""
    along = np.linspace(0.0, 1.0, 41)
    half = 3e-3 * np.sqrt(np.clip(4 * along * (1.15 - along), 0.0, None))
    domes = np.ones((41, 2, DIRECTIONS))
    return Body(length=40e-3, half_width=half, above=half, below=half, radius=domes)


@cache
def quick_table(*, mirrored: bool = True) -> ResponseTable:
    """A table of the spindle."""
    body = spindle()
    places = QUICK.places(body)
    traced = QUICK.one_pass(body, places, 1)
    assert traced is not None
    if mirrored:
        return QUICK.table(body, places, traced)
    return ResponseTable.of(traced, places, index=INDEX, grid=QUICK.grid, rank=QUICK.rank)


def scattered(
    body: Body, start, angle: float, reduced, absorption, *, paths: int = 4000, seed: int = 1
):
    """Scattered light from the front and from behind for one pair of media, straight traced."""
    reduced, absorption = np.asarray(reduced, float), np.asarray(absorption, float)
    counts = np.ones((2, 2), dtype=np.int64)
    counts[0, 1] = paths
    out = np.zeros((1, 2, 2, 2, 2, 2))
    respond(
        body.skin, np.asarray(start, float), eye(angle), INDEX, tabled_scattering(reduced),
        tabled_anisotropy(reduced), absorption, counts, seed, out,
    )  # fmt: skip
    return out[0, :, 0, 1, 0, 1]
