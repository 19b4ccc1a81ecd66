"""Guessed bottles: smooth, possible, true to what was read, the same every time."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from partline.data.cie import WAVELENGTHS
from partline.materials.chip import Chip, HidingReading, PatchReading
from partline.materials.supply import Clarity
from partline.physics.colorimetry import reflectance_to_xyz, xyz_to_lab
from partline.process.appearance import card_hiding, media_of, solver_for
from partline.process.card import CARD_WHITE
from partline.process.chip_reading import Reading, look, patch_lab
from partline.process.chip_side import chip_side
from partline.process.guessed_optics import (
    FAMILY_SLACK,
    HIDING_SPREAD,
    MEMBERS,
    PATCH_SPREAD,
    STAND_IN_SPREAD,
    guessed_optics,
    least_hiding,
)
from partline.process.likely_bottle import SMOOTHNESS, family_of, smooth_shapes
from partline.process.optics import CONTRADICTION, side_optics
from partline.quantities.estimate import Estimate, Origin
from tests.process.bottles import bottle, entered, hiding_of, measured, patch_of, true_optics

CHIP = Chip(drops=3.0, thickness=2e-3)
SAND = PatchReading(srgb=(0xC9, 0xA4, 0x6B), chip=CHIP)
#: What it hides by its colour alone is about 0.5; 0.62 is within what such a chip may.
HALF_HIDDEN = HidingReading(value=0.62, chip=CHIP)
READ = {
    "nothing": {},
    "patch": {"patch": SAND},
    "hiding": {"hiding": HALF_HIDDEN},
    "both": {"patch": SAND, "hiding": HALF_HIDDEN},
}


def looks(guess_of, depth: float = 2e-3) -> tuple[np.ndarray, np.ndarray]:
    """Lab over white and hiding of every member's chip, at 3 drops, in 8 directions."""
    side = chip_side(guess_of, drops=3.0)
    ones = np.ones((MEMBERS + 1, len(side.names)))
    every = np.zeros(ones.shape, int)
    every[:, 1] = np.arange(MEMBERS + 1)  # after the plain plastic
    solver = solver_for([side], 8)
    media = media_of(solver, [side], [ones], [every])
    light = solver.reflectance(
        media, np.arange(media.count)[:, None], np.full((media.count, 1), depth), CARD_WHITE
    ).normal
    hides = card_hiding(side, np.array([depth]), ones, members=every)[:, 0]
    assert light.min() >= 0
    assert light.max() <= 1
    return xyz_to_lab(reflectance_to_xyz(light)), hides


@pytest.mark.parametrize("clarity", Clarity)
@pytest.mark.parametrize("read", READ.values(), ids=READ)
def test_every_member_is_a_plastic_that_could_be(clarity, read):
    guess = guessed_optics(bottle(clarity, **read))
    assert guess.absorption.shape == guess.scattering.shape == (MEMBERS + 1, WAVELENGTHS.size)
    assert np.all(guess.absorption > 0)
    assert np.all(guess.scattering > 0)
    assert np.all(np.abs(guess.anisotropy) < 1)
    _, hides = looks(bottle(clarity, **read))
    assert np.all((hides >= 0) & (hides <= 1))


@pytest.mark.parametrize("clarity", Clarity)
@pytest.mark.parametrize("read", READ.values(), ids=READ)
def test_spectra_are_smooth(clarity, read):
    guess = guessed_optics(bottle(clarity, **read))
    bends = np.diff(np.log(guess.absorption), 2, axis=1)
    # A Gaussian process of length 35 nm and spread 2.1 bends by √3 (10/35)² · 2.1 = 0.30 a step
    # of 10 nm; five times that in a thousand draws is as good as never.
    step = WAVELENGTHS[1] - WAVELENGTHS[0]
    assert np.abs(bends).max() < 5 * np.sqrt(3) * (step / SMOOTHNESS) ** 2 * 2.1
    assert np.abs(np.diff(np.log(guess.scattering), 2, axis=1)).max() < 0.01  # a power law


