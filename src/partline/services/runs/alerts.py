"""What must be seen whatever is on the screen: too hot, upside down, not set up."""

from __future__ import annotations

from datetime import datetime, timedelta

from partline.process.run import CupState, Phase, RunPlan, RunState
from partline.services.runs.heating import UNKNOWN_THERMOMETER

Json = dict[str, object]
#: How long a reading says something about now, where no newer one came. [s]
FRESH = 120.0


def alerts(state: RunState, plan: RunPlan, now: datetime) -> list[Json]:
    """Return warnings, the gravest first; tone ``stop`` or ``warn``.

    Parameters
    ----------
    state : RunState
        Where the run stands.
    plan : RunPlan
        That it follows.
    now : datetime
        In UTC.
    """
    if state.phase in (Phase.JUDGED, Phase.CLOSED):
        return []
    found = [alert for cup in state.cups.values() if (alert := _hot(cup, plan, now))]
    found += [alert for cup in state.cups.values() if (alert := _sparks(cup, state, plan, now))]
    found += [alert for cup in state.cups.values() if (alert := _sheds(cup, state, plan, now))]
    if state.wrong_side_up:
        found.append(
            {
                "key": "upside-down",
                "tone": "stop",
                "text": "Dark side down: the mould lay upside down, or the cups are swapped. No "
                "further shot before you know which.",
            }
        )
    if state.skipped and state.phase is not Phase.PLANNED:
        missing = ", ".join(sorted(state.skipped))
        mark = " Which mould half is BOTTOM was not seen." if "mark" in state.skipped else ""
        found.append(
            {
                "key": "set-up",
                "tone": "warn",
                "text": f"The set-up is not complete: {missing}.{mark}",
            }
        )
    return sorted(found, key=lambda alert: alert["tone"] != "stop")


def _sparks(cup: CupState, state: RunState, plan: RunPlan, now: datetime) -> Json | None:
    """Return what must be said of a cup that is in the oven with metal in it."""
    later = plan.melts[state.melt - 1].cups[cup.letter].later
    metal = {each.supply for each in later if each.is_metal}
    last = cup.last_burst
    inside = [each for each in cup.additions if each.supply in metal and each.mass > 0]
    if last is None or now - last.end > timedelta(seconds=FRESH):
        return None
    if not any(each.at <= last.at for each in inside):
        return None
    text = (
        f"Cup {cup.letter} went into the oven with {inside[0].supply} in it: metal sparks. Switch "
        "the oven off, keep its door shut until it is quiet."
    )
    return {"key": f"metal-{cup.letter}", "tone": "stop", "text": text}


def _sheds(cup: CupState, state: RunState, plan: RunPlan, now: datetime) -> Json | None:
    """Return what must be said of a cup that was read above what a flake in it stands."""
    if not cup.readings or now - cup.readings[-1].at > timedelta(seconds=FRESH):
        return None
    warm, reading = cup.readings[-1].temperature, plan.bench.reading
    for each in plan.melts[state.melt - 1].cups[cup.letter].later:
        if each.heat_limit is None or each.supply not in cup.added or warm <= each.heat_limit:
            continue
        text = (
            f"Cup {cup.letter} reads {reading(warm)} with {each.supply} in it, which sheds above "
            f"{reading(each.heat_limit)}. No more heat; look at the flake before you draw."
        )
        return {"key": f"sheds-{cup.letter}", "tone": "warn", "text": text}
    return None


def _hot(cup: CupState, plan: RunPlan, now: datetime) -> Json | None:
    """Return what must be said of a cup that was read at the ceiling or near it."""
    if not cup.readings:
        return None
    doubt = (plan.bench.thermometer or UNKNOWN_THERMOMETER).doubt
    hottest, last = max(r.temperature for r in cup.readings), cup.readings[-1]
    reading, ceiling = plan.bench.reading, plan.ceiling
    whose = plan.bench.whose_limit(ceiling)
    is_now = last.at >= now - timedelta(seconds=FRESH)
    if is_now and last.temperature >= ceiling:
        text = (
            f"Cup {cup.letter} reads {reading(last.temperature)}; {whose} is "
            f"{reading(ceiling)}. Stop. Ventilate, stay out of the fumes, do not heat it again."
        )
        return {"key": f"ceiling-{cup.letter}", "tone": "stop", "text": text}
    if is_now and last.temperature >= ceiling - doubt:
        text = (
            f"Cup {cup.letter} reads {reading(last.temperature)}: within the thermometer's own "
            f"doubt of the ceiling {reading(ceiling)}. No more heat."
        )
        return {"key": f"near-ceiling-{cup.letter}", "tone": "warn", "text": text}
    if hottest >= ceiling:
        text = f"Cup {cup.letter} was past {whose}: {reading(hottest)}. Do not heat it again."
        return {"key": f"was-hot-{cup.letter}", "tone": "warn", "text": text}
    return None
