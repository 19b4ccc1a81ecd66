"""How the two cups stand to each other: matched or one waits, and when both may be drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from partline.process.run import RunPlan
from partline.services.runs.forecast import CupForecast, Moments
from partline.services.runs.heating import Kit
from partline.studies.countdown import Band, Match, Pair, Slot

#: Below this chance the two cups are said to miss each other. [-]
LIKELY = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """What is said of the two cups.

    Parameters
    ----------
    text : str
        One line.
    waits : str
        ``A``, ``B`` or empty.
    seconds : float
        How long. [s]
    difference : float
        By how much it is warmer. [K]
    start : Moments
        When both have fallen to the start: later than either alone, since each may be late.
    opens, closes : datetime or None
        When both lie in the working band; None where they hardly do.
    """

    text: str
    waits: str
    seconds: float
    difference: float
    start: Moments
    opens: datetime | None
    closes: datetime | None


def matched(
    cups: dict[str, CupForecast], plan: RunPlan, kit: Kit, zero: datetime, now: datetime
) -> Matched | None:
    """Return how the cups stand to each other; None while one wants heat, or for one cup.

    Parameters
    ----------
    cups : dict of str to CupForecast
        By letter.
    plan : RunPlan
        That the run follows.
    kit : Kit
        Its cups in terms of heat.
    zero : datetime
        Moment that both cups' clocks begin at.
    now : datetime
        In UTC.
    """
    if any(cup.wants_heat for cup in cups.values()):
        return None
    known = {letter: cup.known for letter, cup in cups.items() if cup.known is not None}
    if set(known) != {"A", "B"}:
        return None
    back, belly = known["A"].posterior, known["B"].posterior
    pair = Pair(back=back, belly=belly, between=kit.thermometer.between_cups)
    clock = (now - zero).total_seconds()
    band = Band(start=plan.band[1], stop=plan.band[0])
    match, slot = pair.match(clock), pair.slot(band, band)
    opens = zero + timedelta(seconds=slot.opens.value)
    closes = zero + timedelta(seconds=slot.closes.value)
    is_likely = slot.chance >= LIKELY
    return Matched(
        text=_said(match, slot, plan),
        waits=match.waits,
        seconds=match.seconds.value,
        difference=abs(match.difference.value),
        start=Moments.after(zero, slot.opens),
        opens=opens if is_likely else None,
        closes=closes if is_likely else None,
    )


def start_of(cups: Mapping[str, CupForecast], match: Matched | None) -> Moments | None:
    """Return when a draw may begin: when both cups have fallen to the start, or the one there is.

    Parameters
    ----------
    cups : mapping of str to CupForecast
        By letter.
    match : Matched or None
        From `matched`.
    """
    if match is not None:
        return match.start
    known = [cup.start for cup in cups.values() if cup.start is not None]
    return max(known, key=lambda each: each.mid) if known else None


def _said(match: Match, slot: Slot, plan: RunPlan) -> str:
    if not match.waits:
        return "A and B are matched."
    apart = abs(match.difference.value)
    shown = f"{apart * 1.8:.0f} °F" if plan.bench.reads_fahrenheit else f"{apart:.0f} °C"
    other = "B" if match.waits == "A" else "A"
    text = (
        f"{match.waits} is {shown} warmer: it waits {match.seconds.value:.0f} s, "
        f"{other} kept warm meanwhile."
    )
    return text if slot.chance >= LIKELY else text + " As they stand they miss each other."
