"""A sensible hand at the pretended bench: it presses what the screen says, and nothing cleverer.

It looks at thermometer and scale through the practice run, keeps what they show through the same
keypad as a glove, and counts its taps.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from unittest.mock import patch

from partline.records.workshop import Workshop
from partline.services import runs
from partline.services.runcard import keep_plan
from partline.services.runs import practice

Json = dict[str, Any]
BEGUN = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
#: A tap on a screen that is looked at: point and press. Keystroke-level model, 1.1 s to point and
#: 0.1 s to press (Card, Moran and Newell, 1980; from memory).
TAP = 1.2
#: From one act to the next: to turn round, take up the thermometer, lay down the stirrer. [s]
TURN = 4.0
#: A hand that waits reads again after so long. [s]
PATIENCE = 30.0
#: More steps than any run takes, and as often the same step: a screen that leads nowhere.
MOST, SAME = 900, 6


@dataclass
class Hand:
    """One person, one practice run and a clock of its own."""

    workshop: Workshop
    code: str
    at: datetime = BEGUN
    count: int = 0
    #: Taps that enter a figure, and taps that tell one thing each.
    entering: int = 0
    telling: int = 0
    #: What the screen led to, step by step: key, title and what was pressed.
    way: list[tuple[str, str, str]] = field(default_factory=list)
    states: list[Json] = field(default_factory=list)
    #: Heats whose cups were matched in the oven.
    matched: set[tuple[int, int]] = field(default_factory=set)

    def state(self) -> Json:
        with patch.object(runs, "now", lambda: self.at):
            return runs.state(self.workshop, self.code)

    def tell(self, kind: str, cup: str | None = None, **data: Any) -> Json:
        """Tell one event now."""
        self.count += 1
        event = {
            "id": f"HAND{self.count:016d}",
            "kind": kind,
            "cup": cup,
            "at": self.at.isoformat().replace("+00:00", "Z"),
            "data": data,
        }
        with patch.object(runs, "now", lambda: self.at):
            answer = runs.record(self.workshop, self.code, [event], device="hand")
        assert answer["problems"] == []
        return answer["state"]  # type: ignore[return-value]

    def wait(self, seconds: float) -> None:
        self.at += timedelta(seconds=max(seconds, 0.0))

    def until(self, moment: str) -> float:
        return (datetime.fromisoformat(moment) - self.at).total_seconds()

    def read(self, state: Json, cup: str) -> Json:
        """Look at the display, enter its figure on the keypad, answer what is asked."""
        shown = practice.reading(self.workshop, self.code, cup, now=self.at)
        if not shown["shows"]:
            self.wait(5)
            return self.state()
        if shown["unit"] != state["unit"]:  # the letter behind the figure was looked at
            self.wait(TURN)
        celsius = float(shown["celsius"])  # type: ignore[arg-type]
        opens = 0 if state["screen"]["key"].startswith("read-") else 1  # run.js opens it by itself
        self.entering += opens + reading_taps(state["cups"][cup], celsius)
        entered = f"{celsius:.0f}" if state["unit"] == "C" else f"{celsius * 1.8 + 32:.0f}"
        after = self.tell(
            "reading", cup, entered=entered, unit=state["unit"], celsius=round(celsius, 2)
        )
        return self.answer(after)

    def answer(self, state: Json) -> Json:
        """Answer questions: a reading that surprises is taken back, to be read again."""
        while state["questions"]:
            choice = state["questions"][0]["choices"][-1]
            self.entering += 1
            event = choice["event"]
            state = self.tell(event["kind"], event["cup"], **event["data"])
        return state

    def weigh(self, state: Json, cup: str, planned: float) -> Json:
        """Keep what the scale shows; with the empty cup on it, less what that weighs."""
        seen = practice.sees(self.workshop, self.code, now=self.at)["scale"]
        grams = float(seen["shows"])  # type: ignore[index]
        if abs(grams - planned) < 1.0:  # the figure on the key is what was poured
            self.entering += 1
            return self.tell("weigh", cup, entered=f"{planned} g", grams=planned)
        self.entering += 3 + len(f"{grams:.1f}")
        after = self.tell("weigh", cup, entered=f"{grams} g", grams=grams)
        while after["questions"]:
            event = after["questions"][0]["choices"][0]["event"]
            self.entering += 1
            after = self.tell(event["kind"], event["cup"], **event["data"])
        return after

    def run(self) -> Json:
        """Follow the screen from the set-up to the closed run."""
        state = self.state()
        for _ in range(MOST):
            self.states.append(state)
            if state["state"] == "closed":
                return state
            state = self.step(state)
            if len(self.way) > SAME and len(set(self.way[-SAME:])) == 1:
                break
        message = f"the screen led nowhere: {self.way[-12:]}"
        raise AssertionError(message)

    def step(self, state: Json) -> Json:
        screen = state["screen"]
        control = self.choose(state)
        self.way.append((screen["key"], screen["title"], control["label"]))
        if control.get("opens") == "reading":
            self.wait(TURN)
            return self.read(self.state(), control["cup"])
        if control.get("opens") == "judge":
            return self.judge(state)
        event = control["event"]
        if event["kind"] == "weigh":
            self.wait(2 * TURN)
            return self.weigh(state, event["cup"], event["data"]["grams"])
        self.telling += 1
        return self.tell(event["kind"], event["cup"], **event["data"])

    def judge(self, state: Json) -> Json:
        made = state["moulded"]
        good = made - 3
        # open, the moulded, keep, the good, keep
        self.entering += 1 + len(str(made)) + 1 + len(str(good)) + 1
        return self.tell("judge", None, good=good, moulded=made)

    def choose(self, state: Json) -> Json:
        """Return what to press, after waiting as the screen says."""
        screen = state["screen"]
        key, controls = screen["key"], screen["controls"]
        both = [each for each in controls if each["label"].startswith("Both in")]
        # A top-up of little plastic: one after the other, the first is cold again meanwhile.
        main = both[0] if both and state["melt"]["heat"] > 1 else controls[0]
        away = state["practice"]["away_until"]
        if away:
            self.wait(self.until(away) + 1)
            self.telling += 1
            self.tell("stir")
            return {"opens": "reading", "cup": next(iter(state["cups"])), "label": "back"}
        if state["state"] == "melting" and (due := self.due_mould(state)):
            return due  # its alarm has rung
        if key == "wait":
            return self.fall(state)
        if key == "draw" and (warm := self.match(state)):
            return warm
        if key.startswith("first-"):
            bait = practice.sees(self.workshop, self.code, now=self.at)["bait"]
            self.wait(TURN)
            return controls[1] if str(bait).endswith("down.") else main
        if screen["big"]["kind"] == "until" and key.startswith(("oven", "open")):
            self.wait(self.until(screen["big"]["at"]) + 1)
            if key.startswith("open") and state["state"] == "shooting":
                return self.at_mould(self.state(), main)
        elif key.startswith("draw"):
            return self.before_draw(state, main)
        else:
            self.wait(8.0 if key.startswith("push") else TURN)
        return main

    def match(self, state: Json) -> Json | None:
        """Return the short time in the oven that matches the cups, once in a heat."""
        heat = (state["melt"]["number"], state["melt"]["heat"])
        warm = [c for c in state["screen"]["controls"] if c["label"].startswith("Warm")]
        if not warm or heat in self.matched:
            return None
        self.matched.add(heat)
        self.wait(TURN)
        return warm[0]

    def due_mould(self, state: Json) -> Json | None:
        """Return the press that opens a mould whose time has come; none while a burst runs."""
        timers = {each["key"]: each for each in state["timers"]}
        if any(key.startswith("burst") for key in timers):
            return None
        for each in state["quick"]:
            mould = (each.get("event") or {}).get("data", {}).get("mould")
            timer = timers.get(f"mould-{mould}")
            if each["label"].startswith("Opened") and timer and self.until(timer["at"]) < 0:
                self.wait(TURN)
                return each
        return None

    def at_mould(self, state: Json, main: Json) -> Json:
        controls = state["screen"]["controls"]
        return controls[0] if controls[0].get("event", {}).get("kind") == "open" else main

    def fall(self, state: Json) -> Json:
        """Wait for the start: match the cups, stir and read now and then, draw when it is due."""
        screen = state["screen"]
        warm = [each for each in screen["controls"] if each["label"].startswith("Warm")]
        if warm:
            self.wait(TURN)
            return warm[0]
        left = self.until(screen["big"]["at"])
        if left <= PATIENCE + TURN:
            self.wait(left - TURN)
            self.telling += 1
            self.tell("stir")
            self.wait(TURN)
            return screen["controls"][0]
        self.wait(PATIENCE - TURN)
        self.telling += 1
        self.tell("stir")
        cups = list(state["cups"])
        for cup in cups[:-1]:
            self.wait(TURN)
            self.read(self.state(), cup)
        return {"opens": "reading", "cup": cups[-1], "label": f"Read {cups[-1]}"}

    def before_draw(self, state: Json, main: Json) -> Json:
        self.wait(TURN)
        if any("stir first" in line for line in state["screen"]["says"]):
            return next(c for c in state["screen"]["controls"] if c["label"] == "Stirred")
        return main


def reading_taps(cup: Json, celsius: float) -> int:
    """Count taps on the keypad (run-reading.js): ±5 moves, nine keys keep."""
    middle = cup["forecast_c"] if cup["forecast_c"] is not None else cup["target_c"]
    off = round(celsius) - round(middle)
    best = min(abs(fives) + 1 for fives in range(-40, 41) if abs(off - 5 * fives) <= 4)
    typed = 2 + len(str(round(celsius)))
    return min(best, typed)


@contextmanager
def at_bench(
    workshop: Workshop, *, good: int = 40, moulds: int = 4, recipe: str = "peat-over-chalk",
    **asked: Any,
) -> Iterator[Hand]:  # fmt: skip
    """Begin a practice run of the demo recipe."""
    version = workshop.recipes.named(recipe).version
    plan = keep_plan(
        workshop, recipe_id=version.document_id, recipe_version=version.number,
        mould_id=workshop.moulds.named("reed-130").version.document_id,
        bench_id=workshop.benches.named("Vessary Shed").version.document_id, good=good,
    )  # fmt: skip
    with patch.object(runs, "now", lambda: BEGUN):
        code = runs.begin(workshop, plan.code, moulds=moulds, practice={"seed": 1, **asked})
    yield Hand(workshop=workshop, code=code)
