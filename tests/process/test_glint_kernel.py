"""Outlines on a grid of pixels: exact areas, and what hides what."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.process.glints.kernel import Entries, hide, lay

GRID = (9, 11)


def laid(corners, depth=None, side=None, reach=1.0):
    """Entries of outlines (flakes, corners, 2) on the grid."""
    outlines = np.asarray(corners, dtype=float)
    flakes = len(outlines)
    room = Entries(
        np.empty(flakes * 400, np.int32),
        np.empty(flakes * 400, np.int32),
        np.empty(flakes * 400),
        np.ones(GRID[0] * GRID[1]),
    )
    near = np.full(flakes, 0.5) if depth is None else np.asarray(depth, dtype=float)
    sides = np.zeros(flakes, np.int64) if side is None else np.asarray(side, dtype=np.int64)
    found = lay(outlines, near, sides, np.full((2, *GRID), reach), room)
    return Entries(room.pixel[:found], room.flake[:found], room.cover[:found], room.bare), sides


def polygon_area(corners) -> float:
    """Area by the shoelace formula."""
    x, y = np.asarray(corners, dtype=float).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


@settings(deadline=None)
@given(
    middle=st.tuples(st.floats(3, 7), st.floats(3, 6)),
    radius=st.floats(1e-3, 2.9),
    squeeze=st.floats(0, 1),
    turn=st.floats(0, 7),
    lean=st.floats(0, 7),
)
def test_a_flakes_area_is_shared_out_among_pixels_and_none_is_lost(
    middle, radius, squeeze, turn, lean
):
    angle = turn + np.arange(6) * np.pi / 3
    x, y = squeeze * radius * np.cos(angle), radius * np.sin(angle)
    outline = np.stack([x * np.cos(lean) - y * np.sin(lean), x * np.sin(lean) + y * np.cos(lean)])
    corners = outline.T + middle
    entries, _ = laid([corners])
    assert entries.cover.sum() == pytest.approx(polygon_area(corners), rel=1e-9, abs=1e-9)
    assert np.all(entries.cover <= 1)


def test_the_area_in_each_pixel_is_exact():
    """A triangle over two pixels, worked by hand: 1/8 of a pixel to the left, 3/8 to the right."""
    entries, _ = laid([[(3.5, 4.0), (4.5, 4.0), (4.5, 5.0), *[(4.5, 5.0)] * 3]])
    found = dict(zip(entries.pixel.tolist(), entries.cover.tolist(), strict=True))
    assert found == {4 * 11 + 3: pytest.approx(1 / 8), 4 * 11 + 4: pytest.approx(3 / 8)}


@given(st.floats(-3, 13), st.floats(-3, 11))
def test_what_sticks_out_of_the_picture_is_cut_off(column, row):
    box = np.array([(0, 0), (1.5, 0), (1.5, 1.5), (0, 1.5), (0, 1.5), (0, 1.5)])
    entries, _ = laid([box + np.array([column, row])])
    inside = [
        max(0.0, min(start + 1.5, size) - max(start, 0.0))
        for start, size in ((column, 11), (row, 9))
    ]
    assert entries.cover.sum() == pytest.approx(inside[0] * inside[1], abs=1e-9)


def test_the_way_round_does_not_matter():
    corners = [(2.2, 3.1), (4.7, 3.6), (4.1, 5.9), (2.0, 5.0), (1.8, 4.1), (1.9, 3.6)]
    (there, _), (back, _) = laid([corners]), laid([corners[::-1]])
    np.testing.assert_allclose(there.cover, back.cover, rtol=1e-12)


def test_a_flake_beyond_the_plastic_is_not_there():
    corners = [(2, 3), (4, 3), (4, 5), (2, 5), (2, 5), (2, 5)]
    assert laid([corners], depth=[1.2])[0].cover.size == 0
    assert laid([corners], depth=[0.8])[0].cover.sum() == pytest.approx(4)


def test_nearer_flakes_hide_their_share_and_the_first_half_hides_the_second():
    pixel = [(2, 3), (3, 3), (3, 4), (2, 4), (2, 4), (2, 4)]
    half = [(2, 3), (2.5, 3), (2.5, 4), (2, 4), (2, 4), (2, 4)]
    # Flakes come by depth within their half; here one of the second half comes first.
    entries, side = laid([pixel, half, half], depth=[0.1, 0.2, 0.3], side=[1, 0, 0])
    hide(entries, side, np.zeros(99, np.int64))
    assert entries.cover.tolist() == pytest.approx([0.25, 0.5, 0.25])
    assert entries.bare[3 * 11 + 2] == pytest.approx(0.0)
    assert entries.bare.sum() == pytest.approx(98)
