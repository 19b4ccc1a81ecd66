"""From the scale to the start: weigh, heat, stir, add, read, wait."""

from __future__ import annotations

from datetime import datetime

from partline.process.ingredients import Step
from partline.process.run import CupState, Kind
from partline.services.plan import scale_reading
from partline.services.runs.forecast import Moments
from partline.services.runs.heating import NextBurst
from partline.services.runs.screen.adding import due, holds_metal, into, metal_in, sheds_in
from partline.services.runs.screen.parts import (
    Json,
    Seen,
    amount,
    control,
    end_of_melt,
    opens,
    since,
    thing,
    until,
    words,
)
from partline.services.runs.screen.waiting import waiting

#: Cups further apart than this are not heated together: the warmer one would pass its limit. [K]
APART = 8.0


def melting(seen: Seen) -> Json:
    """Return what is next before the first draw of a heat."""
    return _with_the_scale(seen) or _with_the_oven(seen) or waiting(seen)


def _with_the_scale(seen: Seen) -> Json | None:
    for letter, cup in seen.state.cups.items():
        if not cup.is_weighed and not cup.bursts:
            return _weigh(seen, letter)
    return None


def _with_the_oven(seen: Seen) -> Json | None:
    running = [cup for cup in seen.state.cups.values() if _is_in_oven(cup, seen.now)]
    if running:
        return _in_oven(seen, running)
    for cup in seen.state.cups.values():
        if (todo := _after_oven(seen, cup)) is not None:
            return todo
    wanting = _next_to_heat(seen)
    if wanting is not None:
        return _heat_both(seen, wanting) or _heat(seen, wanting)
    for cup in seen.state.cups.values():
        if wanted := due(seen, cup, Step.FLAKE):
            return into(seen, cup.letter, wanted[0])
    return None


def _weigh(seen: Seen, letter: str) -> Json:
    planned = seen.planned(letter)
    cold = scale_reading(planned.cold_mass)
    parts = [
        f"{each.supply} {scale_reading(each.mass):.1f} g"
        for each in planned.ingredients
        if each.step is Step.COLD
    ]
    later = [f"{each.supply} {amount(each)}" for each in planned.later]
    says = [" · ".join(parts)]
    if later:
        says.append("Later: " + " · ".join(later))
    empty = seen.plan.bench.vessel.mass
    if empty is not None:
        says.append(
            f"With the empty cup the scale shows {scale_reading(empty.value) + cold:.0f} g."
        )
    return thing(
        f"weigh-{seen.state.melt}-{letter}", f"Weigh cup {letter}", words(f"{cold:.1f} g"), says,
        [
            control(f"Weighed {cold:.1f} g", Kind.WEIGH, letter, tone="main",
                    grams=cold, entered=f"{cold:.1f} g"),
            opens("Another mass", "weigh", letter),
        ],
        cup=letter,
    )  # fmt: skip


def _is_in_oven(cup: CupState, now: datetime) -> bool:
    last = cup.last_burst
    return last is not None and last.end > now


def _in_oven(seen: Seen, running: list[CupState]) -> Json:
    last = running[0].last_burst
    assert last is not None  # running means that it was started
    letter = None if last.is_shared else running[0].letter
    which = "Both cups are" if letter is None else f"Cup {letter} is"
    end = Moments.exact(last.end)
    return thing(
        f"oven-{last.id}", f"{which} in the oven", until(end, "STIR"),
        ["Then out with gloves, stir down to the bottom, read."],
        [
            control("Taken out and stirred", Kind.STIR, letter, tone="main"),
            *(opens(f"Read {other}", "reading", other) for other in seen.cups if other != letter),
        ],
        cup=letter,
    )  # fmt: skip


def _after_oven(seen: Seen, cup: CupState) -> Json | None:
    """Return what a cup needs that came out of the oven: a stir, what goes in, a reading."""
    last = cup.last_burst
    if last is None:
        return None
    letter = cup.letter
    if cup.stirred_at is None or cup.stirred_at < last.at:
        return thing(
            f"stir-{last.id}-{letter}", f"Stir cup {letter}", since(last.end),
            ["The hottest place is inside: stir before you read."],
            [control(f"Stirred {letter}", Kind.STIR, letter, tone="main")], cup=letter,
        )  # fmt: skip
    if wanted := due(seen, cup, Step.COLOUR):
        return into(seen, letter, wanted[0])
    if not cup.fresh_readings:
        return thing(
            f"read-{last.id}-{letter}", f"Read cup {letter}", _forecast_words(seen, letter),
            ["Straight down, on the plastic just stirred."],
            [opens(f"Read {letter}", "reading", letter, tone="main")], cup=letter,
        )  # fmt: skip
    return None


