"""The pretended bench at any moment of a practice run, recomputed from what was done at it."""

from __future__ import annotations

from bisect import bisect_right
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf
from threading import Lock

import numpy as np

from partline.process.practice_bench import Hidden, PracticeBench, drawn, new_bench
from partline.process.practice_bench.bench import CUPS
from partline.process.practice_bench.handling import LEAST
from partline.process.run import RunPlan
from partline.services.runs.practice.acts import Act, Does
from partline.services.runs.practice.cups import SMOKES, added, filled_again, is_at_rest, passed

#: A long wait is cut into such parts, so that the next look begins where the last one was. [s]
STRETCH = 60.0
#: After such a time in which nobody did anything all is cold. [s]
COLD_AFTER = 7200.0
#: The oven is looked at so often for smoke. [s]
LOOKED = 2.0
#: Glass of a vessel and power of an oven that nobody wrote down. Guesses. [kg], [W]
USUAL_GLASS, USUAL_POWER = 0.18, 900.0
#: A thermometer that is wiped now and then and looks at a plastic that is no mirror: through a run
#: it stays about within the 5 K that such a thermometer is told to be good for. Guesses. [-]
LEAST_SEEN, FOGS = 0.92, 0.25
#: Runs whose benches are held ready.
HELD = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """The bench just after something was done.

    Parameters
    ----------
    at : float
        Since the run was begun. [s]
    bench : PracticeBench
        As it is.
    inside : str or None
        Cup in the oven; None for both.
    until : float
        When the oven stops; in the past where it stands. [s]
    """

    at: float
    bench: PracticeBench
    inside: str | None = None
    until: float = -inf

    def is_inside(self, cup: str, at: float) -> bool:
        """Whether a cup is in the oven at a moment [s]."""
        return at < self.until and self.inside in (None, cup)

    def later(self, at: float) -> Stage:
        """Return the bench at a later moment [s], with nothing done meanwhile."""
        if at <= self.at:
            return self
        stage = self
        while stage.at < min(self.until, at):
            stage = stage._heated(min(stage.at + LOOKED, self.until, at))
        rest = at - stage.at
        bench = stage.bench
        if rest > 0 and not is_at_rest(bench):
            bench = passed(bench, min(rest, COLD_AFTER))
        elif rest > 0:
            bench = replace(bench, clock=bench.clock + rest, surface_before=None)
        return replace(stage, at=at, bench=bench)

    def _heated(self, at: float) -> Stage:
        is_on = self.bench.melt.layers.max() < SMOKES
        return replace(self, at=at, bench=passed(
            self.bench, at - self.at, inside=self.inside, is_on=is_on
        ))  # fmt: skip

    def after(self, act: Act) -> Stage:
        """Return the bench after something was done at its moment."""
        stage = self.later(act.at)
        bench, cup, amount = stage.bench, act.cup, act.amount
        match act.does:
            case Does.HEAT:  # one oven: what was in it comes out
                return replace(stage, inside=cup, until=act.at + amount)
            case Does.PASS:
                return stage
            case Does.FILL:
                bench = filled_again(bench, CUPS.index(cup or "A"), amount)
            case Does.STIR:
                bench = bench.stir(cup)
            case Does.ADD:
                bench = added(bench, cup, amount)
            case Does.DRAW:
                held = float(bench.melt.mass[CUPS.index(cup or "A")])
                bench = bench.draw(cup, max(min(amount, held - LEAST), 0.0))
        is_out = stage.until > act.at and (stage.inside in (None, cup) or cup is None)
        return replace(stage, bench=bench, until=act.at if is_out else stage.until)


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """Everything that happened at the pretended bench.

    Parameters
    ----------
    acts : tuple of Act
        In order, moments to look at among them.
    stages : tuple of Stage
        The bench after each.
    """

    acts: tuple[Act, ...]
    stages: tuple[Stage, ...]

    def at(self, seconds: float) -> Stage:
        """Return the bench at a moment. [s]"""
        place = bisect_right([stage.at for stage in self.stages], seconds)
        return self.stages[max(place - 1, 0)].later(seconds)

    def before(self, place: int) -> Stage:
        """Return the bench as it was just before an act."""
        return self.stages[max(place - 1, 0)].later(self.acts[place].at)


def hidden_of(seed: int, plan: RunPlan) -> Hidden:
    """Return what the pretended bench hides: drawn around the bench of the plan."""
    bench = plan.bench
    hidden = drawn(
        np.random.default_rng(seed),
        len(plan.letters),
        capacity=bench.vessel.capacity,
        glass=USUAL_GLASS if bench.vessel.mass is None else bench.vessel.mass.value,
        power=USUAL_POWER if bench.oven is None else bench.oven.power.value,
        room=bench.room,
    )
    hidden = replace(
        hidden,
        seen=np.maximum(hidden.seen, LEAST_SEEN),
        drift=hidden.drift * FOGS,
    )
    if bench.thermometer is None:
        return hidden
    return replace(hidden, setting=np.full_like(hidden.setting, bench.thermometer.emissivity))


_held: OrderedDict[tuple[str, int], Replay] = OrderedDict()
_lock = Lock()


def replayed(code: str, seed: int, plan: RunPlan, acts: tuple[Act, ...], until: float) -> Replay:
    """Return everything that happened up to a moment [s].

    Parameters
    ----------
    code : str
        Of the run: what was computed for it before is taken up from where it still holds.
    seed : int
        Of the bench.
    plan : RunPlan
        That the run follows.
    acts : tuple of Act
        What was done.
    until : float
        Later acts are left out. [s]
    """
    wanted = tuple(_with_waits([act for act in acts if act.at <= until], until))
    with _lock:
        old = _held.get((code, seed))
    same = 0 if old is None else _same(old.acts, wanted)
    stages = [] if old is None else list(old.stages[:same])
    stage = stages[-1] if stages else _first(seed, plan)
    for act in wanted[same:]:
        stage = stage.after(act)
        stages.append(stage)
    found = Replay(acts=wanted, stages=tuple(stages))
    with _lock:
        _held[code, seed] = found
        _held.move_to_end((code, seed))
        while len(_held) > HELD:
            _held.popitem(last=False)
    return found


def _first(seed: int, plan: RunPlan) -> Stage:
    masses = tuple(cup.cold_mass for cup in plan.melts[0].cups.values())
    return Stage(at=0.0, bench=new_bench(seed, masses, hidden=hidden_of(seed, plan)))


def _same(old: tuple[Act, ...], new: tuple[Act, ...]) -> int:
    count = 0
    for one, other in zip(old, new, strict=False):
        if one != other:
            break
        count += 1
    return count


def _with_waits(acts: list[Act], until: float) -> Iterator[Act]:
    """Yield what was done, with moments to look at where the oven stops and in a long wait."""
    end = Act(at=until, does=Does.PASS)
    for act, following in pairwise([*acts, end]):
        yield act
        moments = []
        if act.does is Does.HEAT:
            moments.append(act.at + act.amount)
        longest = min(following.at - act.at, COLD_AFTER)
        moments += [act.at + STRETCH * part for part in range(1, int(longest // STRETCH) + 1)]
        for at in sorted(moments):
            if act.at < at < following.at:
                yield Act(at=at, does=Does.PASS, melt=act.melt)
