"""Stepped chips of bottles whose constants are known, read as a photo would read them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from partline.materials.chip import Chip, LotChip, StepReading
from partline.materials.supply import Colourant
from partline.physics.colorimetry import xyz_to_lab
from partline.process.appearance import chip_colour
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.chip_side import chip_side
from partline.quantities.estimate import Origin

#: What a photo is off by: light and channels of the whole photo, a veil, and each place. [-]
GAIN, CHANNEL, VEIL, PLACE = 0.015, 0.004, 0.0015, 0.7
#: What a chip is off by: its loading in drops, and a step that was poured and not measured. [-]
LOADED, POURED = 0.06, 0.08
MM = 1e-3


def read_off(
    true: Colourant,
    rng: np.random.Generator,
    *,
    drops: float = 3.0,
    steps: tuple[float, ...] = (1.0, 2.0, 4.0),
    is_callipered: bool = False,
    noise: float = 1.0,
    lot: str = "",
) -> LotChip:
    """Read a chip of a bottle over white and black; steps in mm."""
    loaded = drops * np.exp(noise * LOADED * rng.standard_normal())
    off = 0.0 if is_callipered else POURED
    depth = MM * np.array(steps) * np.exp(noise * off * rng.standard_normal(len(steps)))
    gain = np.exp(noise * (GAIN * rng.standard_normal() + CHANNEL * rng.standard_normal(3)))
    veil = noise * VEIL * abs(rng.standard_normal())
    side = chip_side(true, drops=loaded)
    labs = [
        xyz_to_lab(chip_colour(side, depth, backing=card) * gain + veil)
        + noise * PLACE * rng.standard_normal((len(steps), 3))
        for card in (CARD_WHITE, CARD_BLACK)
    ]
    return LotChip(
        lot=lot,
        chip=Chip(drops=drops),
        steps=tuple(
            StepReading(
                thickness=step * MM, is_callipered=is_callipered,
                over_white=tuple(white.tolist()), over_black=tuple(black.tolist()),
            )
            for step, white, black in zip(steps, *labs, strict=True)
        ),
        doubt=max(noise, 0.1) * 0.8,
        shared_doubt=max(noise, 0.1) * 1.2,
        shared_black=max(noise, 0.1) * 1.2,
    )  # fmt: skip


def with_chips(true: Colourant, *chips: LotChip) -> Colourant:
    """The same bottle as its chips tell of it."""
    return replace(true, optics=None, optics_origin=Origin.DEFAULT, chips=chips)
