"""Stepped chips of a lot: what narrows, what stays open, and closed forms they must become."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from partline.materials.chip import Chip, LotChip, StepReading
from partline.materials.supply import Clarity
from partline.process.appearance import card_hiding
from partline.process.chip_fitting import MEMBERS
from partline.process.chip_reading import SHIFTS, Reading, look
from partline.process.chip_side import chip_side
from partline.process.guessed_optics import guessed_optics
from partline.process.likely_bottle import family_of
from partline.process.lot_reading import UNNOTED, lot_readings
from partline.process.optics import CONTRADICTION
from partline.quantities.estimate import Estimate, Origin
from tests.process.bottles import bottle, entered, measured, true_optics
from tests.process.stepped_chips import read_off, with_chips


def true_bottle(clarity: Clarity, seed: int = 4):
    return measured(true_optics(np.random.default_rng(seed), clarity), clarity)


def hidden(read, thickness: float = 3e-3, drops: float = 3.0) -> np.ndarray:
    """Hiding of every member's chip, the nominal one first."""
    side = chip_side(read, drops=drops)
    factors = np.ones((MEMBERS + 1, len(side.names)))
    every = np.zeros(factors.shape, int)
    every[:, 1] = np.arange(MEMBERS + 1)  # after the plain plastic
    return card_hiding(side, np.array([thickness]), factors, members=every, nodes=4)[:, 0]


def width(samples: np.ndarray) -> float:
    return float(np.subtract(*np.percentile(samples[1:], [90, 10])))


@pytest.mark.parametrize("clarity", Clarity)
def test_a_stepped_chip_says_more_than_patch_and_hiding(clarity):
    true = true_bottle(clarity)
    chip = read_off(true, np.random.default_rng(1), is_callipered=True)
    by_patch = hidden(entered(true, Chip(drops=3.0, thickness=2e-3)))
    by_chip = hidden(with_chips(true, chip))
    assert width(by_chip) < width(by_patch)
    assert np.all((by_chip >= -0.01) & (by_chip <= 1.01))


def test_more_steps_and_a_calliper_narrow_what_a_chip_says():
    true = true_bottle(Clarity.PEARL)
    widths = []
    for steps, is_callipered in (
        ((2.0,), False),
        ((1.0, 2.0, 4.0), False),
        ((1.0, 2.0, 4.0), True),
    ):
        chip = read_off(true, np.random.default_rng(3), steps=steps, is_callipered=is_callipered)
        widths.append(width(hidden(with_chips(true, chip))))
    assert widths[2] < widths[1] < widths[0]


def test_what_a_photo_is_off_by_moves_all_steps_of_a_chip_together():
    family = family_of(Clarity.CLEAR)
    chip = read_off(true_bottle(Clarity.CLEAR), np.random.default_rng(2))
    other = replace(chip, shared_doubt=3.0, shared_black=4.0)
    readings, shared = lot_readings([chip, other], 3e-4)
    assert shared == 2 * (1 + SHIFTS)
    numbers = np.zeros((1, family.count + len(readings) + shared))
    slope = look(family, readings, numbers).slope[0]
    first = family.count + len(readings) + 1 + SHIFTS + 1  # behind the first chip's, its loading
    lightness = slope[:, first].reshape(2, 3, 6)  # chip, step, L* a* b* over white and black
    np.testing.assert_array_equal(lightness[0], 0.0)
    np.testing.assert_array_equal(lightness[1], [[3.0, 0, 0, 0, 0, 0]] * 3)
    over_black = slope[:, first + 3].reshape(2, 3, 6)
    np.testing.assert_array_equal(over_black[1], [[0, 0, 0, 4.0, 0, 0]] * 3)


@pytest.mark.parametrize("clarity", Clarity)
def test_constants_are_positive_and_a_chip_never_contradicts_itself(clarity):
    true = true_bottle(clarity, seed=6)
    guess = guessed_optics(with_chips(true, read_off(true, np.random.default_rng(5))))
    assert np.all(guess.absorption > 0)
    assert np.all(guess.scattering > 0)
    assert np.all(np.abs(guess.anisotropy) < 1)
    assert guess.misfit < CONTRADICTION


def test_a_chip_without_a_noted_loading_leaves_the_strength_open():
    true = true_bottle(Clarity.OPAQUE)
    chip = read_off(true, np.random.default_rng(1))
    guesses = [
        guessed_optics(with_chips(true, each)) for each in (chip, replace(chip, chip=Chip()))
    ]
    # What a thick chip shows is how much is scattered back: scattering less its forward part.
    noted, unnoted = (
        np.log(each.scattering[1:].mean(axis=1) * (1 - each.anisotropy[1:])).std()
        for each in guesses
    )
    # Less than what nobody noted is off by: what a drop usually does is known a little.
    assert 1.5 * noted < unnoted < UNNOTED


