"""A chip painted on the card in steps: each place is read, bare ones are left out."""

from __future__ import annotations

import numpy as np
import pytest

from partline.physics.colorimetry import RGB_TO_XYZ
from partline.studies.photo import PhotoRefused, Reason, read_card_photo, read_chip
from partline.studies.photo_card import BLACK_HALF, CHIP_STEPS, MM
from tests.studies.photo_scene import FINE, MARGIN, Camera, blank, jpeg, photograph

STEADY = Camera(size=(2200, 1650), tilt=0.08, gain=(1.0, 0.9, 0.8), exposure=0.65, contrast=0.15,
                slope=(0.1, 0.05))  # fmt: skip
#: Light that a piece lets through twice, and what it sends back itself, a millimetre.
THROUGH, BACK = np.array([0.8, 0.6, 0.4]), np.array([0.03, 0.02, 0.01])


def painted(thickness: float, under: float) -> np.ndarray:
    """Linear colour of a made-up plastic over white or black."""
    mm = thickness / MM
    return under * THROUGH**mm + BACK * mm


def photo(steps: int):
    sheet = blank()
    for thickness, box in CHIP_STEPS[:steps]:
        columns = slice(*(round((x + MARGIN) * FINE) for x in (box.left, box.right)))
        middle = round((BLACK_HALF.top + MARGIN) * FINE)
        top, bottom = (round((y + MARGIN) * FINE) for y in (box.top, box.bottom))
        sheet[top:middle, columns] = painted(thickness, 0.85)
        sheet[middle:bottom, columns] = painted(thickness, 0.04)
    return read_card_photo(jpeg(photograph(sheet, STEADY, np.random.default_rng(1))))


def test_each_step_is_read_over_white_and_over_black():
    found = read_chip(photo(4))
    assert [step.thickness for step in found] == [each for each, _ in CHIP_STEPS]
    for step in found:
        # Over white what the fit leaves; over black how little is known of the ink (12 %).
        for read, doubt, under, near in (
            (step.over_white, step.doubt_white, 0.85, 0.08),
            (step.over_black, step.doubt_black, 0.04, 0.15),
        ):
            true = RGB_TO_XYZ @ painted(step.thickness, under)
            assert read == pytest.approx(true, rel=near)
            assert np.all(doubt > 0)
            assert np.all(np.abs(read - true) < 4 * doubt + 0.004)


def test_places_that_a_chip_does_not_cover_are_left_out():
    assert [step.thickness for step in read_chip(photo(2))] == [1 * MM, 2 * MM]


def test_a_bare_card_holds_no_chip():
    with pytest.raises(PhotoRefused) as refused:
        read_chip(photo(0))
    assert refused.value.reason is Reason.NOTHING_THERE
