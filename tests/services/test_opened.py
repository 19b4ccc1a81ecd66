"""What a run tells of how long its mould must stay shut: only from what was told of it."""

from __future__ import annotations

import pytest

from partline.interfaces.web import create_app
from partline.services.bench_known import known_bench
from tests.journeys.visiting import Client
from tests.services.bench_hand import Hand, Json, at_the_bench


@pytest.fixture
def hand(tmp_path, monkeypatch):
    with at_the_bench(tmp_path, monkeypatch) as hand:
        yield hand


def poured(hand: Hand, shut: float, shots: int = 2) -> None:
    """Pour some shots, each into a mould of its own that stays shut for so long. [s]"""
    hand.set_up()
    hand.heat_to(172.0, 171.0)
    for mould in range(1, shots + 1):
        hand.tap("draw")
        hand.wait(2)
        hand.tap("shot", mould=mould, push_s=6.0)
        hand.wait(shut)
        hand.tap("open", mould=mould)
        hand.wait(2)


def judged(hand: Hand, shut: float, *, bad: int = 0, shots: int = 2) -> None:
    poured(hand, shut, shots)
    made = shots * 4
    hand.tap("judge", good=made - bad, moulded=made, text="")


def opening(hand: Hand) -> Json:
    known = known_bench(hand.workshop)
    return next(each for each in known["constants"] if each["key"] == "opening")


def test_before_any_run_it_is_the_clocks_own_time_with_its_range(hand):
    known = opening(hand)
    assert known["evidence"] == []
    assert known["after"] == known["before"]
    assert known["before"]["value"] == 1.0
    assert "only shown" in known["used"]


def test_good_baits_out_of_a_mould_opened_early_say_that_less_is_enough(hand):
    judged(hand, shut=120.0)
    known = opening(hand)
    (evidence,) = known["evidence"]
    assert (evidence["bound"], evidence["count"]) == ("at most", 2)
    assert evidence["value"] < 0.9
    assert known["after"]["high"] < known["before"]["high"]
    assert known["after"]["value"] < known["before"]["value"]


def test_a_warmer_pour_makes_the_same_time_a_smaller_part_of_what_is_computed(hand):
    hand.set_up()
    hand.heat_to(178.0, 171.0)
    hand.tap("draw")
    hand.tap("shot", mould=1, push_s=6.0)
    hand.wait(200)
    hand.tap("open", mould=1)
    hand.tap("judge", good=4, moulded=4, text="")
    (warm,) = opening(hand)["evidence"]
    cup = next(tap for tap in hand.taps if tap["kind"] == "reading")
    hand.tap("correction", of=cup["id"], data={"celsius": 150.0})
    (cool,) = opening(hand)["evidence"]
    assert warm["value"] < cool["value"]


def test_as_many_openings_are_passed_over_as_baits_were_bad(hand):
    judged(hand, shut=120.0, bad=1)
    assert opening(hand)["evidence"][0]["count"] == 1
    hand.tap("judge", good=6, moulded=8, text="")  # either shot may have been the spoiled one
    assert opening(hand)["evidence"] == []


def test_a_bait_marked_as_bent_says_that_more_is_needed(hand):
    poured(hand, shut=120.0)
    hand.tap("wrong", what="bent", text="")
    known = opening(hand)
    (evidence,) = known["evidence"]
    assert (evidence["bound"], evidence["count"]) == ("more than", 1)
    assert known["after"]["value"] > known["before"]["value"]


def test_a_mould_that_nobody_said_was_opened_tells_nothing(hand):
    hand.set_up()
    hand.heat_to(172.0, 171.0)
    for _ in range(2):
        hand.tap("draw")
        hand.tap("shot", mould=1, push_s=6.0)
        hand.wait(120)
    hand.tap("judge", good=8, moulded=8, text="")
    assert opening(hand)["evidence"] == []


def test_a_run_that_is_set_aside_is_unlearned(hand):
    blank = opening(hand)
    judged(hand, shut=120.0)
    assert opening(hand) != blank
    hand.tap("set_aside", aside=True, why="draught")
    assert opening(hand) == blank


def test_the_page_says_from_which_side_each_run_tells_it(hand):
    judged(hand, shut=120.0)
    bench = hand.workshop.benches.listed()[0].document_id
    page = Client(create_app(hand.workshop)).get(f"/bench/{bench}/known").text
    assert "stays shut before it can be opened" in page
    assert "at most 0." in page
