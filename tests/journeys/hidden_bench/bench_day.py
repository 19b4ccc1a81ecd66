"""One pour on the pretended bench, told tap by tap: oven, stir, read, draw, push."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from partline.process.practice_bench import PracticeBench, filled
from partline.process.run import RunPlan
from partline.quantities.constants import ZERO_CELSIUS
from tests.journeys.hidden_bench.outcome import Pour
from tests.journeys.hidden_bench.truth import Habits, Truth

Json = dict[str, Any]
#: First time in the oven, where nobody knows it; then by the rise of the last. [s]
FIRST, MOST_BURSTS = 75.0, 6
#: Readings while the cups cool are this far apart. [s]
READS_EVERY = 40.0
#: So often a hand reads at most before it draws.
MOST_READS = 15
#: Reading at which a cup is done; it is fused there. [°C]
FUSED = 175.0


@dataclass
class Day:
    """A pour in hand, one clock."""

    code: str
    bench: PracticeBench
    at: datetime
    offset: float
    rng: np.random.Generator
    taps: list[Json] = field(default_factory=list)

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.bench = self.bench.advance(seconds)
        self.at += timedelta(seconds=seconds)

    def pass_by(self, seconds: float) -> None:
        """Let time pass by the clock alone."""
        self.at += timedelta(seconds=seconds)

    def tap(self, kind: str, cup: str | None = None, **data: Any) -> None:
        """Tell something."""
        at = self.at.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        number = len(self.taps)
        self.taps.append(
            {"id": f"{self.code}{number:010d}", "kind": kind, "cup": cup, "at": at, "data": data}
        )

    def heat(self, cup: str | None, seconds: float) -> None:
        """Give a cup, or both together, so long in the oven, take it out and stir it."""
        self.tap("burst", cup, seconds=seconds)
        self.bench = self.bench.burst(cup, seconds)
        self.at += timedelta(seconds=seconds)
        self.wait(4.0)
        self.stir(cup)

    def stir(self, cup: str | None) -> None:
        """Stir a cup."""
        self.bench = self.bench.stir(cup)
        self.tap("stir", cup)
        self.wait(4.0)

    def read(self, cup: str) -> float:
        """Read a cup, and return what is shown. [°C]"""
        shown, self.bench = self.bench.read(cup)
        shown = round(shown + self.offset)
        self.tap("reading", cup, entered=f"{shown:g}", unit="C", celsius=float(shown))
        self.wait(3.0)
        return shown


def pour_day(
    code: str, truth: Truth, habits: Habits, plan: RunPlan, at: datetime, seed: int
) -> tuple[list[Json], Pour]:
    """Pour a run; return its taps and what was really done."""
    rng = np.random.default_rng(seed)
    melt = plan.melts[0]
    masses = np.array([cup.mass for cup in melt.cups.values()])
    bench = PracticeBench(
        hidden=truth.heat, melt=filled(truth.heat, masses, truth.heat.room), seed=seed
    )
    day = Day(code, bench, at, truth.offset, rng)
    day.tap("set_up", missing=[])
    for letter, cup in melt.cups.items():
        grams = round(cup.cold_mass * 1e3 + float(rng.normal(0, 0.1)), 1)
        day.tap("weigh", letter, grams=grams, entered=f"{grams} g")
    aim = habits.start + float(rng.normal(0.0, 0.8)) - ZERO_CELSIUS
    apart = habits.apart + float(rng.normal(0.0, 0.7))
    wanted = {"A": aim + min(apart, 0.0), "B": aim - max(apart, 0.0)}
    _heat_up(day, max(FUSED, aim + 8.0))
    warmth, strokes = _shoot(day, wanted, habits.push, plan)
    day.tap("finish")
    return day.taps, Pour(warmth=warmth, push=strokes, cavities=plan.cavities)


def _heat_up(day: Day, goal: float) -> None:
    """Heat both cups together until the colder one reads fused."""
    cold = min(day.read(cup) for cup in "AB")
    seconds, rate = FIRST, 0.0
    for _ in range(MOST_BURSTS):
        day.heat(None, seconds)
        shown = min(day.read(cup) for cup in "AB")
        rate = max(rate, (shown - cold) / seconds, 0.2)
        cold = shown
        if cold >= goal - 2.0:
            return
        seconds = float(np.clip(round((goal + 3.0 - cold) / rate), 8, 75))


def _shoot(
    day: Day, wanted: dict[str, float], push: float, plan: RunPlan
) -> tuple[np.ndarray, np.ndarray]:
    """Wait until both cups are where the hand wants them, then draw and push shot by shot.

    The cup that is to be cooler is only let cool; one that has fallen too far is warmed again.
    """
    fall = 0.25
    for _ in range(MOST_READS):
        over = {}
        for cup in wanted:
            day.stir(cup)
            over[cup] = day.read(cup) - wanted[cup]
        if max(over.values()) <= 1.5:
            break
        late, early = max(over, key=lambda cup: over[cup]), min(over, key=lambda cup: over[cup])
        lag = over[late] - over[early]
        if lag > 3.0:  # they are to come down together
            day.heat(early, float(round(np.clip(lag / 1.5, 3, 20))))
            continue
        day.wait(float(np.clip((over[late] - 4.0) / fall, 4.0, READS_EVERY)))
    warmth, strokes = [], []
    draw = {cup: planned.draw for cup, planned in plan.melts[0].cups.items()}
    for shot in range(plan.shots):
        day.tap("draw")
        warmth.append(day.bench.true_bulk().copy())
        for cup, mass in draw.items():
            left = float(day.bench.melt.mass["AB".index(cup)])
            day.bench = day.bench.draw(cup, min(mass, left - 5e-3))
        stroke = float(push * np.exp(0.1 * day.rng.standard_normal()))
        is_last = shot == plan.shots - 1
        (day.pass_by if is_last else day.wait)(3.0)  # nobody asks how an empty cup cools
        day.tap("shot", mould=shot + 1, push_s=round(stroke, 1))
        (day.pass_by if is_last else day.wait)(stroke + 7.0)
        strokes.append(stroke)
    return np.array(warmth), np.array(strokes)


def turned(habits: Habits, **changes: Any) -> Habits:
    """Return habits with something changed."""
    return replace(habits, **changes)
