"""From the first draw to the last shot: draw, push, open, look at the first bait."""

from __future__ import annotations

from datetime import timedelta

from partline.process.run import Kind
from partline.services.runs.moulds import MouldTimer
from partline.services.runs.screen.adding import holds_metal, metal_in
from partline.services.runs.screen.parts import (
    Json,
    Seen,
    control,
    left_words,
    rest_to_weigh,
    since,
    thing,
    until,
    words,
)


def shooting(seen: Seen) -> Json:
    """Return what is next between two shots."""
    state = seen.state
    melt = seen.plan.melts[state.melt - 1]
    free = next((timer for timer in seen.moulds if not timer.is_shut), None)
    if (check := first_bait(seen)) is not None:
        return check
    if state.melt_shots() >= melt.shots:
        return _melt_made(seen)
    if state.is_drawn:  # what is in the syringes can only go into a mould
        return wait_for_mould(seen) if free is None else _push(seen, free)
    if seen.is_past_stop:
        return _past_stop(seen)
    return wait_for_mould(seen) if free is None else _draw(seen)


def _past_stop(seen: Seen) -> Json:
    for letter in seen.cups:
        if metal := metal_in(seen, letter):
            return holds_metal(seen, letter, metal)
    return thing(
        f"past-stop-{len(seen.state.shots)}", "At the stop", words("Heat again"),
        [f"Still to come in this melt: {seen.shots_to_come}."],
        [
            control("STOP: heat again", Kind.STOP, tone="main"),
            control("Draw all the same", Kind.DRAW),
        ],
    )  # fmt: skip


def first_bait(seen: Seen) -> Json | None:
    """Return the look at a melt's first bait, once it is out and nobody has told of it."""
    state = seen.state
    mine = [shot for shot in state.shots if shot.melt == state.melt]
    if not mine or mine[0].opened_at is None or state.is_first_shot_seen:
        return None
    return thing(
        f"first-{state.melt}", "The first bait is out", words("Dark up?"),
        ["Lay it as it lay in the mould, BOTTOM mark below."],
        [
            control("Dark side up", Kind.FIRST_SHOT, tone="main", dark_side_up=True),
            control("Dark side down", Kind.FIRST_SHOT, tone="stop", dark_side_up=False),
        ],
        picture="mark",
    )  # fmt: skip


def wait_for_mould(seen: Seen) -> Json:
    """Return the clock of the mould that opens first; none of them is free."""
    shut = [timer for timer in seen.moulds if timer.is_shut]
    timer = min(shut, key=lambda each: each.opens.mid if each.opens else seen.now)
    if timer.opens is None:
        return thing(
            f"open-{timer.mould}", f"Mould {timer.mould} is too warm", words("Cool it"),
            ["So warm a mould sets no bait in time: cool it between two metal plates."],
            [control(f"Opened mould {timer.mould}", Kind.OPEN, tone="main", mould=timer.mould)],
        )  # fmt: skip
    is_due = timer.opens.mid <= seen.now
    title = f"Open mould {timer.mould}" if is_due else f"Mould {timer.mould} opens in"
    big = since(timer.opens.mid) if is_due else until(timer.opens, "OPEN")
    opened = control(f"Opened mould {timer.mould}", Kind.OPEN, tone="main", mould=timer.mould)
    stop = [control("STOP: heat again", Kind.STOP)] if seen.shots_to_come > 0 else []
    return thing(
        f"open-{timer.mould}", title, big, ["Straight out, laid flat.", *left_words(seen)],
        [opened, *stop],
    )  # fmt: skip


def _push(seen: Seen, free: MouldTimer) -> Json:
    drawn = max((cup.draws[-1][0] for cup in seen.state.cups.values() if cup.draws), default=None)
    return thing(
        f"push-{len(seen.state.shots) + 1}", f"Push: {seen.shot_words}",
        words("Push") if drawn is None else since(drawn),
        [f"Into mould {free.mould}: tap as the push starts.", "One even stroke, then hold."],
        [
            control("Shot", Kind.SHOT, tone="main", mould=free.mould, push_s=None),
            control("STOP", Kind.STOP, tone="stop"),
        ],
    )  # fmt: skip


def _draw(seen: Seen) -> Json:
    big = words("Draw") if seen.stop is None else until(seen.stop, "STOP")
    return thing(
        f"draw-{len(seen.state.shots) + 1}", f"Draw for {seen.shot_words}", big,
        [*_stirred_words(seen), *left_words(seen)],
        [
            control("Draw", Kind.DRAW, tone="main"),
            control("Stirred", Kind.STIR),
            control("STOP: heat again", Kind.STOP, tone="stop"),
        ],
    )  # fmt: skip


def _stirred_words(seen: Seen) -> list[str]:
    """Return a word where a stir is overdue; it is said, never stopped for."""
    for letter, known in seen.cups.items():
        stirred = seen.state.cups[letter].stirred_at
        if known.stir_every is None or stirred is None:
            continue
        ago = seen.now - stirred
        if ago > timedelta(seconds=known.stir_every):
            return [f"Cup {letter} was stirred {ago.total_seconds():.0f} s ago: stir first."]
    return []


def _melt_made(seen: Seen) -> Json:
    is_last = seen.state.melt == len(seen.plan.melts)
    label = "Last shot made" if is_last else f"On to melt {seen.state.melt + 1}"
    says = ["The rest in the cups is film and heel."] if is_last else ["Fill both cups again."]
    kind = Kind.FINISH if is_last else Kind.STOP
    asks, weigh = rest_to_weigh(seen)
    return thing(
        f"made-{seen.state.melt}", f"Melt {seen.state.melt} is poured", words("Done"),
        [*says, *asks], [control(label, kind, tone="main"), *weigh],
    )  # fmt: skip
