"""A melt for eight baits: too little to heat one cup alone, or either of them to the target."""

from __future__ import annotations

import pytest

from tests.services.bench_hand import at_the_bench


@pytest.fixture
def hand(tmp_path, monkeypatch):
    with at_the_bench(tmp_path, monkeypatch, good=7) as hand:
        hand.set_up()
        yield hand


def burst_and_read(hand, seconds, celsius):
    hand.tap("burst", None, seconds=seconds)
    hand.wait(seconds + 2)
    hand.tap("stir")
    hand.wait(4)
    for cup in "AB":
        hand.read(cup, celsius)
        hand.wait(4)


def test_small_cups_go_into_the_oven_together(hand):
    screen = hand.state["screen"]
    assert screen["title"] == "Heat both cups"
    assert screen["controls"][0]["event"]["data"]["seconds"] >= 30


def test_a_heat_whose_bursts_bring_nothing_ends_under_its_target_and_says_by_how_much(hand):
    for supply, cup in (("Peat", "A"), ("Chalk", "B")):
        hand.tap("add", cup, supply=supply, grams=0.1)
    for seconds, celsius in ((60, 108), (35, 142), (22, 157), (14, 164), (13, 167), (13, 167.5)):
        burst_and_read(hand, seconds, celsius)
        assert hand.state["screen"]["key"].startswith("heat-"), celsius
    burst_and_read(hand, 13, 167)
    screen = hand.state["screen"]
    assert not screen["key"].startswith(("heat-", "too-little"))
    for supply, cup in (("Penny", "A"), ("Rind", "B")):
        hand.tap("add", cup, supply=supply, grams=0.1)
    assert "under the target" in " ".join(hand.state["screen"]["says"])
