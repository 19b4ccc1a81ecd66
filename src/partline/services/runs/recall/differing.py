"""What is different between a good run and another, the largest first, in a maker's words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import log
from statistics import median

from partline.process.bench import Bench
from partline.process.recipe import Half
from partline.services.runs.recall.facts import HeatFacts, RunFacts
from partline.services.runs.recall.poured import Loaded, Poured

#: Steps that a hand can set and a bait can show: a difference is as large as it has such steps.
#: Common practice, no source. [K, K, K, s, -, -]
WARM_STEP, APART_STEP, ROOM_STEP, STIR_STEP = 3.0, 2.0, 5.0, 30.0
PUSH_STEP, LOADING_STEP = log(1.25), log(1.25)
#: A difference of less than this many steps is left out. [-]
LEAST = 0.3
#: Steps that something counts which is there or not.
OTHER_MOULD, OTHER_PLASTISOL, OTHER_SUPPLY, OTHER_BENCH, OTHER_COUNT = 6.0, 5.0, 4.0, 2.0, 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing that is different.

    Parameters
    ----------
    what : str
        In the maker's words, such as ``Start A, melt 1, heat 1``.
    then, now : str
        In the good run and in this one, with units; ``none`` where it was not there.
    steps : float
        How large it is, in steps that a hand can set. [-]
    """

    what: str
    then: str
    now: str
    steps: float

    @property
    def words(self) -> str:
        """The difference as a sentence."""
        return f"{self.what}: {self.then} then, {self.now} now."


def poured_differences(then: Poured, now: Poured) -> tuple[Difference, ...]:
    """Return what is poured otherwise, the largest first."""
    return _sorted(_poured(then, now))


def run_differences(then: RunFacts, now: RunFacts) -> tuple[Difference, ...]:
    """Return what was poured and done otherwise, the largest first."""
    return _sorted([*_poured(then.poured, now.poured), *_done(then, now)])


def _sorted(found: Iterator[Difference] | list[Difference]) -> tuple[Difference, ...]:
    kept = [each for each in found if each.steps >= LEAST and each.then != each.now]
    return tuple(sorted(kept, key=lambda each: -each.steps))


def _poured(then: Poured, now: Poured) -> Iterator[Difference]:
    if then.mould_id != now.mould_id:
        yield Difference(what="Mould", then=then.mould, now=now.mould, steps=OTHER_MOULD)
    if then.bench.name != now.bench.name:
        yield Difference(what="Bench", then=then.bench.name, now=now.bench.name, steps=OTHER_BENCH)
    yield from _warm("Room", then.bench.room, now.bench.room, now.bench, ROOM_STEP)
    for half in Half:
        old, new = then.blends.get(half), now.blends.get(half)
        if old != new:
            yield Difference(
                what=f"Plastisol, {_side(half)}", then=old or "none", now=new or "none",
                steps=OTHER_PLASTISOL,
            )  # fmt: skip
    yield from _loadings(then, now)
    before, after = then.recipe.handling, now.recipe.handling
    yield from _warm("Start wanted", before.start, after.start, now.bench, WARM_STEP)
    yield from _push("Push wanted", before.push, after.push)


def _side(half: Half) -> str:
    return "bait" if half is Half.WHOLE else half.value


def _loadings(then: Poured, now: Poured) -> Iterator[Difference]:
    def by_name(poured: Poured) -> dict[tuple[Half, str], Loaded]:
        return {(each.half, each.supply.casefold()): each for each in poured.loaded}

    old, new = by_name(then), by_name(now)
    for key in dict.fromkeys([*old, *new]):
        first, second = old.get(key), new.get(key)
        either = second or first
        if either is None or (first and second and first.text == second.text):
            continue
        yield Difference(
            what=f"{either.supply}, {_side(either.half)}",
            then=first.text if first else "none",
            now=second.text if second else "none",
            steps=_loading_steps(first, second),
        )


def _loading_steps(first: Loaded | None, second: Loaded | None) -> float:
    if first is None or second is None or first.measure is not second.measure:
        return OTHER_SUPPLY
    if first.amount <= 0 or second.amount <= 0:
        return OTHER_SUPPLY
    return abs(log(second.amount / first.amount)) / LOADING_STEP