def test_the_smooth_shapes_add_up_to_a_process_of_unit_variance():
    kept = (smooth_shapes() ** 2).sum(axis=0)
    # The shapes hold 99.9 % of the variance in the mean; at the ends a little less.
    assert kept.mean() == pytest.approx(1.0, abs=2e-3)
    assert kept.min() > 0.97


@pytest.mark.parametrize("clarity", Clarity)
def test_members_look_as_was_read(clarity):
    # Two readings of one real chip, so that they can both be met.
    true = measured(true_optics(np.random.default_rng(4), clarity), clarity)
    read = entered(true, CHIP)
    lab, hides = looks(read)
    off = lab - patch_lab(patch_of(read))
    # Each member was fitted to readings moved within their spread, 2.5 of it among 32; as much
    # again for a chip that may be 10 % thicker than noted and for the four directions of a fit.
    assert np.abs(off).max() < 5 * PATCH_SPREAD * FAMILY_SLACK
    assert np.abs(hides - hiding_of(read).value).max() < 5 * HIDING_SPREAD
    # The nominal one stands in the middle of them.
    assert np.abs(off[0]).max() < 2.5 * PATCH_SPREAD
    assert abs(hides[0] - hiding_of(read).value) < 2.5 * HIDING_SPREAD


@pytest.mark.parametrize("clarity", Clarity)
def test_a_hiding_reading_narrows_what_a_chip_may_hide(clarity):
    true = measured(true_optics(np.random.default_rng(4), clarity), clarity)
    nothing, patch, both = (
        np.subtract(
            *np.percentile(looks(entered(true, CHIP, **read), depth=4e-3)[1][1:], [90, 10])
        )
        for read in ({"patch": False, "hiding": False}, {"hiding": False}, {})
    )
    assert both <= patch
    assert both < 0.4 * nothing


def test_the_same_entry_gets_the_same_guess_and_the_name_does_not_matter():
    one = guessed_optics(bottle(patch=SAND))
    guessed_optics.__globals__["_of_a_drop"].cache_clear()
    two = guessed_optics(bottle(patch=SAND, name="Another"))
    np.testing.assert_array_equal(one.absorption, two.absorption)
    np.testing.assert_array_equal(one.anisotropy, two.anisotropy)


def test_weighing_a_drop_leaves_what_a_counted_drop_does_to_light():
    heavy = Estimate.exact(40e-6)
    light, dark = (
        chip_side(bottle(patch=SAND, drop_mass=mass), drops=3.0)
        for mass in (Estimate.exact(30e-6), heavy)
    )
    np.testing.assert_allclose(light.absorption[1], dark.absorption[1], rtol=1e-12)


def test_a_chip_known_by_weight_gives_constants_by_weight():
    by_mass = Chip(share=0.0009, thickness=2e-3)
    by_drop = Chip(drops=3.0, thickness=2e-3)  # 3 drops of 30 mg in 100 g are the same
    one, two = (guessed_optics(bottle(patch=replace(SAND, chip=c))) for c in (by_mass, by_drop))
    np.testing.assert_allclose(one.absorption, two.absorption, rtol=1e-9)


def test_only_a_bottle_known_one_way_and_dosed_the_other_asks_for_its_drop():
    loose = Estimate.within(30e-6, 0.5, Origin.DEFAULT)
    by_drop = bottle(patch=SAND, drop_mass=loose)
    by_mass = bottle(patch=replace(SAND, chip=Chip(share=9e-4, thickness=2e-3)), drop_mass=loose)
    assert chip_side(by_drop, drops=3.0).spread[1] == 0
    assert chip_side(by_drop, share=9e-4).spread[1] > 0.3
    assert chip_side(by_mass, drops=3.0).spread[1] > 0.3
    assert chip_side(by_mass, share=9e-4).spread[1] == 0


