"""Forecasts are kept before the result and held against it, beside habit and rule of thumb."""

from __future__ import annotations

import re
from typing import Any

import pytest

from partline.errors import Impossible
from partline.interfaces.web import create_app
from partline.services import runs
from partline.services.runs.forecasts import forecast_scores
from partline.services.verdicts import answer_looks, take_change
from tests.house.test_docs_answers import documented, is_met, paths, unknown
from tests.journeys.visiting import Client
from tests.services.bench_hand import Hand, at_the_bench
from tests.services.test_verdicts import poured

SEEN = {"sprue_crisp": False, "ring": True, "gate_worse": True, "changes": False}


@pytest.fixture
def hand(tmp_path, monkeypatch):
    with at_the_bench(tmp_path, monkeypatch) as hand:
        yield hand


def following(hand: Hand) -> Hand:
    hand.wait(86_400)
    code = runs.begin(hand.workshop, hand.state["plan"], moulds=4)
    return Hand(hand.workshop, code, hand.clock, count=hand.count)


def spoiled(hand: Hand) -> None:
    poured(hand, 171.0, 165.0, 2.5)
    hand.tap("judge", good=1, moulded=8)


def test_without_a_run_before_it_the_bench_s_own_reject_share_is_foretold(hand):
    told: Any = hand.state["forecast"]
    assert told["because"] == "no run of this mould and recipe was judged yet"
    assert told["baits"] == 44
    assert told["good_low"] < told["good"] <= told["good_high"] <= 44


def test_after_a_spoiled_run_the_next_is_feared_and_with_the_change_made_hoped_for(hand):
    spoiled(hand)
    feared = following(hand).state["forecast"]
    assert feared["good"] < 12
    answer_looks(hand.workshop, hand.code, SEEN)
    take_change(hand.workshop, hand.code)
    hoped = following(hand).state["forecast"]
    assert hoped["good"] > 2 * feared["good"]
    assert "with the change made: cooler, gentler, cups matched" in hoped["because"]


def test_a_forecast_stands_as_it_was_kept_whatever_comes_later(hand):
    spoiled(hand)
    other = following(hand)
    before = other.state["forecast"]
    hand.tap("correction", of=hand.taps[-1]["id"], data={"good": 8, "moulded": 8})
    assert other.state["forecast"] == before


def test_the_scoreboard_compares_where_habit_has_something_to_say(hand):
    spoiled(hand)
    answer_looks(hand.workshop, hand.code, SEEN)
    take_change(hand.workshop, hand.code)
    second = following(hand)
    second.tap("judge", good=41, moulded=44)
    third = following(second)
    third.tap("judge", good=42, moulded=44)
    found = forecast_scores(hand.workshop)
    assert [row["run"] for row in found["runs"]] == [hand.code, second.code, third.code]
    assert found["compared"] == 2
    ours, last = (row["mean_score"] for row in found["forecasters"][:2])
    assert ours < last  # hope was right once, and habit from then on
    known = documented("`partline forecasts`")
    assert not unknown(found, known)
    met = {path.removesuffix("[]") for path in paths(found)}
    assert not {path for path in known if not is_met(path, met)}


def test_a_run_that_is_set_aside_is_neither_scored_nor_foretold_from(hand):
    spoiled(hand)
    hand.tap("set_aside", aside=True, why="the oven door stood open")
    assert forecast_scores(hand.workshop)["runs"] == []
    assert following(hand).state["forecast"]["because"].startswith("no run of this mould")


def test_there_is_no_change_to_take_before_one_is_told(hand):
    spoiled(hand)
    with pytest.raises(Impossible, match="No change is told yet"):
        take_change(hand.workshop, hand.code)


def test_the_change_is_one_press_and_the_page_of_forecasts_says_where_it_is_no_better(hand):
    client = Client(create_app(hand.workshop))
    assert "No run with a forecast was judged yet" in client.get("/forecasts").text
    spoiled(hand)
    answer_looks(hand.workshop, hand.code, SEEN)
    page = client.get(f"/runs/{hand.code}/verdict").text
    action = re.search(r'action="(/runs/\w+/change\?token=[^"]+)"', page)
    assert action is not None
    assert client.post(action[1]).status_code == 303
    assert "You are going to make it" in client.get(f"/runs/{hand.code}/verdict").text
    page = client.get("/forecasts").text
    assert "Fewer than two forecasts" in page
    assert hand.code in page
