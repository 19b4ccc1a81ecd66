"""What is left in the cups: offered once the melt is poured, never in the way, told as left."""

from __future__ import annotations

import pytest

from tests.services.bench_hand import Hand, Json, at_the_bench


@pytest.fixture
def hand(tmp_path, monkeypatch):
    with at_the_bench(tmp_path, monkeypatch, moulds=8) as hand:
        yield hand


def offered(state: Json) -> list[Json]:
    return [each for each in state["screen"]["controls"] if each.get("data") == {"left": True}]


def pour(hand: Hand) -> Json:
    """Make every shot of the melt in hand."""
    for mould in range(hand.state["melt"]["shots"]):
        hand.tap("draw")
        hand.tap("shot", mould=mould + 1, push_s=6.0)
        hand.wait(12)
    hand.tap("open", mould=1)
    return hand.tap("first_shot", dark_side_up=True)


def poured(hand: Hand) -> Json:
    hand.set_up()
    hand.heat_to(175.0, 174.0)
    return pour(hand)


def test_it_is_asked_of_one_cup_after_the_other_beside_the_way_on_and_gone_once_told(hand):
    state = poured(hand)
    main, rest = state["screen"]["controls"]
    assert main["tone"] == "main"
    assert rest["label"] == "What is left in A"
    assert (rest["opens"], rest["cup"], rest["tone"]) == ("weigh", "A", "plain")
    assert "less its own 180 g, tells" in state["screen"]["says"][-1]
    state = hand.tap("weigh", rest["cup"], grams=4.0, entered="4 g", **rest["data"])
    assert state["questions"] == []
    assert state["log"][0]["text"].startswith("Left in")
    (rest,) = offered(state)
    assert rest["label"] == "What is left in B"
    assert offered(hand.tap("weigh", "B", grams=3.0, entered="3 g", left=True)) == []


def test_it_is_not_in_the_way_of_the_next_melt(hand):
    state = poured(hand)
    assert state["screen"]["controls"][0]["label"] == "On to melt 2"
    state = hand.press("On to melt 2")
    assert state["screen"]["title"] == "Weigh cup A"
    assert offered(state) == []


def test_a_rest_with_the_empty_cup_in_it_is_asked_about_and_counts_for_nothing_yet(hand):
    poured(hand)
    state = hand.tap("weigh", "A", grams=184.0, entered="184 g", left=True)
    (question,) = state["questions"]
    assert "is the empty cup (180 g) in it?" in question["text"]
    assert offered(state)[0]["label"] == "What is left in A"
    state = hand.press("Yes: 4.0 g of plastic")
    assert state["questions"] == []
    assert state["cups"]["A"]["grams"] == pytest.approx(4.0)


def test_a_rest_that_never_went_in_is_asked_about(hand):
    poured(hand)
    (question,) = hand.tap("weigh", "A", grams=900.0, entered="900 g", left=True)["questions"]
    assert "was to go in" in question["text"]


def test_a_cup_that_was_not_weighed_full_tells_nothing_and_is_not_asked_about(hand):
    hand.tap("set_up", missing=[])
    hand.heat_to(175.0, 174.0)
    assert offered(pour(hand)) == []
