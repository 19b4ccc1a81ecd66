"""A stepped chip of a lot as readings: what its colours, loading and steps may be off by."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np

from partline.materials.chip import Chip, LotChip, StepReading
from partline.process.chip_reading import SHIFTS, Reading

#: What a chip is taken to hold where nobody noted it, and the spread of the logarithm of that.
#: [drops in 100 g], [-]
USUAL_DROPS, UNNOTED = 3.0, 0.7
#: Spread of the logarithm of a loading that was counted in drops, and of one that was weighed.
#: Common practice, no source. [-]
COUNTED, WEIGHED = 0.06, 0.03
#: What a calliper is off by; and a step that nobody put one to, as a share and by itself. Common
#: practice, no source. [m], [-], [m]
CALLIPER, UNMEASURED, POURED = 0.03e-3, 0.06, 0.1e-3
#: How far the picture of a chip may be off by itself: few directions, plain plastic that is a
#: little clearer or hazier than taken. In each of L*, a* and b*; by comparison with a finer
#: solve. [-]
MODEL = 0.5


def lot_readings(
    chips: Sequence[LotChip], drop_share: float, *, lot: int = 0, shared: int = 0
) -> tuple[list[Reading], int]:
    """Return the readings of a lot's stepped chips.

    Parameters
    ----------
    chips : sequence of LotChip
        All of one lot.
    drop_share : float
        Mass share of one drop in 100 g, by which a weighed loading is counted. [-]
    lot : int
        Which lot of the family they are of.
    shared : int
        Shared numbers that are taken already.

    Returns
    -------
    readings : list of Reading
        One a step.
    shared : int
        Shared numbers taken now: one for the loading of each chip, six for what its colours
        may be off by together, three over white and three over black.
    """
    readings = []
    for each in chips:
        loading, shift = shared, shared + 1
        shared += 1 + SHIFTS
        drops, doubt = _loading(each.chip, drop_share)
        for step in each.steps:
            which, value = _values(step)
            readings.append(
                Reading(
                    which=which,
                    value=np.array(value),
                    spread=np.full(len(value), hypot(each.doubt, MODEL)),
                    drops=drops,
                    thickness=step.thickness,
                    doubt=_thickness_doubt(step),
                    loading=(loading, doubt),
                    shift=(shift, each.shared_doubt, each.shared_black),
                    lot=lot,
                )
            )
    return readings, shared


def _values(step: StepReading) -> tuple[tuple[int, ...], list[float]]:
    which: list[int] = []
    value: list[float] = []
    for first, lab in ((0, step.over_white), (4, step.over_black)):
        if lab is not None:
            which += range(first, first + 3)
            value += lab
    return tuple(which), value


def _loading(chip: Chip, drop_share: float) -> tuple[float, float]:
    """Return the drops in 100 g and the spread of their logarithm."""
    if chip.drops is not None:
        return chip.drops, COUNTED
    if chip.share is not None:
        return chip.share / drop_share, WEIGHED
    return USUAL_DROPS, UNNOTED


def _thickness_doubt(step: StepReading) -> float:
    """Return the spread of the logarithm of a step's thickness. [-]"""
    if step.is_callipered:
        return CALLIPER / step.thickness
    return hypot(UNMEASURED, POURED / step.thickness)
