"""An old lot of a bottle against a new one, from stepped chips of both."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError
from partline.materials.chip import LotChip
from partline.materials.supply import Colourant
from partline.physics.colour_difference import ciede2000
from partline.process.chip_fitting import fit_bottles
from partline.process.chip_reading import Reading, look
from partline.process.composition import LOADING_BASIS
from partline.process.lot_pair import LotPair, lot_pair_of
from partline.process.lot_reading import lot_readings
from partline.quantities.estimate import Estimate, Origin
from partline.studies.uncertainty import central_range
from partline.studies.verdict import DISTINCT

Floats = NDArray[np.floating]

#: Up to the first half of all observers see no difference, up to the second half of them accept
#: it; sources stand with the verdict's words. [ΔE00]
NOTICED, ACCEPTED = DISTINCT[0].below, DISTINCT[1].below
#: Strengths of the new lot against the old that are tried. [-]
TRIED = np.geomspace(1 / 5, 5.0, 33)
#: Thickness that the lots' hues are compared at. [m]
COMPARED_AT = 2e-3


class Hue(StrEnum):
    """What two lots' chips say of their hue at equal strength."""

    CHANGED = "changed"
    ALIKE = "alike"
    UNSURE = "cannot be told"


@dataclass(frozen=True, slots=True, kw_only=True)
class LotsCompared:
    """A new lot against an old one.

    Parameters
    ----------
    strength : Estimate
        Colouring power of the new lot against the old. [-]
    multiply : Estimate
        What drops of the old lot are to be multiplied by for the new. [-]
    difference : Estimate
        What is left between chips of 2 mm over white with drops so multiplied. [ΔE00]
    hue : Hue
        Whether that difference is beyond doubt.
    misfit : float
        How far the likeliest pair stays from a reading, in standard deviations. [-]
    """

    strength: Estimate
    multiply: Estimate
    difference: Estimate
    hue: Hue
    misfit: float


def compare_chips(
    bottle: Colourant, old: tuple[LotChip, ...], new: tuple[LotChip, ...]
) -> LotsCompared:
    """Compare two lots by their stepped chips.

    Parameters
    ----------
    bottle : Colourant
        What both are lots of: its clarity and the mass of its drop count.
    old, new : tuple of LotChip
        At least one of each.

    Raises
    ------
    InputError
        If a lot has no chip, or the loading of one was never noted: without it there is no
        strength.

    Notes
    -----
    Both lots are fitted at once: one spectrum, one strength, and a new lot's own bands and body
    that stay small unless the chips say otherwise. What a photo or an eye is off by is one number
    a backing for each chip, so that it cancels in neither.
    """
    for chips, word in ((old, "old"), (new, "new")):
        if not chips:
            raise InputError(f"There is no stepped chip of the {word} lot.", field=f"{word}_lot",
                             remedy="Read one on the printed card, and keep it.")  # fmt: skip
        if any(each.chip.drops is None and each.chip.share is None for each in chips):
            raise InputError(
                f"Nobody noted how much colour the {word} lot’s chip holds, so that its strength "
                "cannot be told.",
                field=f"{word}_lot",
                remedy="Pour one with counted drops or weighed grams.",
            )
    share, pair = bottle.drop_mass.value / LOADING_BASIS, lot_pair_of(bottle.clarity)
    before, shared = lot_readings(old, share, lot=0)
    after, shared = lot_readings(new, share, lot=1, shared=shared)
    fit = fit_bottles(pair, [*before, *after], shared)
    usual = float(np.median([each.drops for each in before]))
    ratio, left = _looking_alike(pair, fit.numbers[1:, : pair.count], usual)
    count = sum(each.count for each in (*old, *new))
    low, high = central_range(ratio)
    middle = float(np.median(ratio))
    strength = Estimate(
        value=middle, low=min(low, middle), high=max(high, middle), origin=Origin.MEASURED,
        source=f"stepped chips of both lots: {count} colours", count=count,
        narrows="another chip of each lot, poured on one day",
    )  # fmt: skip
    low, high = central_range(left)
    value = float(np.median(left))
    difference = Estimate(value=value, low=min(low, value), high=max(high, value),
                          origin=Origin.MEASURED, source=strength.source, count=count)  # fmt: skip
    return LotsCompared(
        strength=strength,
        multiply=replace(strength, value=1 / middle, low=1 / strength.high, high=1 / strength.low),
        difference=difference,
        hue=_hue(difference),
        misfit=fit.misfit,
    )


def _hue(left: Estimate) -> Hue:
    if left.low > NOTICED:
        return Hue.CHANGED
    return Hue.ALIKE if left.high < ACCEPTED else Hue.UNSURE


def _looking_alike(pair: LotPair, numbers: Floats, drops: float) -> tuple[Floats, Floats]:
    """Return how much stronger the new lot looks, and how far off it stays, shapes (members,).

    The strength is that by which the new lot's drops are divided where chips of both, over white,
    look most alike. [-], [ΔE00]
    """
    chip = Reading(
        which=(0, 1, 2), value=np.zeros(3), spread=np.ones(3), drops=drops,
        thickness=COMPARED_AT, doubt=0.0,
    )  # fmt: skip
    tried = [replace(chip, drops=drops / each, lot=1) for each in TRIED]
    padded = np.pad(numbers, ((0, 0), (0, 1 + len(tried))))
    seen = look(pair, [chip, *tried], padded).value.reshape(len(numbers), -1, 3)
    off = np.array([ciede2000(seen[:, 0], seen[:, 1 + place]) for place in range(len(tried))])
    best = np.clip(off.argmin(axis=0), 1, len(tried) - 2)
    rows = np.arange(len(numbers))
    below, here, above = (off[best + way, rows] ** 2 for way in (-1, 0, 1))
    # A parabola through the squares of the three nearest: a difference has a kink at nothing.
    bend = np.maximum(below - 2 * here + above, 1e-12)
    away = np.clip((below - above) / (2 * bend), -1.0, 1.0)
    step = np.log(TRIED[1] / TRIED[0])
    left = np.sqrt(np.maximum(here - bend * away**2 / 2, 0.0))
    return TRIED[best] * np.exp(step * away), left
