"""Drops on a scale and lots on the card: the figure, its range, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from partline.errors import Imbalance, InputError, OutOfRange
from partline.materials.supply import Clarity
from partline.process.appearance import card_hiding
from partline.process.chip_side import chip_side
from partline.quantities.estimate import Estimate, Origin
from partline.studies.bottle_trials import (
    drop_from_weighing,
    new_strength,
    strength_from_drops,
    strength_from_hiding,
)
from tests.process.bottles import bottle, measured, true_optics

GRAM = 1e-3


def test_fifty_drops_of_a_gram_and_a_half_are_thirty_milligrams_within_one_point_four():
    # The trade's own figure: 1.5 g on a 0.1 g scale is 30 ± 1.4 mg (common practice, no source).
    drop = drop_from_weighing(50, 1.5 * GRAM, 0.1 * GRAM)
    assert drop.value == pytest.approx(30e-6, rel=1e-12)
    assert drop.high - drop.value == pytest.approx(1.4e-6, abs=0.05e-6)  # its printed digit
    assert drop.value - drop.low == pytest.approx(drop.high - drop.value, rel=1e-9)
    assert drop.origin is Origin.MEASURED
    assert drop.count == 50


def test_a_finer_scale_or_more_drops_make_it_surer():
    def off(count: int, step: float) -> float:
        drop = drop_from_weighing(count, count * 30e-6, step)
        return drop.high - drop.value

    assert off(50, 0.01 * GRAM) == pytest.approx(off(50, 0.1 * GRAM) / 10, rel=1e-9)
    assert off(200, 0.1 * GRAM) == pytest.approx(off(50, 0.1 * GRAM) / 4, rel=1e-9)


def test_the_range_holds_what_rounding_does_to_two_readings():
    # Tare and gross rounded to the step, wherever they fall on it: nine in ten stay within.
    rng = np.random.default_rng(3)
    tare = rng.uniform(20, 30, 20_000)
    shown = np.round((tare + 1.5) / 0.1) * 0.1 - np.round(tare / 0.1) * 0.1
    drop = drop_from_weighing(50, 1.5 * GRAM, 0.1 * GRAM)
    inside = np.abs(shown / 50 * GRAM - 30e-6) <= drop.high - drop.value + 1e-12
    assert inside.mean() >= 0.8  # what a range promises


@pytest.mark.parametrize(
    ("count", "grams", "step", "kind", "words"),
    [
        (50, 150.0, 0.1, OutOfRange, "5 to 100 mg"),
        (50, 0.1, 0.01, OutOfRange, "5 to 100 mg"),
        (5, 0.15, 0.01, OutOfRange, "too few"),
        (10, 0.3, 1.0, Imbalance, "too coarse"),
    ],
)
def test_what_is_no_weighing_of_drops_is_refused(count, grams, step, kind, words):
    with pytest.raises(kind, match=words) as refused:
        drop_from_weighing(count, grams * GRAM, step * GRAM)
    assert refused.value.field
    assert refused.value.remedy


def test_fewer_drops_that_look_alike_are_a_stronger_lot():
    ratio = strength_from_drops(9, 7)
    assert ratio.value == pytest.approx(9 / 7, rel=1e-12)
    assert ratio.low < ratio.value < ratio.high
    assert ratio.origin is Origin.MEASURED
    with pytest.raises(OutOfRange, match="too few"):
        strength_from_drops(9, 0.5)
    with pytest.raises(OutOfRange, match="another colour"):
        strength_from_drops(90, 1)


@pytest.mark.parametrize("clarity", Clarity)
@pytest.mark.parametrize("times", [0.6, 1.0, 1.5])
def test_two_chips_on_the_card_give_back_how_strong_a_lot_was_made(clarity, times):
    true = measured(true_optics(np.random.default_rng(9), clarity), clarity)
    side, depth = chip_side(true, drops=2.0), np.array([1e-3])
    factors = np.ones((2, len(side.names)))
    factors[1, 1] = times  # the bottle, after the plain plastic
    old, new = card_hiding(side, depth, factors, nodes=4)[:, 0]
    ratio = strength_from_hiding(true, old, new, thickness=1e-3, drops=2.0)
    # Interpolated between multiples 12 % apart: well within a per cent.
    assert ratio.value == pytest.approx(times, rel=0.01)
    assert ratio.low < ratio.value < ratio.high
    # A reading is good to 0.04 of the card, so a strength to some ten per cent, no better.
    assert ratio.high / ratio.low > 1.1


def test_chips_that_hide_all_or_nothing_tell_no_strength():
    for old, new, words in ((0.5, 0.99, "thinner"), (0.01, 0.5, "thicker")):
        with pytest.raises(OutOfRange, match=words):
            strength_from_hiding(bottle(), old, new, thickness=2e-3, drops=3.0)


def test_a_new_lot_carries_the_doubt_of_the_old():
    old = Estimate.within(1.0, 0.2, Origin.DEFAULT)
    ratio = strength_from_drops(9, 7)
    both = new_strength(old, ratio)
    assert both.value == pytest.approx(9 / 7)
    assert both.high / both.low > max(old.high / old.low, ratio.high / ratio.low)
    sure = new_strength(Estimate.exact(1.0), ratio)
    assert sure.high / sure.low == pytest.approx(ratio.high / ratio.low, rel=1e-9)
    with pytest.raises(InputError, match="bottle of its own"):
        new_strength(Estimate.exact(15.0), strength_from_drops(10, 5))
