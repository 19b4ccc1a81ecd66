"""A bottle entered by patch and hiding alone: how often its ranges cover what a measured one does.

The true bottles are sums of Gaussian bands and logistic edges on a floor, which no member of the
entry's family is. What is compared is what a maker decides by: how well the half hides and how
far the other shows through it, back against belly and the halves from the side, at a thickness
(0.7 to 6 mm) and a loading (half to four times the chip's) that nobody looked at.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from partline.materials.chip import Chip
from partline.materials.supply import Clarity
from partline.process.appearance import sightings
from partline.process.chip_side import chip_side
from partline.process.optics import side_optics
from partline.studies.uncertainty import central_range, draw_doubts
from tests.process.bottles import entered, measured, true_optics
from tests.process.shed import drops, plastic_of, station

CASES, SEED = 200, 11
FIGURES = ("back_hiding", "back_see_through", "back_belly", "side")


def covers(rng: np.random.Generator, clarity: Clarity) -> tuple[list[bool], list[float]]:
    """Whether each figure's range holds the truth, and how wide it is, for one bottle."""
    true = measured(true_optics(rng, clarity), clarity)
    chip = Chip(
        drops=float(rng.choice([2, 3, 4, 6])), thickness=float(rng.choice([1.5, 2, 3])) * 1e-3
    )
    guessed = entered(true, chip)
    assert chip.drops is not None
    amount = chip.drops * float(rng.choice([0.5, 1, 2, 4]))
    half = float(rng.choice([0.7, 1.5, 4, 6]))
    place = [station(2 * half, half, half)]
    chalk = replace(PALE, spread=np.zeros_like(PALE.spread))
    truth = sightings([chip_side(true, drops=amount), chalk], place, nodes=4)
    sides = [chip_side(guessed, drops=amount), chalk]
    drawn = draw_doubts(sides, place).and_as_written()
    seen = sightings(sides, place, drawn.factors, members=drawn.members, nodes=4)
    found, widths = [], []
    for figure in FIGURES:
        samples = getattr(seen, figure)[:, 0]
        low, high = central_range(samples[:-1])
        low, high = min(low, samples[-1]), max(high, samples[-1])  # as `ranged` widens it
        found.append(bool(low - 1e-9 <= getattr(truth, figure)[0, 0] <= high + 1e-9))
        widths.append(high - low)
    return found, widths


#: The other half: a bottle that is known exactly.
PALE = side_optics(plastic_of(drops("Chalk", 5)))


@pytest.mark.slow
def test_ranges_of_a_bottle_entered_by_patch_and_hiding_cover_its_measured_look(record_property):
    rng = np.random.default_rng(SEED)
    kinds = tuple(Clarity)
    cases = [covers(rng, kinds[case % len(kinds)]) for case in range(CASES)]
    rates = np.mean([found for found, _ in cases], axis=0)
    widths = np.median([wide for _, wide in cases], axis=0)
    for figure, rate, width in zip(FIGURES, rates, widths, strict=True):
        record_property(f"coverage of {figure}", float(rate))
        print(f"{figure}: covered in {rate:.1%} of {CASES}, median width {width:.3g}")  # noqa: T201
    assert np.all(rates >= 0.80)
    # Wide enough is easy; these must still say something: a hiding to a fifth of the card, a
    # colour difference to half of what tells strong from close (definitions: 12 and 6).
    assert widths[0] < 0.2
    assert np.all(widths[1:] < 9.0)
