"""Where the mistakes of a practice run are hidden, and when the learner has noticed one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from partline.process.run import Event, Kind, RunPlan, RunState, Told
from partline.services.runs.practice.options import Slip

#: What a thermometer is set to by mistake. It then reads far too high. [-]
WRONG_SETTING = 0.80
#: How long somebody stands at the door. [s]
AT_THE_DOOR = 100.0

Step = tuple[Event, RunState, RunState]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hiding:
    """The places of the mistakes.

    Parameters
    ----------
    slips : tuple of Slip
        Hidden in this run.
    tare_melt, tare_cup
        Weighing for which the empty cup is in what the scale shows.
    swapped_melt : int
        Of whose first shot the syringes are filled from the wrong cups.
    unit_reading : int
        Readings told before the one that the display shows in the other scale.
    setting_reading : int
        Readings told before the thermometer's setting is knocked.
    bell_shot : int
        Shot after which the doorbell rings.
    """

    slips: tuple[Slip, ...]
    tare_melt: int = 1
    tare_cup: str = "A"
    swapped_melt: int = 1
    unit_reading: int = 2
    setting_reading: int = 4
    bell_shot: int = 1

    def has(self, slip: Slip) -> bool:
        """Whether a mistake is hidden in this run."""
        return slip in self.slips


def hiding(seed: int, slips: Sequence[Slip], plan: RunPlan) -> Hiding:
    """Return where a seed hides the mistakes of a run."""
    rng = np.random.default_rng([seed, 2])
    last_bell = max(min(plan.melts[0].shots - 1, 3), 1)
    return Hiding(
        slips=tuple(slips),
        tare_melt=int(rng.integers(1, len(plan.melts) + 1)),
        tare_cup=plan.letters[int(rng.integers(len(plan.letters)))],
        swapped_melt=min(2, len(plan.melts)),
        unit_reading=int(rng.integers(1, 4)),
        setting_reading=int(rng.integers(4, 7)),
        bell_shot=int(rng.integers(1, last_bell + 1)),
    )


def is_weighing_gross(hidden: Hiding, melt: int, cup: str) -> bool:
    """Whether the empty cup is in what the scale shows."""
    is_here = (melt, cup) == (hidden.tare_melt, hidden.tare_cup)
    return hidden.has(Slip.TARE) and is_here


def mould_turned(told: Sequence[Told]) -> datetime | None:
    """Return when the learner noticed that something lies the wrong way round; None if never."""
    for each in told:
        if not each.is_void and _says_wrong_way(each.event):
            return each.event.at
    return None


def _says_wrong_way(event: Event) -> bool:
    if event.kind is Kind.FIRST_SHOT:
        return event.data.get("dark_side_up") is False
    return event.kind is Kind.WRONG and event.text("what") in ("upside down", "swapped")


def is_upside_down(hidden: Hiding, told: Sequence[Told], at: datetime) -> bool:
    """Whether the mould lies upside down at a moment."""
    noticed = mould_turned(told)
    return hidden.has(Slip.UPSIDE_DOWN) and (noticed is None or at < noticed)


def is_swapped(hidden: Hiding, told: Sequence[Told], at: datetime, melt: int, shot: int) -> bool:
    """Whether the syringes of a shot, told by its number in its melt, hold the wrong colours."""
    if not hidden.has(Slip.SWAPPED) or (melt, shot) != (hidden.swapped_melt, 1):
        return False
    said = [
        each.event.at
        for each in told
        if not each.is_void
        and each.event.kind is Kind.WRONG
        and each.event.text("what") == "swapped"
    ]
    return not any(moment <= at for moment in said)


def setting_noticed(hidden: Hiding, told: Sequence[Told]) -> tuple[datetime, str] | None:
    """Return when the learner noticed the thermometer's setting, and by which event.

    A reading that was made with it was taken back or corrected, or something was marked as wrong.
    """
    if not hidden.has(Slip.EMISSIVITY):
        return None
    off = [each for each in told if each.event.kind is Kind.READING][hidden.setting_reading :]
    if not off:
        return None
    found = [(each.event.at, each.corrected_by) for each in off if each.corrected_by]
    found += [
        (each.event.at, each.event.id)
        for each in told
        if each.event.kind is Kind.WRONG and not each.is_void and each.event.at > off[0].event.at
    ]
    return min(found) if found else None


def is_setting_wrong(hidden: Hiding, told: Sequence[Told]) -> bool:
    """Whether the next reading is made with the wrong setting."""
    count = sum(1 for each in told if each.event.kind is Kind.READING)
    is_knocked = hidden.has(Slip.EMISSIVITY) and count >= hidden.setting_reading
    return is_knocked and setting_noticed(hidden, told) is None


def is_other_unit(hidden: Hiding, told: Sequence[Told]) -> bool:
    """Whether the next reading is shown in the scale that the bench does not use."""
    count = sum(1 for each in told if each.event.kind is Kind.READING)
    return hidden.has(Slip.WRONG_UNIT) and count == hidden.unit_reading


def bell(hidden: Hiding, steps: Sequence[Step]) -> datetime | None:
    """Return when the doorbell rang; None before it does."""
    if not hidden.has(Slip.DOORBELL):
        return None
    for event, before, after in steps:
        if len(after.shots) > len(before.shots) and len(after.shots) == hidden.bell_shot:
            return event.at
    return None


def away_until(hidden: Hiding, steps: Sequence[Step]) -> datetime | None:
    """Return when somebody who went to the door is back; None where nobody rang."""
    rang = bell(hidden, steps)
    return None if rang is None else rang + timedelta(seconds=AT_THE_DOOR)
