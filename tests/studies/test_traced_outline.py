"""The outline of a slice itself: alike on both flanks, never hollow, and what that changed."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from partline.studies.slice_section import MOST
from partline.studies.traced_outline import FEWEST, outline_of

#: Sums of a few hundred doubles of sizes up to 30 are off by less. [pixel]
SHARP = 1e-9
PLACE = st.tuples(st.floats(-30, 30), st.floats(-30, 30))


def whole(found) -> np.ndarray:
    return np.concatenate([found.flank, found.flank[::-1] * [-1.0, 1.0]])


def area(points: np.ndarray) -> float:
    x, y = points.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


@given(st.lists(PLACE, min_size=5, max_size=60))
def test_any_tapped_points_become_one_convex_flank_of_their_own_size(places):
    points = np.array([*places, (-30, 0), (30, 1), (3, 30), (-2, -30)])
    flank = outline_of(*points.T).flank
    assert FEWEST <= len(flank) <= 60
    across, up = flank.T
    assert across.min() >= 0
    assert np.all(np.diff(up) <= SHARP)
    assert across.max() <= 30 + SHARP
    # Both halves stay as tapped.
    assert (up[0], up[-1]) == pytest.approx((30, -30), abs=SHARP)
    way = np.diff(flank, axis=0)
    turned = way[:-1, 0] * way[1:, 1] - way[:-1, 1] * way[1:, 0]
    assert np.all(turned <= SHARP * 30)  # always to the same side, down the right flank


def test_a_slice_alike_on_both_flanks_comes_back_point_by_point():
    keel = np.array([(0, 4.2), (3.1, 3.4), (5, 0.5), (4, -2), (0, -5)])
    both = np.concatenate([keel, keel[-2:0:-1] * [-1, 1]])
    tapped = both + np.array([7.0, 0.0])
    found = outline_of(*tapped.T)
    assert found.flank == pytest.approx(keel, abs=SHARP)
    assert (found.filled, found.evened) == pytest.approx((0, 0), abs=SHARP)


def test_both_flanks_get_the_mean_of_their_widths():
    """A trapezium that leans is shifted to the middle at every height."""
    leaning = np.array([(-4, -3), (6, -3), (5, 3), (1, 3)])
    found = outline_of(*leaning.T)
    assert found.flank[[0, -1]] == pytest.approx(np.array([(0, 3), (0, -3)]), abs=SHARP)
    # It is 4 wide above and 10 below, half of each on a flank.
    assert found.flank[1:-1, 0].tolist() == pytest.approx([2, 5], abs=SHARP)
    # The right end of its top stood 4 off the middle, and the flank runs 2 off there now:
    # square to that flank, which goes 3 out for 6 down, it is 2·6/√45.
    assert found.evened == pytest.approx(2 * 6 / np.sqrt(45))


def test_evening_keeps_the_area():
    """Shifting levels keeps an area (Cavalieri's principle), here of hulls of 12 points."""
    rng = np.random.default_rng(11)
    for _ in range(50):
        points = rng.normal(0, 10, (12, 2))
        hull = points[ConvexHull(points).vertices]
        # Thinning takes at most a triangle of 0.2 % of the size, and as long, at few points.
        assert area(whole(outline_of(*points.T))) == pytest.approx(area(hull), rel=0.01)


def test_a_hollow_is_filled_and_told_with_its_depth():
    dented = np.array([(-5, -3), (5, -3), (5, 3), (0, 1.5), (-5, 3)])
    found = outline_of(*dented.T)
    assert found.filled == pytest.approx(1.5)
    assert found.evened == pytest.approx(0, abs=SHARP)
    assert found.flank == pytest.approx(np.array([(0, 3), (5, 3), (5, -3), (0, -3)]))


@pytest.mark.parametrize("count", [12, 24, 48])
def test_the_gap_of_points_on_a_circle_is_their_sagitta(count):
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    found = outline_of(10 * np.cos(turn), 10 * np.sin(turn))
    # Exact: R (1 − cos(π/n)); an eighth of side times turn is its first term, and a side a
    # little less than its arc: off by O(1/n²).
    sagitta = 10 * (1 - np.cos(np.pi / count))
    assert found.gap == pytest.approx(sagitta, rel=2 / count)


def test_a_triangle_has_as_many_points_as_a_section_must_have():
    flank = outline_of(np.array([0, 5, -5]), np.array([3, -2, -2])).flank
    assert flank == pytest.approx(np.array([(0, 3), (2.5, 0.5), (5, -2), (0, -2)]))


@pytest.mark.parametrize("squeezed", [1.0, 0.3])
def test_points_too_many_for_a_section_are_thinned_to_those_that_say_most(squeezed):
    """A file holds sixty points a flank; as many as are read are tapped round an ellipse."""
    turn = np.linspace(0, 2 * np.pi, MOST, endpoint=False)
    found = outline_of(10 * np.cos(turn), squeezed * 10 * np.sin(turn))
    assert len(found.flank) <= 40
    # What is left out takes less than 1 % of it.
    assert area(whole(found)) == pytest.approx(100 * np.pi * squeezed, rel=0.01)
