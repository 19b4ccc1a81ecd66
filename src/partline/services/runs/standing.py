"""Where a run stands, as a bench screen needs it: recomputed from the events at every call."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.recipe import Recipe
from partline.process.run import (
    CupState,
    Event,
    Kind,
    Phase,
    RunPlan,
    RunState,
    run_state,
)
from partline.process.run.questions import Question, questions
from partline.quantities.constants import ZERO_CELSIUS
from partline.records.plans import KeptPlan
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.opening import WARM_MOULD
from partline.services.plan import scale_reading
from partline.services.runs.alerts import alerts
from partline.services.runs.clock import speed_of
from partline.services.runs.forecast import CupForecast, Moments, cup_forecast, melt_zero
from partline.services.runs.heating import (
    Kit,
    NextBurst,
    kit_of,
    learned_power,
    next_burst_of_both,
)
from partline.services.runs.learned import learned_kit
from partline.services.runs.log import log_entry, moment
from partline.services.runs.matching import Matched, matched
from partline.services.runs.moulds import MouldTimer, mould_timers
from partline.services.runs.planned import planned
from partline.services.runs.screen import Seen, control, opens, screen
from partline.services.runs.setup import set_up_ticks
from partline.services.runs.surprises import surprises

Json = dict[str, object]
#: Entries of the record that the bench screen shows.
SHOWN = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """A run with everything that it follows.

    Parameters
    ----------
    run : KeptRun
        As it was begun.
    kept : KeptPlan
        The plan that it pours.
    recipe, mould, bench, shelf
        The very versions that were planned.
    plan : RunPlan
        What its steps follow.
    kit : Kit
        Its cups in terms of heat, with what earlier runs of the bench have taught.
    """

    run: KeptRun
    kept: KeptPlan
    recipe: Recipe
    mould: Mould
    bench: Bench
    shelf: Shelf
    plan: RunPlan
    kit: Kit


def followed(workshop: Workshop, code: str) -> Followed:
    """Return a run with what it follows.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    run = workshop.runs.get(code)
    kept = workshop.plans.get(run.plan_code)
    recipe = workshop.recipes.version(kept.recipe.id).content
    mould = workshop.moulds.version(kept.mould.id).content
    bench = workshop.benches.version(kept.bench.id).content
    shelf = workshop.shelves.version(kept.shelf.id).content
    kit = learned_kit(workshop, run, kept.bench.document_id, kit_of(recipe, bench, shelf))
    return Followed(
        run=run, kept=kept, recipe=recipe, mould=mould, bench=bench, shelf=shelf,
        plan=planned(recipe, mould, bench, shelf, kept.count), kit=kit,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a run stands now.

    Parameters
    ----------
    followed : Followed
        What it follows.
    state : RunState
        By its events.
    asked : tuple of Question
        What is still to be answered.
    kit : Kit
        Its cups in terms of heat.
    cups : dict of str to CupForecast
        What is known of each.
    match : Matched or None
        How they stand to each other.
    moulds : tuple of MouldTimer
        In rotation.
    number : int
        Events so far.
    now : datetime
        In UTC, on the run's own clock.
    """

    followed: Followed
    state: RunState
    asked: tuple[Question, ...]
    kit: Kit
    cups: dict[str, CupForecast]
    match: Matched | None
    moulds: tuple[MouldTimer, ...]
    number: int
    now: datetime


def standing(run: Followed, events: tuple[Event, ...], now: datetime) -> Standing:
    """Recompute where a run stands.

    Parameters
    ----------
    run : Followed
        With what it follows.
    events : tuple of Event
        All that was told.
    now : datetime
        In UTC, on the run's own clock.
    """
    plan = run.plan
    kit = run.kit
    asked = questions(events, plan)
    doubted = frozenset(question.about for question in asked)
    state = run_state(events, plan, doubted=doubted)
    odd = surprises(state, events, plan, kit)
    if odd:
        asked = (*asked, *odd)
        doubted = frozenset(question.about for question in asked)
        state = run_state(events, plan, doubted=doubted)
    cups = {letter: cup_forecast(cup, state, plan, now, kit) for letter, cup in state.cups.items()}
    zero = melt_zero(state)
    return Standing(
        followed=run,
        state=state,
        asked=asked,
        kit=kit,
        cups=cups,
        match=None if zero is None else matched(cups, plan, kit, zero, now),
        moulds=()
        if _is_over(state)
        else mould_timers(state, plan, run.mould, count=run.run.moulds, wall=WARM_MOULD),
        number=len(events),
        now=now,
    )


def as_json(standing: Standing) -> Json:
    """Return where a run stands as the wire says it; keys in ``docs/reference/runs.md``."""
    run, state, plan = standing.followed, standing.state, standing.followed.plan
    melt = plan.melts[state.melt - 1]
    told = [log_entry(each, plan, state.stir_ages) for each in state.told]
    seen = Seen(
        plan=plan, state=state, cups=standing.cups, match=standing.match,
        moulds=standing.moulds, now=standing.now, both_in=_both_in(standing),
        is_practice=run.run.practice is not None,
    )  # fmt: skip
    return {
        "code": run.run.code,
        "plan": run.run.plan_code,
        "number": standing.number,
        "now": moment(standing.now),
        # A card is typed in days later: it began when it was poured.
        "begun": moment(min([run.run.created_at, *(each.event.at for each in state.told)])),
        "recipe": {"name": run.recipe.name, "version": run.recipe.version},
        "mould": run.mould.name,
        "moulds": run.run.moulds,
        "mark": run.mould.bottom_mark,
        "is_practice": run.run.practice is not None,
        "practice_speed": speed_of(run.run),
        "state": state.phase.value,
        "is_stopped": state.is_stopped,
        "melt": {
            "number": state.melt, "of": len(plan.melts), "heat": state.heat,
            "shots": melt.shots, "shots_done": state.melt_shots(),
        },
        "shots": {"done": len(state.shots), "of": plan.shots},
        "moulded": _moulded(state, plan),
        "good": state.good,
        "forecast": _forecast(run.run),
        "is_pinned": state.is_pinned,
        "is_aside": state.is_aside,
        "unit": "F" if run.bench.reads_fahrenheit else "C",
        "screen": screen(seen),
        "ticks": [
            {"key": tick.key, "text": tick.text, "done": tick.key in state.ticks}
            for tick in set_up_ticks(plan)
        ],
        "cups": {
            letter: _cup(standing.cups[letter], cup, plan) for letter, cup in state.cups.items()
        },
        "timers": _timers(standing),
        "counts": _counts(seen),
        "match": _match(standing.match),
        "questions": [_question(each) for each in standing.asked],
        "alerts": alerts(state, plan, standing.now),
        "log": told[::-1][:SHOWN],
        "record": told if _is_over(state) else None,
        "quick": _quick(standing),
    }  # fmt: skip


def _both_in(standing: Standing) -> NextBurst | None:
    """Return the next time in the oven with both cups in it, where both want heat."""
    room = standing.kit.bench.room
    now = {
        letter: room if cup.now is None else cup.now[1]
        for letter, cup in standing.cups.items()
        if cup.now is not None or not standing.state.cups[letter].bursts
    }
    wanting = [cup for cup in standing.cups.values() if cup.wants_heat]
    power = learned_power(standing.kit, standing.state.cups)
    if power is None or len(now) < 2 or len(wanting) < 2:
        return None
    return next_burst_of_both(
        standing.kit, standing.state.cups, standing.followed.plan, power, now
    )


def _forecast(run: KeptRun) -> Json | None:
    """Return what was foretold as the run began, in words and counts."""
    told = run.forecast
    if told is None:
        return None
    return {key: told[key] for key in ("baits", "good", "good_low", "good_high", "because")}


def _moulded(state: RunState, plan: RunPlan) -> int:
    """Return the baits as they were counted, or as the shots make them."""
    return len(state.shots) * plan.cavities if state.moulded is None else state.moulded


def _is_over(state: RunState) -> bool:
    return state.phase in (Phase.JUDGED, Phase.CLOSED)


def _celsius(kelvin: float) -> float:
    return round(kelvin - ZERO_CELSIUS, 1)


def _cup(known: CupForecast, cup: CupState, plan: RunPlan) -> Json:
    low, mid, high = known.now or (None, None, None)
    reading = cup.readings[-1] if cup.readings else None
    return {
        "now_c": None if mid is None else _celsius(mid),
        "low_c": None if low is None else _celsius(low),
        "high_c": None if high is None else _celsius(high),
        "curve_from": None if known.curve_from is None else moment(known.curve_from),
        "curve": [
            [round(at), _celsius(middle), _celsius(lowest), _celsius(highest)]
            for at, lowest, middle, highest in known.curve
        ],
        "read_at": None if reading is None else moment(reading.at),
        "read_c": None if reading is None else _celsius(reading.temperature),
        "stirred_at": None if cup.stirred_at is None else moment(cup.stirred_at),
        "stir_every_s": None if known.stir_every is None else round(known.stir_every),
        "heats": known.heats,
        "above_160_min": round(known.above_160 / 60.0, 1),
        "grams": scale_reading(cup.mass),
        "forecast_c": None if mid is None else round(_celsius(mid)),
        "ceiling_c": _celsius(plan.ceiling),
        "target_c": _celsius(plan.target),
        "band_c": [_celsius(plan.band[0]), _celsius(plan.band[1])],
    }


def _timer(key: str, label: str, at: Moments, *, rings: bool = True) -> Json:
    return {
        "key": key, "label": label, "at": moment(at.mid), "low": moment(at.low),
        "high": moment(at.high), "alarm": rings,
    }  # fmt: skip


def _timers(standing: Standing) -> list[Json]:
    state, found = standing.state, []
    for letter, cup in state.cups.items():
        last = cup.last_burst
        if last is not None and last.end > standing.now:
            found.append(_timer(f"burst-{letter}", f"{letter} out", Moments.exact(last.end)))
    hot = {
        letter: known
        for letter, known in standing.cups.items()
        if not known.wants_heat and known.start is not None
    }
    if state.phase in (Phase.MELTING, Phase.SHOOTING) and len(hot) == len(standing.cups):
        starts = [known.start for known in hot.values() if known.start is not None]
        stops = [known.stop for known in hot.values() if known.stop is not None]
        start = max(starts, key=lambda at: at.mid)
        if start.mid > standing.now and state.phase is Phase.MELTING:
            found.append(_timer("start", "Start", start))
        if stops:
            found.append(_timer("stop", "Stop", min(stops, key=lambda at: at.mid)))
        due = [known.next_reading for known in hot.values() if known.next_reading is not None]
        if due and state.phase is Phase.MELTING:
            found.append(_timer("read", "Next reading", Moments.exact(min(due)), rings=False))
    for timer in standing.moulds:
        if timer.opens is not None:
            found.append(_timer(f"mould-{timer.mould}", f"Open mould {timer.mould}", timer.opens))
    return found


def _counts(seen: Seen) -> Json:
    left = seen.shots_left
    if left is None:
        return {"shots_left": None, "shots_left_low": None, "shots_left_high": None}
    mid, low, high = left
    return {"shots_left": mid, "shots_left_low": low, "shots_left_high": high}


def _match(match: Matched | None) -> Json | None:
    if match is None:
        return None
    return {
        "text": match.text,
        "waits": match.waits or None,
        "seconds": round(match.seconds),
        "opens": None if match.opens is None else moment(match.opens),
        "closes": None if match.closes is None else moment(match.closes),
    }


def _question(question: Question) -> Json:
    return {
        "key": question.key,
        "about": question.about,
        "text": question.text,
        "choices": [
            {
                "label": choice.label,
                "event": {"kind": choice.kind.value, "cup": None, "data": dict(choice.data)},
            }
            for choice in question.choices
        ],
    }


def _quick(standing: Standing) -> list[Json]:
    """Return what can always be pressed, whatever the large thing is."""
    state = standing.state
    if _is_over(state):
        return []
    reads = [opens(f"Read {letter}", "reading", letter) for letter in state.cups]
    found = [*reads, control("Stirred", Kind.STIR)]
    if state.phase is Phase.SHOOTING:
        free = next((timer.mould for timer in standing.moulds if not timer.is_shut), 1)
        found.append(control("Shot", Kind.SHOT, mould=free, push_s=None))
    found += [
        control(f"Opened mould {timer.mould}", Kind.OPEN, mould=timer.mould)
        for timer in standing.moulds
        if timer.opens is not None and timer.opens.low <= standing.now
    ]
    is_practice = standing.followed.run.practice is not None
    look = opens("Look", "practice") if is_practice else opens("Photo", "photo")
    return [*found, look, opens("Something is wrong", "wrong")]
