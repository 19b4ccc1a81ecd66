"""The pretended bench of a practice run: the same for the same seed and events, heat kept."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.process.practice_bench import stored_heat
from partline.records.workshop import Workshop
from partline.services import runs
from partline.services.runcard import keep_plan
from partline.services.runs import practice
from partline.services.runs.practice.options import Slip, hidden_slips, read_practice
from partline.services.runs.practice.session import session
from partline.services.runs.standing import followed
from partline.services.workshop import load_demo, open_at

BEGUN = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
Json = dict[str, Any]


@dataclass
class Bench:
    """A workshop with a plan, and practice runs begun in it."""

    workshop: Workshop
    plan: str
    code: str = ""
    events: list[Json] = field(default_factory=list)

    def begin(self, *slips: Slip, seed: int = 7, moulds: int = 4) -> Bench:
        with patch.object(runs, "now", lambda: BEGUN):
            code = runs.begin(
                self.workshop, self.plan, moulds=moulds,
                practice={"seed": seed, "slips": [slip.value for slip in slips]},
            )  # fmt: skip
        return Bench(self.workshop, self.plan, code)

    def event(self, second: float, kind: str, cup: str | None = None, **data: Any) -> Json:
        at = (BEGUN + timedelta(seconds=second)).isoformat().replace("+00:00", "Z")
        made = {"id": f"PRACTICE{len(self.events):012d}", "kind": kind, "cup": cup, "at": at,
                "data": data}  # fmt: skip
        self.events.append(made)
        return made

    def tell(self, second: float, kind: str, cup: str | None = None, **data: Any) -> Json:
        """Tell one event at its own moment; return it."""
        made = self.event(second, kind, cup, **data)
        self.keep(made, at=second)
        return made

    def keep(self, *events: Json, at: float) -> None:
        with patch.object(runs, "now", lambda: BEGUN + timedelta(seconds=at)):
            answer = runs.record(self.workshop, self.code, events, device="hand")
        assert answer["problems"] == []

    def shows(self, second: float, cup: str) -> Json:
        return practice.reading(self.workshop, self.code, cup, now=moment(second))

    def sees(self, second: float) -> Json:
        return practice.sees(self.workshop, self.code, now=moment(second))

    def bench(self, second: float) -> Any:
        return session(self.workshop, self.code, now=moment(second)).stage().bench

    def caught(self, slip: Slip, second: float = 4000.0) -> Json:
        found = self.score(second)["slips"]
        return next(each for each in found if each["slip"] == slip.value)

    def score(self, second: float) -> Json:
        return practice.score(self.workshop, self.code, now=moment(second))

    def heated(self) -> None:
        """Weigh both cups and bring them up to about their target."""
        self.tell(10, "weigh", "A", grams=161.3)
        self.tell(20, "weigh", "B", grams=161.7)
        for start, cup in ((30, "A"), (160, "B")):
            self.tell(start, "burst", cup, seconds=110)
            self.tell(start + 112, "stir", cup)


def moment(second: float) -> datetime:
    return BEGUN + timedelta(seconds=second)


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    with open_at(tmp_path_factory.mktemp("practice") / "shed") as workshop:
        load_demo(workshop)
        recipe = workshop.recipes.named("peat-over-chalk").version
        plan = keep_plan(
            workshop, recipe_id=recipe.document_id, recipe_version=recipe.number,
            mould_id=workshop.moulds.named("reed-130").version.document_id,
            bench_id=workshop.benches.named("Vessary Shed").version.document_id, good=40,
        )  # fmt: skip
        yield Bench(workshop, plan.code)


@pytest.mark.parametrize(
    ("asked", "error", "words"),
    [
        ({}, OutOfRange, "whole number"),
        ({"seed": -1}, OutOfRange, "whole number"),
        ({"seed": True}, OutOfRange, "whole number"),
        ({"seed": 1, "speed": 3}, OutOfRange, "1, 4 or 10"),
        ({"seed": 1, "slips": ["cold feet"]}, InputError, "no such slip"),
        ({"seed": 1, "slips": "doorbell"}, InputError, "list"),
        ({"seed": 1, "spede": 4}, InputError, "none of these"),
    ],
)
def test_a_practice_run_that_cannot_be_meant_is_refused(shed, asked, error, words):
    with pytest.raises(error, match=words):
        runs.begin(shed.workshop, shed.plan, practice=asked)


def test_a_run_with_hot_plastic_has_no_pretended_bench(shed):
    code = runs.begin(shed.workshop, shed.plan)
    with pytest.raises(InputError, match="no practice run"):
        practice.reading(shed.workshop, code, "A")
    assert runs.state(shed.workshop, code)["practice"] is None


def test_a_seed_always_hides_the_same_mistakes_and_others_hide_others(shed):
    plan = followed(shed.workshop, shed.begin().code).plan
    drawn = [hidden_slips(read_practice({"seed": seed}), plan) for seed in range(40)]
    assert drawn == [hidden_slips(read_practice({"seed": seed}), plan) for seed in range(40)]
    assert {slip for each in drawn for slip in each} == set(Slip)
    assert {len(each) for each in drawn} == {2}


def test_the_same_seed_and_events_show_the_same_in_another_run(shed):
    one, other = shed.begin(), shed.begin()
    for bench in (one, other):
        bench.heated()
    assert [one.shows(300, cup) for cup in "AB"] == [other.shows(300, cup) for cup in "AB"]
    different = shed.begin(seed=8)
    different.heated()
    assert one.shows(300, "A")["celsius"] != different.shows(300, "A")["celsius"]


def test_looking_often_changes_nothing(shed):
    often, seldom = shed.begin(), shed.begin()
    for bench in (often, seldom):
        bench.heated()
    for second in range(275, 700, 7):
        often.shows(second, "A")
    assert often.shows(700, "A") == seldom.shows(700, "A")


def test_the_order_of_arrival_changes_nothing(shed):
    straight, late = shed.begin(), shed.begin()
    straight.heated()
    straight.tell(300, "draw")
    straight.tell(310, "shot", mould=1)
    late.keep(*straight.events[::-1], at=320)
    assert straight.bench(400).melt.mass == pytest.approx(late.bench(400).melt.mass, abs=0)
    assert straight.bench(400).true_bulk() == pytest.approx(late.bench(400).true_bulk(), abs=0)


def test_an_event_told_late_is_found_where_it_happened(shed):
    bench, straight = shed.begin(), shed.begin()
    straight.heated()
    bench.heated()
    for told in (bench, straight):
        assert told.shows(600, "A")["shows"]
    bench.tell(620, "stir", "A")
    bench.keep(bench.event(400, "stir", "A"), at=630)
    straight.tell(400, "stir", "A")
    straight.tell(620, "stir", "A")
    assert bench.bench(650).true_bulk() == pytest.approx(straight.bench(650).true_bulk(), abs=0)


def test_a_shot_taken_back_is_in_the_cup_again(shed):
    bench, without = shed.begin(), shed.begin()
    for told in (bench, without):
        told.heated()
    before = bench.bench(300).melt.mass
    shot = bench.tell(300, "shot", mould=1)
    drawn = before - bench.bench(301).melt.mass
    assert drawn == pytest.approx([0.02635, 0.02635], abs=1e-4)  # demo.md: 52.7 g a shot, halves
    bench.tell(304, "correction", of=shot["id"], void=True)
    assert bench.bench(400).melt.mass == pytest.approx(before, abs=0)
    assert bench.bench(400).true_bulk() == pytest.approx(without.bench(400).true_bulk(), abs=0)


@given(
    st.lists(
        st.tuples(
            st.floats(1, 1500),
            st.sampled_from(["burst", "stir", "draw", "shot", "add", "weigh"]),
            st.sampled_from(["A", "B", None]),
            st.sampled_from([3.0, 20.0, 60.0]),
        ),
        min_size=1, max_size=14,
    )
)  # fmt: skip
@settings(deadline=None, max_examples=25)
def test_heat_and_mass_are_kept_through_any_replay(shed, told):
    bench = shed.begin()
    for second, kind, cup, amount in told:
        data = {
            "burst": {"seconds": amount},
            "add": {"supply": "Peat", "grams": amount / 60},
            "weigh": {"grams": 150 + amount / 5},
        }.get(kind, {})
        bench.event(second, kind, "A" if kind == "weigh" and cup is None else cup, **data)
    bench.keep(*bench.events, at=1600)
    now = bench.bench(1600)
    account = now.melt.given - now.melt.lost + now.melt.moved
    # A sum of some thousand steps, each rounded at 1e-16 of some 50 kJ.
    assert stored_heat(now.hidden, now.melt) == pytest.approx(account, abs=1e-3)
    assert np.all(now.melt.mass >= 0.004 - 1e-12)
    assert np.all(now.melt.mass < 0.4)
    assert np.all(np.isfinite(now.melt.layers))


def test_an_emptied_cup_forgotten_in_the_oven_smokes_and_answers_at_once(shed):
    bench = shed.begin()
    bench.heated()
    for place in range(7):
        bench.tell(300 + 10 * place, "draw")
    bench.tell(400, "burst", seconds=900)
    assert "in the oven" in bench.shows(500, "A")["why"]
    assert bench.sees(1310)["cups"]["A"].startswith("smoking")


def test_a_cup_looks_and_reads_as_hot_as_it_is(shed):
    bench = shed.begin()
    assert bench.sees(1)["cups"] == {"A": "milky and runny", "B": "milky and runny"}
    bench.heated()
    reading = bench.shows(143, "A")
    true = bench.bench(143).true_bulk()[0] - 273.15
    # Emissivity 0.91 to 0.95 under a setting of 0.95, drift, noise and whole degrees: a reading
    # lies below the plastic, by 8 K at most so early in a run.
    assert -8 <= reading["celsius"] - true <= 2
    assert reading["unit"] == "C"
    assert reading["shows"] == f"{reading['celsius']:.0f}"


def test_the_scale_shows_about_what_the_card_says(shed):
    bench = shed.begin()
    scale = bench.sees(5)["scale"]
    assert scale["cup"] == "A"
    assert float(scale["shows"]) == pytest.approx(161.3, abs=1.5)  # the card, ± a hand's pouring
    bench.tell(10, "weigh", "A", grams=161.3)
    assert bench.sees(15)["scale"]["cup"] == "B"


def weighed_gross(shed: Bench) -> tuple[Bench, str, Json]:
    """A run whose first weighing with the empty cup in it was told as the scale showed it."""
    for seed in range(50):
        bench = shed.begin(Slip.TARE, seed=seed)
        scale = bench.sees(5)["scale"]
        if float(scale["shows"]) > 300:
            return bench, scale["cup"], scale
    message = "no seed hides it in the first weighing"
    raise AssertionError(message)


def test_a_scale_with_the_empty_cup_on_it_is_caught_by_the_correction(shed):
    bench, cup, scale = weighed_gross(shed)
    gross = float(scale["shows"])
    told = bench.tell(10, "weigh", cup, grams=gross)
    assert bench.caught(Slip.TARE)["caught"] is False
    fixed = bench.tell(20, "correction", of=told["id"], data={"grams": gross - 180})
    found = bench.caught(Slip.TARE)
    assert found["caught"] is True
    assert found["by"] == fixed["id"]


def test_a_figure_of_the_other_scale_is_caught_or_not(shed):
    bench = shed.begin(Slip.WRONG_UNIT)
    bench.heated()
    second = 280.0
    while (shown := bench.shows(second, "A"))["unit"] == "C":
        bench.tell(second, "reading", "A", celsius=shown["celsius"], unit="C", entered="x")
        second += 5
        assert second < 320
    assert shown["celsius"] == pytest.approx((float(shown["shows"]) - 32) / 1.8, abs=0.01)
    told = bench.tell(second, "reading", "A", celsius=float(shown["shows"]), unit="C", entered="x")
    assert bench.shows(second + 5, "A")["unit"] == "C"  # once
    assert bench.caught(Slip.WRONG_UNIT)["caught"] is False
    bench.tell(second + 9, "correction", of=told["id"], data={"celsius": shown["celsius"]})
    assert bench.caught(Slip.WRONG_UNIT)["caught"] is True


def test_a_knocked_setting_reads_high_until_a_reading_is_taken_back(shed):
    bench, honest = shed.begin(Slip.EMISSIVITY), shed.begin()
    for told in (bench, honest):
        told.heated()
        for place in range(6):
            told.tell(280 + place, "reading", "A", celsius=150.0, unit="C", entered="x")
    wrong, right = bench.shows(300, "A"), honest.shows(300, "A")
    assert wrong["setting"] == 0.80
    assert wrong["celsius"] > right["celsius"] + 8
    last = bench.tell(301, "reading", "A", celsius=wrong["celsius"], unit="C", entered="x")
    assert bench.caught(Slip.EMISSIVITY)["caught"] is False
    bench.tell(305, "correction", of=last["id"], void=True)
    assert bench.shows(310, "A")["setting"] == 0.95
    assert bench.caught(Slip.EMISSIVITY)["caught"] is True


def one_shot(bench: Bench, *, up: bool) -> None:
    bench.heated()
    bench.tell(300, "draw")
    bench.tell(306, "shot", mould=1)
    bench.tell(600, "open", mould=1)
    bench.tell(605, "first_shot", dark_side_up=up)


@pytest.mark.parametrize(("slips", "lies"), [((), "up"), ((Slip.UPSIDE_DOWN,), "down")])
def test_the_first_bait_shows_which_way_up_the_mould_lay(shed, slips, lies):
    bench = shed.begin(*slips)
    assert ("above" if slips else "below") in bench.sees(5)["mould"]
    one_shot(bench, up=lies == "up")
    assert bench.sees(603)["bait"].endswith(f"dark side {lies}.")
    assert bench.sees(610)["bait"] == ""


def test_a_mould_upside_down_is_caught_by_the_first_bait_or_goes_through(shed):
    seen, missed = shed.begin(Slip.UPSIDE_DOWN), shed.begin(Slip.UPSIDE_DOWN)
    one_shot(seen, up=False)
    one_shot(missed, up=True)
    assert seen.caught(Slip.UPSIDE_DOWN)["caught"] is True
    assert "below" in seen.sees(700)["mould"]
    assert missed.caught(Slip.UPSIDE_DOWN)["caught"] is False
    assert "4 baits" in missed.caught(Slip.UPSIDE_DOWN)["text"]


def till_the_bell(bench: Bench) -> float:
    """Shoot until the doorbell rings; return the moment [s]."""
    bench.heated()
    for place in range(3):
        second = 300.0 + 20 * place
        bench.tell(second, "draw")
        bench.tell(second + 6, "shot", mould=place + 1)
        if bench.sees(second + 7)["away_until"]:
            return second + 6
    message = "it did not ring"
    raise AssertionError(message)


@pytest.mark.parametrize("looks", [True, False])
def test_whoever_comes_back_from_the_door_looks_before_drawing(shed, looks):
    bench = shed.begin(Slip.DOORBELL)
    rang = till_the_bell(bench)
    if looks:
        bench.tell(rang + 103, "stir")
    bench.tell(rang + 110, "draw")
    found = bench.caught(Slip.DOORBELL, rang + 120)
    assert found["met"] is True
    assert found["caught"] is looks


def test_nobody_reads_a_display_from_the_door(shed):
    bench = shed.begin(Slip.DOORBELL)
    rang = till_the_bell(bench)
    with patch.object(runs, "now", lambda: moment(rang + 50)):
        signs: Any = runs.state(bench.workshop, bench.code)["practice"]
    assert signs["away_until"]
    assert bench.shows(rang + 50, "A")["why"] == "You are at the door."
    assert bench.shows(rang + 101, "A")["shows"]


def test_a_score_says_that_it_is_a_simulation_and_blames_nobody(shed):
    bench = shed.begin(*Slip)
    one_shot(bench, up=True)
    found = bench.score(700)
    assert "simulation" in found["note"]
    assert "guesses" in found["note"]
    said = " ".join([i["text"] for i in found["items"]] + [s["text"] for s in found["slips"]])
    assert not re.search(r"\b(fault|wrong of you|careless|fail|you should)", said, re.IGNORECASE)
    assert [each["key"] for each in found["items"]] == [
        "band", "thermometer", "match", "stir", "ceiling", "fused", "metal", "opening", "start"
    ]  # fmt: skip


def test_metal_in_the_oven_and_an_overheated_cup_are_told(shed):
    bench = shed.begin()
    bench.tell(5, "add", "A", supply="Penny", grams=0.4)
    bench.tell(10, "burst", "A", seconds=400)
    items = bench.score(500)["items"]
    told = {each["key"]: each["ok"] for each in items}
    assert told["metal"] is False
    assert told["ceiling"] is False
