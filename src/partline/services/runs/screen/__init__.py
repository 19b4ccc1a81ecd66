"""The one large thing that the bench screen shows now, and what can be pressed under it."""

from __future__ import annotations

from dataclasses import replace

from partline.process.run import Kind, Phase
from partline.services.runs.screen.melting import melting
from partline.services.runs.screen.parts import (
    Json,
    Seen,
    control,
    opens,
    rest_to_weigh,
    since,
    thing,
    words,
)
from partline.services.runs.screen.shooting import first_bait, shooting, wait_for_mould
from partline.services.runs.setup import missing_ticks, set_up_ticks

__all__ = ["Seen", "control", "opens", "screen"]


def screen(seen: Seen) -> Json:
    """Return the large thing of now: title, clock or figure, at most three lines and presses."""
    draw = _stopped if seen.state.is_stopped else _BY_PHASE[seen.state.phase]
    return draw(seen)


def _stopped(seen: Seen) -> Json:
    paused = [each.event for each in seen.state.told if each.event.kind is Kind.PAUSE]
    says = ["What happened meanwhile?"]
    if paused and (why := paused[-1].text("why")):
        says.insert(0, why)
    return thing(
        "stopped", "The run is stopped", since(paused[-1].at), says,
        [
            control("Go on", Kind.RESUME, tone="main", what=""),
            control("Heat again", Kind.RESUME, what="reheat"),
            control("Finished", Kind.RESUME, what="finished"),
        ],
    )  # fmt: skip


def _set_up(seen: Seen) -> Json:
    every = set_up_ticks(seen.plan)
    left = missing_ticks(seen.plan, seen.state.ticks)
    if not left:
        return thing(
            "set-up-done", "Set up", words("Ready"), ["All is seen to."],
            [control("Go to weighing", Kind.SET_UP, tone="main", missing=[])],
        )  # fmt: skip
    tick = left[0]
    rest = [each.key for each in left]
    return thing(
        f"tick-{tick.key}",
        f"Before any heat · {len(every) - len(left) + 1} of {len(every)}",
        words(tick.word),
        [tick.text],
        [
            control("Seen to", Kind.TICK, tone="main", key=tick.key),
            control("Go on without the rest", Kind.SET_UP, missing=rest),
        ],
        picture="mark" if tick.key == "mark" else None,
    )


def _cooling(seen: Seen) -> Json:
    if (check := first_bait(seen)) is not None:
        return check
    shut = [timer for timer in seen.moulds if timer.is_shut]
    if shut:
        return wait_for_mould(replace(seen, cups={}, match=None, moulds=tuple(shut)))
    made = len(seen.state.shots) * seen.plan.cavities
    asks, weigh = rest_to_weigh(seen)
    return thing(
        "judge", "Lay flat, then judge", words(f"{made} baits"),
        ["Over black and over white, sprue cut, belly cut.", *asks],
        [opens("Count the good ones", "judge", tone="main"), *weigh],
    )  # fmt: skip


def _judged(seen: Seen) -> Json:
    good, moulded = seen.state.good or 0, seen.state.moulded or 0
    is_closed = seen.state.phase is Phase.CLOSED
    controls = [] if is_closed else [control("Close the run", Kind.CLOSE, tone="main")]
    return thing(
        seen.state.phase.value, "Closed" if is_closed else "Judged",
        words(f"{good} of {moulded}"), ["good baits"], controls,
    )  # fmt: skip


_BY_PHASE = {
    Phase.PLANNED: _set_up,
    Phase.SET_UP: melting,
    Phase.MELTING: melting,
    Phase.SHOOTING: shooting,
    Phase.COOLING: _cooling,
    Phase.JUDGED: _judged,
    Phase.CLOSED: _judged,
}
