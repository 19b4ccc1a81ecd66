"""The plan of the photo card: nothing on top of another, and markers that the library knows."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from partline.errors import OutOfRange
from partline.physics.colorimetry import srgb_to_xyz
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.studies.photo.library import vision
from partline.studies.photo_card import (
    BLACK_HALF,
    CHIP_STEPS,
    FIRST_NUMBER,
    GREY_STEPS,
    HEIGHT,
    LAST_NUMBER,
    LEFT_SCALE,
    MARKER_BITS,
    MM,
    POCKETS,
    TOP_SCALE,
    WHITE_HALF,
    WHITE_SPOTS,
    WIDTH,
    Box,
    Pocket,
    marker_boxes,
    marker_cells,
    marker_ids,
)


def overlap(first: Box, second: Box) -> bool:
    across = min(first.right, second.right) - max(first.left, second.left)
    down = min(first.bottom, second.bottom) - max(first.top, second.top)
    return across > 1e-9 and down > 1e-9


def test_nothing_on_the_card_lies_on_anything_else():
    things = [*POCKETS.values(), *marker_boxes(), *(step.box for step in GREY_STEPS)]
    things += [*WHITE_SPOTS, TOP_SCALE, LEFT_SCALE]
    assert not [pair for pair in combinations(things, 2) if overlap(*pair)]


def test_everything_lies_on_the_card():
    for box in (*POCKETS.values(), *marker_boxes(), *WHITE_SPOTS, TOP_SCALE, LEFT_SCALE):
        assert box.left >= 0, box
        assert box.top >= 0, box
        assert box.right <= WIDTH, box
        assert box.bottom <= HEIGHT, box


def test_a_chip_lies_half_on_white_and_half_on_black():
    pocket = POCKETS[Pocket.CHIP]
    assert WHITE_HALF.bottom == pytest.approx(BLACK_HALF.top)
    for thickness, box in CHIP_STEPS:
        assert 0.9 * MM < thickness < 4.1 * MM
        assert box.middle[1] == pytest.approx(BLACK_HALF.top, abs=0.1 * MM)
        assert pocket.holds(box.left, box.top)
        assert pocket.holds(box.right, box.bottom)


def test_the_markers_are_those_of_the_library():
    cv2 = vision()
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50)
    for marker in range(len(MARKER_BITS)):
        drawn = cv2.aruco.generateImageMarker(known, marker, 7, borderBits=1) > 0
        assert np.array_equal(drawn, marker_cells(marker)), marker


def test_each_print_has_its_own_fifth_marker():
    ids = [marker_ids(number) for number in range(FIRST_NUMBER, LAST_NUMBER + 1)]
    assert len(set(ids)) == len(ids)
    assert {each[:4] for each in ids} == {(0, 1, 2, 3)}
    for wrong in (0, LAST_NUMBER + 1):
        with pytest.raises(OutOfRange, match="number"):
            marker_ids(wrong)


def test_a_grey_is_sent_to_the_printer_so_that_it_lies_between_paper_and_ink():
    for step in GREY_STEPS:
        light = float(srgb_to_xyz([step.grey / 255] * 3)[1])
        printed = CARD_BLACK + (CARD_WHITE - CARD_BLACK) * light
        # A grey is one of 256: half a step is about 1 % of a middle grey.
        assert printed == pytest.approx(step.reflectance, rel=0.012)
        assert step.density == pytest.approx(-np.log10(step.reflectance))


def test_white_to_black_stands_both_ways_round():
    half = len(GREY_STEPS) // 2
    upper = [step.reflectance for step in GREY_STEPS[:half]]
    assert upper == sorted(upper, reverse=True)
    assert [step.reflectance for step in GREY_STEPS[half:]] == upper[::-1]