def test_a_weighed_loading_is_known_by_mass_and_a_counted_one_by_the_drop():
    true = true_bottle(Clarity.OPAQUE)
    counted = with_chips(true, read_off(true, np.random.default_rng(1)))
    weighed = replace(
        counted, chips=(replace(counted.chips[0], chip=Chip(share=3 * 30e-6 / 0.1)),)
    )
    assert weighed.is_known_by_mass
    assert not counted.is_known_by_mass
    heavier = (Estimate.exact(30e-6), Estimate.exact(60e-6))
    by_drop = [
        chip_side(replace(counted, drop_mass=each), drops=3.0).scattering[1] for each in heavier
    ]
    np.testing.assert_allclose(by_drop[0], by_drop[1], rtol=1e-12)
    by_mass = [
        chip_side(replace(weighed, drop_mass=each), share=1e-3).scattering[1] for each in heavier
    ]
    np.testing.assert_allclose(by_mass[0], by_mass[1], rtol=0.1)


def test_slopes_of_stepped_readings_are_those_of_their_values():
    family = family_of(Clarity.PEARL)
    chip = read_off(true_bottle(Clarity.PEARL), np.random.default_rng(1))
    readings, shared = lot_readings([chip], 3e-4)
    assert shared == 1 + SHIFTS
    count = family.count + len(readings) + shared
    numbers = 0.5 * np.random.default_rng(2).standard_normal((2, count))
    seen = look(family, readings, numbers)
    assert seen.slope.shape == (2, 18, count)
    for place in range(count):
        ends = []
        for sign in (1, -1):
            moved = numbers.copy()
            moved[:, place] += sign * 1e-3
            ends.append(look(family, readings, moved).value)
        quotient = (ends[0] - ends[1]) / 2e-3
        # Both are difference quotients; of L*, a*, b* in tens a few thousandths are their error.
        np.testing.assert_allclose(seen.slope[:, :, place], quotient, rtol=0.005, atol=0.02)


def test_steps_solved_together_are_as_by_themselves():
    family = family_of(Clarity.CLEAR)
    plain = Reading(which=tuple(range(7)), value=np.zeros(7), spread=np.ones(7), drops=3.0,
                    thickness=1e-3, doubt=0.0)  # fmt: skip
    both = [plain, replace(plain, thickness=4e-3)]
    bottles = np.random.default_rng(1).standard_normal((3, family.count))
    seen = look(family, both, np.pad(bottles, ((0, 0), (0, 2)))).value
    alone = [look(family, [each], np.pad(bottles, ((0, 0), (0, 1)))).value for each in both]
    np.testing.assert_array_equal(seen, np.concatenate(alone, axis=1))


# --- which chips count -----------------------------------------------------------------------


def plain_chip(lot: str) -> LotChip:
    step = StepReading(thickness=2e-3, over_white=(60.0, 5.0, 20.0), over_black=(25.0, 2.0, 5.0))
    return LotChip(lot=lot, chip=Chip(drops=3.0), steps=(step,), doubt=1.0, shared_doubt=1.0,
                   shared_black=1.0)  # fmt: skip


def test_chips_of_the_lot_in_use_count_and_its_strength_is_its_own():
    weak = Estimate.within(0.8, 0.1, Origin.MEASURED)
    both = replace(bottle(lot="B 2", chips=(plain_chip("A1"), plain_chip("b2"))), strength=weak)
    assert [each.lot for each in both.counted_chips] == ["b2"]
    assert both.lot_strength.value == 1.0
    other = replace(both, lot="C3")
    assert [each.lot for each in other.counted_chips] == ["b2"]
    assert other.lot_strength is weak


def test_constants_that_are_no_guess_come_before_a_chip_and_a_guess_comes_after():
    optics = true_optics(np.random.default_rng(1), Clarity.CLEAR)
    for origin in Origin:
        read = bottle(optics=optics, optics_origin=origin, chips=(plain_chip(""),))
        assert read.is_measured is not origin.is_guess
        assert bool(read.counted_chips) is origin.is_guess
        members = MEMBERS if origin.is_guess else 0
        assert chip_side(read, drops=3.0).count(1) == members


def test_a_look_says_which_chip_it_rests_on():
    notes = [
        note.text for note in chip_side(bottle(lot="B", chips=(plain_chip("B"),)), drops=3).notes
    ]
    assert notes[0] == "Bottle's look rests on 2 colours off a stepped chip of lot B."
