"""A bottle in the maker's units: what chips of it look like, and what would narrow that."""

from __future__ import annotations

from typing import Any

import numpy as np

from partline.materials.chip import LotChip
from partline.materials.supply import Colourant
from partline.physics.colorimetry import xyz_to_srgb
from partline.process.appearance import card_hiding, chip_colour
from partline.process.chip_side import chip_side
from partline.process.guessed_optics import USUAL_DROPS
from partline.process.optics import SideOptics, guessed_from
from partline.quantities.estimate import Estimate
from partline.records.exchange.chips import loading_words
from partline.services.telling import figure
from partline.studies.narrowing import drawn_words, measurement
from partline.studies.uncertainty import Draws, draw_doubts, most_to_blame, ranged

Json = dict[str, Any]

#: Thicknesses that a bottle is told at: from a thin tail to a thick belly. [m]
TOLD = (1e-3, 2e-3, 4e-3, 6e-3)


def bottle_as_json(bottle: Colourant) -> Json:
    """Return a bottle with what chips of it, 3 drops in 100 g, hide and look like.

    Parameters
    ----------
    bottle : Colourant
        Measured or not.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    side = chip_side(bottle, drops=USUAL_DROPS)
    draws = draw_doubts([side])
    hiding = _hiding(bottle, side, draws)
    colours = xyz_to_srgb(chip_colour(side, np.array(TOLD))).rgb
    return {
        "bottle": bottle.name,
        "lot": bottle.lot,
        "clarity": bottle.clarity.value,
        "is_measured": bottle.is_measured,
        "rests_on_chip": bool(bottle.counted_chips),
        "rests_on": bottle.optics_source if bottle.is_measured else guessed_from(bottle),
        "drop_mg": figure(bottle.drop_mass.map(lambda kg: kg * 1e6), 2),
        "strength": figure(bottle.lot_strength, 3),
        "drops_per_100_g": USUAL_DROPS,
        "chips": [
            {
                "thickness_mm": round(thickness * 1e3, 3),
                "hiding": figure(hides, 3),
                "colour_over_white": [round(float(part), 4) for part in colour],
            }
            for thickness, hides, colour in zip(TOLD, hiding, colours, strict=True)
        ],
        "lot_chips": [lot_chip_as_json(each, bottle) for each in bottle.chips],
        "notes": [note.text for note in side.notes],
    }


def lot_chip_as_json(chip: LotChip, bottle: Colourant) -> Json:
    """Return a stepped chip as it was read, and whether the bottle's look rests on it."""
    return {
        "lot": chip.lot,
        "date": None if chip.day is None else chip.day.isoformat(),
        "loading": loading_words(chip.chip) or None,
        "doubt": chip.doubt,
        "shared_doubt": chip.shared_doubt,
        "shared_black": chip.shared_black,
        "photo": chip.photo or None,
        "counts": any(each is chip or each == chip for each in bottle.counted_chips),
        "steps": [
            {
                "thickness_mm": round(step.thickness * 1e3, 3),
                "callipered": step.is_callipered,
                "over_white": None if step.over_white is None else list(step.over_white),
                "over_black": None if step.over_black is None else list(step.over_black),
            }
            for step in chip.steps
        ],
    }


def _hiding(bottle: Colourant, side: SideOptics, draws: Draws) -> list[Estimate]:
    """Return what chips hide by themselves, thickness by thickness. [-]"""
    every = draws.and_as_written()
    depth = np.array(TOLD)
    sure = card_hiding(side, depth, np.ones((1, len(side.names))))[0]
    drawn = card_hiding(side, depth, every.factors[0], members=every.members[0], nodes=4)
    samples = drawn[:-1] + (sure - drawn[-1])
    found = []
    for place, value in enumerate(sure):
        doubt = most_to_blame(samples[:, place], draws.standard, draws.doubts)
        found.append(
            ranged(
                float(value),
                samples[:, place],
                ceiling=1.0,
                source=f"slab as thick as the chip; {drawn_words(draws.doubts, len(samples))}",
                narrows="" if doubt is None else measurement(doubt, {bottle.name: bottle}),
            )
        )
    return found