def test_an_unnoted_chip_leaves_a_wider_guess():
    noted, unnoted = (looks(bottle(patch=replace(SAND, chip=chip)))[1] for chip in (CHIP, Chip()))
    assert np.ptp(unnoted) > 2 * np.ptp(noted)


def test_a_stand_in_colour_binds_less_than_one_that_was_looked_at():
    seen = looks(bottle(patch=SAND))[0]
    stands_in = looks(bottle(patch=SAND, guesses=("patch",)))[0]
    assert STAND_IN_SPREAD > PATCH_SPREAD
    assert stands_in[1:].std(axis=0).max() > 2 * seen[1:].std(axis=0).max()


@pytest.mark.parametrize("clarity", Clarity)
def test_slopes_of_the_look_are_its_difference_quotients(clarity):
    family = family_of(clarity)
    readings = [
        Reading(which=(0, 1, 2, 3), value=np.zeros(4), spread=np.ones(4),
                drops=3.0, thickness=2e-3, doubt=0.3),
        Reading(which=(3,), value=np.zeros(1), spread=np.ones(1),
                drops=6.0, thickness=1e-3, doubt=0.1),
    ]  # fmt: skip
    numbers = 0.5 * np.random.default_rng(2).standard_normal((2, family.count + 2))
    seen = look(family, readings, numbers)
    assert seen.slope.shape == (2, 5, family.count + 2)
    for place in range(numbers.shape[1]):
        ends = []
        for sign in (1, -1):
            moved = numbers.copy()
            moved[:, place] += sign * 1e-3
            ends.append(look(family, readings, moved).value)
        quotient = (ends[0] - ends[1]) / 2e-3
        np.testing.assert_allclose(
            seen.slope[:, :, place], quotient, atol=5e-3 * max(1.0, np.abs(quotient).max())
        )


def test_readings_that_contradict_each_other_are_said_to():
    dark = bottle(
        patch=PatchReading(srgb=(60, 40, 20), chip=CHIP),
        hiding=HidingReading(value=0.3, chip=CHIP),
    )
    assert guessed_optics(dark).misfit > CONTRADICTION
    assert any("Look at the chip again" in note.text for note in chip_side(dark, drops=3).notes)
    fair = bottle(patch=SAND, hiding=HALF_HIDDEN)
    assert guessed_optics(fair).misfit < CONTRADICTION
    assert not any("again" in note.text for note in chip_side(fair, drops=3).notes)


def test_a_guess_is_noted_as_one_and_a_measurement_is_not():
    notes = [note.text for note in chip_side(bottle(patch=SAND), drops=3.0).notes]
    assert notes == [
        "Bottle was never measured: it is guessed from the colour of a chip. A stepped chip of "
        "Bottle on the printed card would measure it."
    ]
    true = measured(true_optics(np.random.default_rng(1), Clarity.CLEAR), Clarity.CLEAR)
    assert chip_side(true, drops=3.0).notes == ()
    assert chip_side(true, drops=3.0).count(1) == 0


def test_a_dark_chip_hides_at_least_what_it_takes_from_white():
    # Y of mid grey, L* 50, is 0.184 (CIE 1976): 1 − 0.184/0.81 of the card's step is hidden.
    assert least_hiding(PatchReading(lab=(50.0, 0.0, 0.0))) == pytest.approx(0.7727, abs=1e-4)
    assert least_hiding(PatchReading(lab=(100.0, 0.0, 0.0))) == 0.0
    # Real chips keep the bound: their own black side is never darker than nothing.
    for seed in range(8):
        true = measured(true_optics(np.random.default_rng(seed), Clarity.CLEAR), Clarity.CLEAR)
        read = entered(true, CHIP)
        assert hiding_of(read).value >= least_hiding(patch_of(read)) - 0.01  # rounded readings


def test_side_optics_of_a_measured_bottle_has_one_member():
    from tests.process.shed import drops, plastic_of

    side = side_optics(plastic_of(drops("Peat", 3)))
    assert [side.count(part) for part in range(len(side.names))] == [0, 0, 0]
