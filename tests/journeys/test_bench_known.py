"""A bench that is known better after every run, and no better than its readings allow."""

from __future__ import annotations

from math import log

import pytest

from partline.errors import NotFound
from partline.interfaces.web import create_app
from partline.process.practice_bench import new_bench
from partline.services import runs
from partline.services.bench_known import known_bench
from partline.services.runs.standing import followed
from tests.house.test_docs_answers import documented, is_met, paths, unknown
from tests.journeys.visiting import Client
from tests.services.bench_hand import Hand, at_the_bench


@pytest.fixture
def hand(tmp_path, monkeypatch):
    with at_the_bench(tmp_path, monkeypatch) as hand:
        yield hand


def melted(hand: Hand, seed: int) -> None:
    """Heat cup A of a bench that is not the tool's model, and read it as it cools."""
    bench = new_bench(seed)
    bench = bench.stir("A")
    shows, bench = bench.read("A")
    hand.tap("stir", "A")
    hand.read("A", round(shows))
    for seconds in (90, 60):
        hand.tap("burst", "A", seconds=seconds)
        bench = bench.burst("A", seconds).stir("A")
        hand.wait(seconds)
        hand.tap("stir", "A")
        shows, bench = bench.read("A")
        hand.read("A", round(shows))
    for _ in range(3):
        hand.wait(45)
        bench = bench.advance(45).stir("A")
        hand.tap("stir", "A")
        shows, bench = bench.read("A")
        hand.read("A", round(shows))


def again(hand: Hand) -> Hand:
    """The next day's run of the same plan."""
    hand.wait(86_400)
    plan = hand.state["plan"]
    return Hand(hand.workshop, runs.begin(hand.workshop, plan), hand.clock, count=hand.count)


def constant(known, key: str):
    return next(each for each in known["constants"] if each["key"] == key)


def width(figure) -> float:
    return figure["high"] / figure["low"]


def test_a_run_tells_of_the_oven_and_of_the_cups_with_its_evidence(hand):
    before = known_bench(hand.workshop)
    assert before["constants"][0]["after"] == before["constants"][0]["before"]
    melted(hand, seed=4)
    known = known_bench(hand.workshop)
    oven, loss = constant(known, "oven_power"), constant(known, "cup_loss_a")
    assert [each["run"] for each in oven["evidence"]] == [hand.code]
    assert width(oven["after"]) < width(oven["before"])
    assert width(loss["after"]) < width(loss["before"])
    assert oven["after"]["origin"] == "measured"
    other = constant(known, "cup_loss_b")  # cup B stayed cold: nothing is said of it
    assert other["after"] == other["before"]
    assert known["narrows_most"]["key"] in ("oven_power", "cup_loss_b")


def test_the_next_run_expects_what_the_last_one_taught_and_a_forecast_never_knows_itself(hand):
    first = followed(hand.workshop, hand.code).kit
    melted(hand, seed=4)
    assert followed(hand.workshop, hand.code).kit.power == first.power
    other = again(hand)
    taught = followed(hand.workshop, other.code).kit
    assert taught.power is not None
    assert first.power is not None
    true = float(new_bench(4).hidden.oven[0])
    assert taught.power.low <= true <= taught.power.high
    # What counts for its forecasts is what its own readings will show, by the same law.
    melted(other, seed=4)
    shows = constant(known_bench(hand.workshop), "oven_power")["evidence"][1]["value"]
    assert abs(log(taught.power.value / shows)) < abs(log(first.power.value / shows))


def test_a_run_that_is_set_aside_is_unlearned_and_taken_back_in(hand):
    blank = known_bench(hand.workshop)["constants"]
    melted(hand, seed=4)
    learned = known_bench(hand.workshop)["constants"]
    hand.tap("set_aside", aside=True, why="draught")
    assert known_bench(hand.workshop)["constants"] == blank
    hand.wait(1)
    hand.tap("set_aside", aside=False)
    assert known_bench(hand.workshop)["constants"] == learned


def test_a_corrected_reading_changes_what_was_learned(hand):
    melted(hand, seed=4)
    before = constant(known_bench(hand.workshop), "oven_power")["after"]["value"]
    hot = [tap for tap in hand.taps if tap["kind"] == "reading"][2]
    hand.tap("correction", of=hot["id"], data={"celsius": hot["data"]["celsius"] + 12})
    after = constant(known_bench(hand.workshop), "oven_power")["after"]["value"]
    assert after != before


def test_two_runs_narrow_what_one_left(hand):
    melted(hand, seed=4)
    one = constant(known_bench(hand.workshop), "oven_power")
    other = again(hand)
    melted(other, seed=4)
    two = constant(known_bench(hand.workshop), "oven_power")
    assert len(two["evidence"]) == 2
    assert width(two["after"]) < width(one["after"])


def test_every_key_is_on_the_page_of_answers(hand):
    melted(hand, seed=4)
    again(hand).tap("set_aside", aside=True)
    known, answer = documented("`partline learn`"), known_bench(hand.workshop)
    assert unknown(answer, known) <= {"constants[].evidence"}  # of a cup that nobody read
    met = {path.removesuffix("[]") for path in paths(answer)}
    assert not {path for path in known if not is_met(path, met)}


def test_counted_and_weighed_drops_tell_what_a_drop_weighs_and_leftovers_what_a_shot_takes(hand):
    hand.tap("set_up", missing=[])
    for cup in "AB":
        hand.tap("weigh", cup, grams=161.7)
    hand.tap("add", "A", supply="Peat", grams=0.49, drops=14)
    hand.tap("burst", seconds=180)
    hand.wait(200)
    hand.tap("stir")
    for mould in (1, 2):
        hand.tap("draw")
        hand.tap("shot", mould=mould, push_s=6.0)
        hand.wait(12)
    before = {cup: known["grams"] for cup, known in hand.state["cups"].items()}
    for cup in "AB":
        hand.tap("weigh", cup, grams=before[cup] - 1.0, left=True)
    assert hand.state["questions"] == []
    known = known_bench(hand.workshop)
    shot, drop = constant(known, "shot_mass"), constant(known, "drop_mass_peat")
    # 2 g beyond the plan over 2 shots: each took 1 g more than 52.7 g.
    assert shot["evidence"][0]["value"] == pytest.approx(shot["before"]["value"] + 1.0, abs=0.1)
    assert shot["before"]["value"] < shot["after"]["value"] < shot["evidence"][0]["value"]
    told = {"run": hand.code, "value": 35.0, "doubt": 0.057, "count": 14, "bound": ""}
    assert drop["evidence"][0] == told
    assert drop["before"]["value"] == 30.0
    assert 30.0 < drop["after"]["value"] < 35.0


def test_a_bench_nobody_keeps_is_refused(hand):
    with pytest.raises(NotFound):
        known_bench(hand.workshop, "elsewhere")


def test_the_plan_says_what_its_runs_have_taught(hand):
    plan = hand.state["plan"]
    client = Client(create_app(hand.workshop))
    assert "What your runs say of it" not in client.get(f"/plans/{plan}").text
    melted(hand, seed=4)
    page = client.get(f"/plans/{plan}").text
    assert "rest on 1 run of this bench: the oven gives" in page


def test_the_page_shows_before_evidence_and_after(hand):
    melted(hand, seed=4)
    bench = hand.workshop.benches.listed()[0].document_id
    page = Client(create_app(hand.workshop)).get(f"/bench/{bench}/known").text
    for words in ("Before any run", "Now", "Next run", hand.code, "Power into the melt"):
        assert words in page
