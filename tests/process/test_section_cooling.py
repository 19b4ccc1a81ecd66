"""Sections between a plate and a round bar, against two-dimensional solutions."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import eigsh

from partline.errors import OutOfRange
from partline.materials.mould import SectionShape
from partline.physics.heat_conduction import CYLINDER, SLAB, cooling_fourier
from partline.process.opening import ENDLESS
from partline.process.section_cooling import (
    PLATE_TIME,
    ROUND_TIME,
    CoolingBody,
    cooling_body,
    ellipse_bend,
    rectangle_bend,
)
from partline.process.shot_heat import Filled, shot_heat
from tests.process.shed import station

#: Shares of the core's warmth that moulds are opened at: 163 → 60 °C with a wall from 50 to 20 °C.
SHARES = (0.1, 0.16, 0.28)
#: Squares across the height; the walls' own error is then below 0.5 % of a time.
ACROSS = 41


def times_in_two_dimensions(half_width_at, wide: float) -> list[float]:
    """When so much is left in the hottest place of a section of half height 1, skin held.

    On a grid of squares, of which the walls cut their own: a link is as short as the wall is
    near. Its modes are followed in time.
    """
    step = 2.0 / ACROSS
    rows = (np.arange(ACROSS) + 0.5) * step - 1.0
    count = int(np.ceil(wide / step)) * 2 + 1
    columns = (np.arange(count) - count // 2) * step
    fine = np.linspace(-1, 1, 20001)
    reach = np.array([half_width_at(y) for y in fine])
    number = -np.ones((ACROSS, count), dtype=int)
    inside = np.abs(columns)[None, :] < np.array([half_width_at(y) for y in rows])[:, None]
    number[inside] = np.arange(inside.sum())
    entries = []
    for i, j in zip(*np.nonzero(inside), strict=True):
        here, x, y = number[i, j], columns[j], rows[i]
        there = fine[reach > abs(x)]
        walls = {(0, -1): x + half_width_at(y), (0, 1): half_width_at(y) - x,
                 (-1, 0): y - there[0], (1, 0): there[-1] - y}  # fmt: skip
        own = 0.0
        for (di, dj), to_wall in walls.items():
            a, b = i + di, j + dj
            if 0 <= a < ACROSS and 0 <= b < count and number[a, b] >= 0:
                entries.append((here, number[a, b], -1.0))
                own += 1.0
            else:
                own += step / max(min(to_wall, step), 0.02 * step)
        entries.append((here, here, own))
    row, column, value = zip(*entries, strict=True)
    matrix = csr_matrix((value, (row, column))) / step**2
    rate, mode = eigsh(matrix, k=40, sigma=0)
    grid = np.linspace(0.1, 1.4, 1301)
    warmth = (mode * mode.sum(axis=0)) @ np.exp(-np.outer(rate, grid))
    return [float(np.interp(-share, -warmth.max(axis=0), grid)) for share in SHARES]


def ellipse(flatness: float):
    return lambda y: np.sqrt(max(0.0, 1 - y * y)) / flatness


def flat_bottomed(flatness: float, belly: float):
    dome, line = 2 * (1 - belly), -1 + 2 * belly
    return lambda y: (
        (1.0 if y <= line else np.sqrt(max(0.0, 1 - ((y - line) / dome) ** 2))) / flatness
    )


@cache
def times_of(bend: float) -> list[float]:
    """The same of a body of a broken power."""
    heat = shot_heat(
        [(0, CoolingBody(size=1.0, bend=bend), 1.0)], alpha=1.0, k=1.0, contact=1e12,
        capacity=ENDLESS, loss=0.0, room=290.0,
    )  # fmt: skip
    filled = [Filled(pour=301.0, wall=300.0, room=290.0, open_at=300 + s) for s in SHARES]
    return [heat.opens(0, each) for each in filled]


@pytest.mark.parametrize("flatness", [1.0, 0.8, 0.5, 0.3])
def test_an_ellipse_opens_as_in_two_dimensions(flatness):
    exact = times_in_two_dimensions(ellipse(flatness), 1 / flatness)
    assert times_of(ellipse_bend(flatness)) == pytest.approx(exact, rel=0.025)  # and the grid's


@pytest.mark.parametrize("flatness", [1.0, 0.5, 0.3])
@pytest.mark.parametrize("belly", [0.3, 0.5, 0.7])
def test_a_flat_bottom_opens_as_in_two_dimensions(flatness, belly):
    exact = times_in_two_dimensions(flat_bottomed(flatness, belly), 1 / flatness)
    height = 10.0
    here = station(
        height / flatness, (1 - belly) * height, belly * height, SectionShape.FLAT_BOTTOMED
    )
    body = cooling_body(here)
    assert times_of(body.bend) == pytest.approx(exact, rel=0.04)  # and the grid's
    assert body.size == pytest.approx(height / 2e3, abs=1e-12)


def test_the_ends_are_the_plate_and_the_round_bar():
    assert ellipse_bend(1.0) == 1.0
    assert ellipse_bend(1e-9) == pytest.approx(0.0, abs=1e-12)
    assert cooling_fourier(SLAB, 0.16, np.inf) == pytest.approx(PLATE_TIME, abs=0.0006)
    assert cooling_fourier(CYLINDER, 0.16, np.inf) == pytest.approx(ROUND_TIME, abs=0.0006)
    for wrong in (0.0, 1.1):
        with pytest.raises(OutOfRange):
            ellipse_bend(wrong)


@settings(deadline=None)
@given(st.floats(0.02, 1.0))
def test_the_flatter_the_slower_and_corners_are_slower_still(flatness):
    assert ellipse_bend(flatness) > ellipse_bend(flatness - 0.01)
    assert 0 < rectangle_bend(flatness) < ellipse_bend(flatness)


@settings(deadline=None)
@given(st.floats(2, 40), st.floats(1, 20), st.floats(1, 20))
def test_a_section_turned_on_its_side_cools_alike(width, back, belly):
    upright = cooling_body(station(width, back, belly, SectionShape.ELLIPTIC))
    lying = cooling_body(station(back + belly, width / 2, width / 2, SectionShape.ELLIPTIC))
    assert upright.size == pytest.approx(lying.size, rel=1e-12)
    assert upright.bend == pytest.approx(lying.bend, abs=1e-9)
