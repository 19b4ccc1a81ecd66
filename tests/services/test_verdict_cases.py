"""Causes that the maker confirms: cases for later verdicts, never for their own."""

from __future__ import annotations

import pytest

from partline.errors import NotFound
from partline.services import runs
from partline.services.verdicts import answer_looks, confirm_cause, run_verdict, take_change
from tests.services.bench_hand import Hand, Json, at_the_bench
from tests.services.test_verdicts import poured

SEEN = {"sprue_crisp": True, "ring": True, "changes": False}


@pytest.fixture
def first(tmp_path, monkeypatch):
    """A run that was looked at: a crisp sprue, a ring in the belly."""
    with at_the_bench(tmp_path, monkeypatch) as hand:
        poured(hand, 163.0, 162.0, 6.0)
        hand.tap("judge", good=1, moulded=8)
        answer_looks(hand.workshop, hand.code, SEEN)
        yield hand


def following(hand: Hand) -> Hand:
    hand.wait(86_400)
    code = runs.begin(hand.workshop, hand.state["plan"], moulds=4)
    return Hand(hand.workshop, code, hand.clock, count=hand.count)


def told(hand: Hand) -> Json:
    return run_verdict(hand.workshop, hand.code)


def share(found: Json, cause: str) -> float:
    return next(each["share"] for each in found["causes"] if each["cause"] == cause)


def test_a_confirmed_cause_moves_later_verdicts_and_never_its_own(first):
    before = told(first)
    second = following(first)
    answer_looks(second.workshop, second.code, SEEN)
    unmoved = told(second)
    confirm_cause(first.workshop, first.code, "mixed in the shot")
    mine = told(first)
    assert mine["confirmed"] == "mixed in the shot"
    assert mine["causes"] == before["causes"]
    assert mine["cases"] == []
    moved = told(second)
    assert moved["cases"] == [{"run": first.code, "cause": "mixed in the shot"}]
    assert share(moved, "mixed in the shot") > share(unmoved, "mixed in the shot")
    assert "1 run of your own" in moved["origin"]
    assert next(c for c in moved["causes"] if c["cause"] == "mixed in the shot")["cases"] == 1


def test_taken_back_or_set_aside_it_moves_nothing_and_told_again_it_is_told_once(first):
    second = following(first)
    answer_looks(second.workshop, second.code, SEEN)
    unmoved = told(second)
    confirm_cause(first.workshop, first.code, "wrap-round")
    number = first.state["number"]
    confirm_cause(first.workshop, first.code, "Wrap-round ")
    assert first.state["number"] == number
    assert told(second)["causes"] != unmoved["causes"]
    confirm_cause(first.workshop, first.code, None)
    assert told(second)["causes"] == unmoved["causes"]
    confirm_cause(first.workshop, first.code, "wrap-round")
    first.tap("set_aside", aside=True)
    assert told(second)["causes"] == unmoved["causes"]


def test_what_was_looked_at_with_the_cause_known_tells_nothing_new(first):
    second = following(first)
    answer_looks(second.workshop, second.code, {**SEEN, "gate_worse": True})
    confirm_cause(first.workshop, first.code, "mixed in the shot")
    before = told(second)
    first.wait(60)
    answer_looks(first.workshop, first.code, {"gate_worse": True})
    assert told(second)["causes"] == before["causes"]


def test_the_verdict_says_whether_the_run_after_its_change_came_out_better(first):
    assert told(first)["after_it"] is None
    looks = {"sprue_crisp": False, "gate_worse": True, "first_only": False, "dark_down": False}
    answer_looks(first.workshop, first.code, looks)
    take_change(first.workshop, first.code)
    second = following(first)
    second.tap("judge", good=41, moulded=44)
    found = told(first)["after_it"]
    assert (found["run"], found["good"], found["moulded"]) == (second.code, 41, 44)
    assert found["chance_better"] > 0.9


def test_the_first_bait_told_at_the_bench_counts_as_a_look(first):
    first.tap("first_shot", dark_side_up=False)
    assert {"look": "dark_down", "seen": True} in told(first)["seen"]


def test_an_unknown_cause_is_refused_in_a_sentence(first):
    with pytest.raises(NotFound, match="no cause called “weather”"):
        confirm_cause(first.workshop, first.code, "weather")
    event = first.event("cause", cause="weather")
    answer: Json = runs.record(first.workshop, first.code, [event])
    assert "no cause called" in answer["problems"][0]["message"]