def _warm(
    what: str, then: float | None, now: float | None, bench: Bench, step: float
) -> Iterator[Difference]:
    if then is None or now is None:
        return
    yield Difference(
        what=what, then=bench.reading(then), now=bench.reading(now), steps=abs(now - then) / step
    )


def _push(what: str, then: float | None, now: float | None) -> Iterator[Difference]:
    if not then or not now:
        return
    yield Difference(
        what=what, then=f"{then:.1f} s", now=f"{now:.1f} s", steps=abs(log(now / then)) / PUSH_STEP
    )


def _done(then: RunFacts, now: RunFacts) -> Iterator[Difference]:
    pairs = _pairs(then.heats, now.heats)
    by_what: dict[str, list[tuple[Difference, str]]] = {}
    for first, second in pairs:
        for each in _heat(first, second, now.poured.bench):
            by_what.setdefault(each.what, []).append((each, second.name))
    for found in by_what.values():
        yield found[0][0] if len(pairs) == 1 else _largest(found)
    yield from _push("Push", _middle(then.heats), _middle(now.heats))
    counts = (
        ("Heats", len(then.heats), len(now.heats)),
        ("Moulds in rotation", then.moulds, now.moulds),
        ("Shots", len(then.state.shots), len(now.state.shots)),
    )
    for what, old, new in counts:
        if old != new and old and new:
            yield Difference(what=what, then=f"{old}", now=f"{new}", steps=OTHER_COUNT)


def _largest(found: list[tuple[Difference, str]]) -> Difference:
    """Return one thing where it differs most of all heats, and in how many more it does."""
    largest, name = max(found, key=lambda each: each[0].steps)
    more = sum(each.steps >= LEAST for each, _ in found) - 1
    heats = f"{name} and {more} more" if more > 0 else name
    return replace(largest, what=f"{largest.what}, {heats}")


def _middle(heats: tuple[HeatFacts, ...]) -> float | None:
    pushes = [each.push for each in heats if each.push is not None]
    return median(pushes) if pushes else None


def _pairs(
    then: tuple[HeatFacts, ...], now: tuple[HeatFacts, ...]
) -> list[tuple[HeatFacts, HeatFacts]]:
    """Return heats of the same melt and number."""
    old = {(each.melt, each.heat): each for each in then}
    return [(old[key], each) for each in now if (key := (each.melt, each.heat)) in old]


def _heat(then: HeatFacts, now: HeatFacts, bench: Bench) -> Iterator[Difference]:
    for letter in ("A", "B"):
        if letter in then.start and letter in now.start:
            old, new = then.start[letter][1], now.start[letter][1]
            yield from _warm(f"Start {letter}", old, new, bench, WARM_STEP)
        if letter in then.stop and letter in now.stop:
            old, new = then.stop[letter], now.stop[letter]
            # Half the weight: the last shots alone are poured there.
            yield from _warm(f"Stop {letter}", old, new, bench, 2 * WARM_STEP)
    if then.apart is not None and now.apart is not None:
        yield Difference(
            what="A less B at the start",
            then=step_text(then.apart, bench), now=step_text(now.apart, bench),
            steps=abs(now.apart - then.apart) / APART_STEP,
        )  # fmt: skip
    if then.is_stir_known and now.is_stir_known:
        yield _stirred(then.stir_age, now.stir_age)


def _stirred(then: float | None, now: float | None) -> Difference:
    old, new = (4 * STIR_STEP if each is None else each for each in (then, now))
    return Difference(
        what="Stirred before the draw", then=stir_text(then), now=stir_text(now),
        steps=abs(new - old) / STIR_STEP,
    )  # fmt: skip


def stir_text(age: float | None) -> str:
    """Return how long before a draw the cups were stirred, in words."""
    return "not" if age is None else f"{age:.0f} s"


def step_text(step: float, bench: Bench) -> str:
    """Return a difference of temperatures [K] in the bench's scale, with its sign."""
    scale, factor = ("°F", 1.8) if bench.reads_fahrenheit else ("°C", 1.0)
    return f"{step * factor:+.0f} {scale}".replace("-", "−").replace("+0 ", "0 ")
