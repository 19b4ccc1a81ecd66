"""Between the last time in the oven and the first draw: match the cups, and let them fall."""

from __future__ import annotations

from partline.process.going_cup import TOLERANCE
from partline.process.ingredients import Step
from partline.process.run import Kind
from partline.services.runs.matching import start_of
from partline.services.runs.screen.adding import due, waiting_for_last_heat, warm_first
from partline.services.runs.screen.parts import (
    Json,
    Seen,
    amount,
    control,
    left_words,
    opens,
    thing,
    until,
    words,
)


def waiting(seen: Seen) -> Json:
    """Return the countdown to the start, or to the stop once the start is past."""
    start = start_of(seen.cups, seen.match)
    reads = [opens(f"Read {letter}", "reading", letter) for letter in seen.cups]
    if start is None:
        return thing(
            "wait-unread", "Let it fall", words("Read"),
            ["Without a reading there is no start to tell."], reads,
        )  # fmt: skip
    if seen.is_past_stop:
        return _too_cold(seen)
    is_due = start.mid <= seen.now and seen.stop is not None
    go = control("START: draw", Kind.DRAW, tone="main")
    title = f"Draw for {seen.shot_words}" if is_due else "Let it fall: start in"
    stop = seen.stop
    big = until(stop, "STOP") if is_due and stop is not None else until(start, "START")
    return thing("draw" if is_due else "wait", title, big, _says(seen), [go, *_warm(seen)])


def _says(seen: Seen) -> list[str]:
    says = [] if seen.match is None else [seen.match.text]
    says += [told for letter in seen.cups if (told := _fell_short(seen, letter))]
    for cup in seen.state.cups.values():
        if scent := due(seen, cup, Step.SCENT):
            says.append(f"Just before the draw: {scent[0].supply} {amount(scent[0])}.")
    late = [found for letter in seen.cups if (found := waiting_for_last_heat(seen, letter))]
    if late:
        says.append(f"For the last heat: {', '.join(late)}. These shots go without.")
    says += left_words(seen)
    return [*says, f"Stop at {seen.plan.bench.reading(seen.plan.band[0])}."]


def _fell_short(seen: Seen, letter: str) -> str:
    """Return by how much a first heat ended under its target; empty where it did not."""
    cup, plan = seen.state.cups[letter], seen.plan
    if cup.draws or not cup.readings:
        return ""
    short = plan.target - max(each.temperature for each in cup.readings)
    if short <= TOLERANCE + 1.0:
        return ""
    return (
        f"Cup {letter} got no warmer than {short:.0f} K under the target: it is fused where a "
        "drop is clear and glossy."
    )


def _warm(seen: Seen) -> list[Json]:
    """Return the short time in the oven that would match the cups, where one waits."""
    return [each for letter in seen.cups for each in warm_first(seen, letter, tone="plain")]


def _too_cold(seen: Seen) -> Json:
    bench = seen.plan.bench
    return thing(
        "past-stop", "Past the stop", words(bench.reading(seen.plan.band[0])),
        ["Heat again, or draw all the same: it may leave the tail short."],
        [
            control("Heat again", Kind.HEAT, tone="main"),
            control("Draw all the same", Kind.DRAW),
        ],
    )  # fmt: skip