def _forecast_words(seen: Seen, letter: str) -> Json:
    now = seen.cups[letter].now
    return words("? °" if now is None else f"≈ {seen.plan.bench.reading(now[1])}")


def _next_to_heat(seen: Seen) -> str | None:
    """Return the cup that needs the oven most; None when all have been where they should."""
    wanting = {letter: known for letter, known in seen.cups.items() if known.wants_heat}
    if not wanting:
        return None
    for letter in wanting:
        if metal_in(seen, letter):  # said first: without this cup the other one is no use
            return letter

    def warmth(letter: str) -> tuple[int, float, str]:
        known = wanting[letter].now
        bursts = seen.state.cups[letter].heat_bursts
        return len(bursts), 0.0 if known is None else known[1], letter

    return min(wanting, key=warmth)


def _heat(seen: Seen, letter: str) -> Json:
    if metal := metal_in(seen, letter):
        return holds_metal(seen, letter, metal)
    burst = seen.cups[letter].burst
    if burst is None:  # a small cup alone may be too much for the oven where two are not
        return _heat_both(seen, letter, even_apart=True) or _no_burst(seen, letter)
    count = len(seen.state.cups[letter].bursts) + 1
    says = [*sheds_in(seen, letter), *_expected(seen, burst)]
    return thing(
        f"heat-{seen.state.melt}-{seen.state.heat}-{letter}-{count}", f"Heat cup {letter}",
        words(f"{burst.seconds:.0f} s"), says,
        [
            control(f"Oven on: {burst.seconds:.0f} s", Kind.BURST, letter, tone="main",
                    seconds=burst.seconds),
            opens("Another time", "burst", letter),
            *_both_in(seen),
        ],
        cup=letter,
    )  # fmt: skip


def _both_in(seen: Seen) -> list[Json]:
    """Return the time in the oven of both cups together, where both want heat."""
    both = seen.both_in
    if both is None or any(metal_in(seen, letter) for letter in seen.cups):
        return []
    return [control(f"Both in: {both.seconds:.0f} s", Kind.BURST, seconds=both.seconds)]


def _heat_both(seen: Seen, colder: str, *, even_apart: bool = False) -> Json | None:
    """Return both cups together, which keeps them matched; None where one is far behind."""
    both = seen.both_in
    room = seen.plan.bench.room
    warm = [room if cup.now is None else cup.now[1] for cup in seen.cups.values()]
    is_far = max(warm) - min(warm) > APART and not even_apart
    if both is None or is_far or not _both_in(seen):
        return None
    count = sum(len(cup.bursts) for cup in seen.state.cups.values()) + 1
    alone = seen.cups[colder].burst
    sheds = [told for letter in seen.cups for told in sheds_in(seen, letter)]
    controls = [
        control(f"Oven on: {both.seconds:.0f} s", Kind.BURST, tone="main", seconds=both.seconds),
        opens("Another time", "burst"),
    ]
    if alone is not None:
        label = f"{colder} alone: {alone.seconds:.0f} s"
        controls.append(control(label, Kind.BURST, colder, seconds=alone.seconds))
    return thing(
        f"heat-{seen.state.melt}-{seen.state.heat}-both-{count}", "Heat both cups",
        words(f"{both.seconds:.0f} s"), [*sheds, *_expected(seen, both)], controls,
    )  # fmt: skip


def _expected(seen: Seen, burst: NextBurst) -> list[str]:
    bench = seen.plan.bench
    return [
        f"Expect {bench.reading(burst.expected.low)} to "
        f"{bench.reading(burst.expected.high)} after it.",
        f"Done at {bench.reading(burst.target)}; {bench.whose_limit(seen.plan.ceiling)} "
        f"{bench.reading(seen.plan.ceiling)}. Stay beside it.",
    ]


def _no_burst(seen: Seen, letter: str) -> Json:
    """Return what is left where no planned time in the oven leads to the start."""
    bench = seen.plan.bench
    if bench.oven is None:
        goal = seen.plan.band[1] if seen.state.cups[letter].draws else seen.plan.target
        return thing(
            f"heat-by-hand-{letter}", f"Heat cup {letter}", words(bench.reading(goal)),
            ["No oven is recorded for this bench: heat as the label says, stir, read."],
            [opens(f"Read {letter}", "reading", letter, tone="main")], cup=letter,
        )  # fmt: skip
    return thing(
        f"too-little-{letter}", f"Cup {letter}: too little to heat", words("No burst"),
        [
            "Its hottest place would pass the ceiling before the rest is warm.",
            "The rest can go to a fresh melt of the same recipe: count its heats.",
        ],
        [control("Draw all the same", Kind.DRAW), end_of_melt(seen)], cup=letter,
    )  # fmt: skip
