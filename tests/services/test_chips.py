"""A chip typed in or photographed, kept beside what was there, its lots compared."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from partline.errors import InputError, Invalid, NotFound
from partline.materials.supply import Clarity
from partline.physics.colorimetry import xyz_to_lab
from partline.process.appearance import chip_colour
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.chip_side import chip_side
from partline.records.exchange import read_file, read_shelf
from partline.services.chips import chip_in_photo, keep_chip, typed_chip
from partline.services.lot_chips import chip_effect, compare_kept_lots, take_lot
from partline.studies.photo import PhotoRefused
from tests.process.bottles import measured, true_optics
from tests.process.shed import SHED
from tests.studies.photo_chips import chip_photo

SHELF = read_file(SHED / "shelf.toml")
STEPS = [
    {"thickness": "1 mm", "over_white": "80 3 22", "over_black": "22 1 4"},
    {"thickness": "", "over_white": "", "over_black": ""},
    {"thickness": "2 mm", "callipered": True, "over_white": "73, 7, 36", "over_black": "20 2 6"},
    {"thickness": "4 mm", "over_white": "62 14 50", "over_black": "16 3 8"},
]


def fields(**more):
    return {"lot": "", "loading": "3 drops", "date": "2026-03-01", "steps": STEPS} | more


def darker(lot: str):
    """A chip of a lot that is some 40 % stronger."""
    steps = [
        {"thickness": "1 mm", "over_white": "77 5 28", "over_black": "21 1.5 5"},
        {"thickness": "2 mm", "over_white": "68 10 42", "over_black": "19 3 7"},
        {"thickness": "4 mm", "over_white": "55 18 53", "over_black": "14 4 8"},
    ]
    return typed_chip(fields(lot=lot, steps=steps))


def test_a_chip_is_kept_and_every_word_of_the_shelf_stays():
    text = keep_chip(SHELF, "Peat", typed_chip(fields()))
    (peat,) = (each for each in read_shelf(text).colourants if each.name == "Peat")
    assert peat.chips[0].lot == peat.lot == "R0211-C1"
    assert peat.is_own_chip
    assert [step.is_callipered for step in peat.chips[0].steps] == [False, True, False]
    kept = text.splitlines()
    assert all(line in kept for line in SHELF.splitlines())
    again = keep_chip(text, "peat", darker("R9"))
    (peat,) = (each for each in read_shelf(again).colourants if each.name == "Peat")
    assert [each.lot for each in peat.chips] == ["R0211-C1", "R9"]
    with pytest.raises(NotFound):
        keep_chip(SHELF, "Nowhere", typed_chip(fields()))


def test_before_evidence_and_after_are_told_and_guessed_constants_give_way():
    (peat,) = (each for each in read_shelf(SHELF).colourants if each.name == "Peat")
    effect = chip_effect(peat, typed_chip(fields()))
    assert effect["counts"]
    assert "a guess (default)" in effect["why"]
    assert effect["before"]["is_measured"]
    assert effect["after"]["rests_on_chip"]
    assert len(effect["evidence"]["steps"]) == 3
    assert effect["before"]["chips"] != effect["after"]["chips"]
    sure = replace(peat, optics_origin=measured(true_optics(
        np.random.default_rng(1), Clarity.CLEAR), Clarity.CLEAR).optics_origin)  # fmt: skip
    told = chip_effect(sure, typed_chip(fields()))
    assert not told["counts"]
    assert told["before"]["chips"] == told["after"]["chips"]
    assert "come before a chip" in told["why"]


def test_a_new_lot_is_told_by_how_much_and_taken_into_use():
    text = keep_chip(keep_chip(SHELF, "Peat", typed_chip(fields())), "Peat", darker("R9"))
    (peat,) = (each for each in read_shelf(text).colourants if each.name == "Peat")
    told = compare_kept_lots(peat, "R0211-C1", "r9")
    assert 1.0 < told["strength"]["low"] < told["strength"]["value"]
    assert told["multiply_drops"]["high"] < 1.0
    assert told["advice"].startswith("Multiply the drops of lot R0211-C1 by 0.")
    taken = take_lot(text, "Peat", "R9")
    (peat,) = (each for each in read_shelf(taken).colourants if each.name == "Peat")
    assert peat.lot == "R9"
    assert peat.strength.value == pytest.approx(told["strength"]["value"], abs=0.01)
    assert [each.lot for each in peat.counted_chips] == ["R9"]
    with pytest.raises(InputError, match="no stepped chip"):
        compare_kept_lots(peat, "R9", "R10")


def test_faults_are_told_at_the_row_they_stand_in():
    steps = [*STEPS[:3], {"thickness": "4 mm", "over_white": "620 14 50", "over_black": ""}]
    with pytest.raises(Invalid) as refused:
        typed_chip(fields(steps=steps, loading="3 dr", date="yesterday"))
    found = {each.field for each in refused.value.problems}
    assert found == {"steps[3].over_white", "loading", "date"}
    with pytest.raises(Invalid):
        typed_chip(fields(steps=[]))


@pytest.mark.slow
def test_a_photographed_chip_is_read_near_to_what_it_is():
    true = measured(true_optics(np.random.default_rng(3), Clarity.PEARL), Clarity.PEARL)
    side, content = chip_side(true, drops=3.0), chip_photo(true)
    chip = chip_in_photo(content, {"loading": "3 drops", "thickness": "1, 2, 3, 4 mm"})
    assert [step.is_callipered for step in chip.steps] == [True] * 4
    for step in chip.steps:
        for read, card, shared in (
            (step.over_white, CARD_WHITE, chip.shared_doubt),
            (step.over_black, CARD_BLACK, chip.shared_black),
        ):
            xyz = chip_colour(side, np.array([step.thickness]), backing=card)
            off = np.abs(np.array(read) - xyz_to_lab(xyz)[0])
            assert np.all(off < 3 * np.hypot(chip.doubt, shared))
    with pytest.raises(InputError, match="4 steps"):
        chip_in_photo(content, {"thickness": "1, 2 mm"})
    with pytest.raises(PhotoRefused):
        chip_in_photo(chip_photo(true, steps=0), {})
