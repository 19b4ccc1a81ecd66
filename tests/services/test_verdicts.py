"""The verdict on the demo's runs, through the real record: looks told, starts and pushes read."""

from __future__ import annotations

import pytest

from partline.errors import NotFound
from partline.services.verdicts import answer_looks, run_verdict
from tests.services.bench_hand import Hand, Json, at_the_bench


def poured(hand: Hand, start_a: float, start_b: float, push: float) -> None:
    """Two shots of a heat, as the demo tells them."""
    hand.set_up()
    hand.heat_to(175.0, 175.0 - (start_a - start_b))
    hand.wait(60)
    hand.tap("stir")
    hand.read("A", start_a)
    hand.read("B", start_b)
    for shot in (1, 2):
        hand.tap("draw")
        hand.tap("shot", mould=shot, push_s=push)
        hand.wait(12)
    hand.wait(300)
    hand.tap("finish")


@pytest.fixture
def first(tmp_path, monkeypatch):
    """Run 1 of the demo: three drops of Peat, a calm pour."""
    with at_the_bench(tmp_path, monkeypatch, version=1) as hand:
        poured(hand, 163.0, 162.0, 6.0)
        yield hand


@pytest.fixture
def second(tmp_path, monkeypatch):
    """Run 2: nine drops, hot, unmatched and hurried."""
    with at_the_bench(tmp_path, monkeypatch, version=2) as hand:
        poured(hand, 171.0, 165.0, 2.5)
        yield hand


def told(hand: Hand) -> Json:
    return run_verdict(hand.workshop, hand.code)


def look(hand: Hand, **answers: bool | None) -> Json:
    answer_looks(hand.workshop, hand.code, answers, device="laptop")
    return told(hand)


def test_with_nothing_looked_at_all_causes_are_level_and_it_says_so(first):
    found = told(first)
    assert found["headline"] == "Nothing has been looked at yet."
    shares = {each["cause"]: each["share"] for each in found["causes"]}
    assert shares.pop("creep later") == 0.0
    assert max(shares.values()) == min(shares.values())
    assert not found["is_action_told"]
    assert found["change"] is None
    assert found["next_look"] is not None


def test_the_demos_first_run_is_see_through_and_three_times_the_colour_answers_it(first):
    found = look(first, changes=True, tail_worse=True, sprue_crisp=True, belly_crisp=True)
    assert found["causes"][0]["cause"] == "see-through"
    assert found["causes"][0]["share"] > 0.85
    assert found["is_cause_told"]
    assert found["actions"][0]["action"] == "more colourant"
    assert "Peat from 3 to 9 drops" in found["change"]["text"]
    assert "Leave temperature and push" in found["change"]["leave"]
    assert found["causes"][0]["because"]


def test_the_demos_second_run_is_not_told_apart_and_one_action_answers_both(second):
    found = look(
        second, sprue_crisp=False, belly_crisp=False, ring=True, changes=False, gate_worse=True
    )
    assert {each["cause"] for each in found["causes"][:2]} == {"mixed in the shot", "wrap-round"}
    assert not found["is_cause_told"]
    assert found["is_action_told"]
    assert "the same is to be done" in found["headline"]
    text = found["change"]["text"].lower()
    assert "start at 165 °c (it was 170 °c)" in text
    assert "match the cups within 2 k (they were 6 k apart)" in text
    assert "push in 6 s (it was 2.5 s)" in text


def test_the_record_tells_start_difference_and_push_by_itself(second):
    found = told(second)
    assert found["record"]["hottest_start"] == pytest.approx(171.0, abs=1.0)
    assert found["record"]["a_less_b"] == pytest.approx(6.0, abs=0.8)
    assert found["record"]["push_s"] == 2.5
    seen = {each["look"]: each["seen"] for each in found["seen"]}
    assert seen == {"hot_or_fast": True, "cups_apart": True}


def test_an_answer_given_again_or_changed_counts_once(first):
    one = look(first, changes=True)
    number = first.state["number"]
    assert look(first, changes=True)["causes"] == one["causes"]
    assert first.state["number"] == number
    other = look(first, changes=False)
    assert other["causes"] != one["causes"]
    first.wait(60)
    back = look(first, changes=None)
    assert back["headline"] == "Nothing has been looked at yet."


def test_what_was_fine_at_first_and_worse_after_a_week_has_crept(first):
    first.wait(8 * 86_400)
    found = look(first, worse_later=True, sprue_crisp=True)
    assert found["days"] == pytest.approx(8.0, abs=0.1)
    assert found["causes"][0]["cause"] == "creep later"


def test_an_unknown_look_or_run_is_refused_in_a_sentence(first):
    with pytest.raises(NotFound, match="no look called “smell”"):
        answer_looks(first.workshop, first.code, {"smell": True})
    with pytest.raises(NotFound, match="No run has the code"):
        run_verdict(first.workshop, "0000000000")
