"""Flake that sheds when it is too hot: told where the hand is, and never put in to be reheated."""

from __future__ import annotations

from contextlib import contextmanager
from pathlib import Path

import pytest

from partline.process.ingredients import Ingredient, Step
from partline.quantities.estimate import Estimate, Origin
from partline.services import runs
from partline.services.cautions import not_above, supply_caution
from partline.services.runcard import keep_plan
from partline.services.workshop import load_demo, open_at
from tests.process.shed import bench
from tests.services.bench_hand import START, Hand

MOSS_LIMIT = 443.15  # 170 °C: the demo's green flake sheds above it [K]


@contextmanager
def at_the_bench_with_moss(folder: Path, monkeypatch: pytest.MonkeyPatch, *, good: int):
    """The demo's pour with Moss where Penny was."""
    clock = [START]
    monkeypatch.setattr(runs, "now", lambda: clock[0])
    with open_at(folder / "shed") as workshop:
        load_demo(workshop)
        before = workshop.recipes.named("peat-over-chalk").version
        text = before.text.replace('"Penny"', '"Moss"')
        assert text != before.text
        kept = workshop.recipes.save(
            before.document_id, text, based_on=before.number, now=START, note="moss"
        ).version
        (standing,) = workshop.benches.listed()
        plan = keep_plan(
            workshop, recipe_id=kept.document_id, recipe_version=kept.number,
            mould_id=workshop.moulds.named("reed-130").version.document_id,
            bench_id=standing.document_id, good=good,
        )  # fmt: skip
        yield Hand(workshop, runs.begin(workshop, plan.code, moulds=4), clock)


@pytest.fixture
def hand(tmp_path, monkeypatch):
    """One shot, for which one heat will do."""
    with at_the_bench_with_moss(tmp_path, monkeypatch, good=3) as one:
        yield one


@pytest.fixture
def long_hand(tmp_path, monkeypatch):
    """Six shots and four moulds: there will be another heat."""
    with at_the_bench_with_moss(tmp_path, monkeypatch, good=40) as one:
        yield one


def flake(**known) -> Ingredient:
    return Ingredient(
        supply="Moss", kind="flake", mass=1e-3, known=Estimate.exact(1e-3, Origin.COMPUTED),
        step=Step.FLAKE, **known,
    )  # fmt: skip


def test_a_metal_flake_that_sheds_is_told_both():
    said = supply_caution(
        flake(is_metal=True, caution="Metal: never in the oven.", heat_limit=MOSS_LIMIT), bench()
    )
    assert said == "Metal: never in the oven. Sheds above 170 °C."
    assert supply_caution(flake(), bench()) == ""
    limit = not_above(flake(heat_limit=MOSS_LIMIT), bench())
    assert limit is not None
    assert limit < MOSS_LIMIT  # by what the thermometer may be off
    assert not_above(flake(), bench()) is None


def test_the_bench_asks_to_wait_before_a_flake_goes_in_that_sheds(hand):
    hand.set_up()
    state = hand.heat_to(175.0, 174.0)
    while "Moss" not in state["screen"]["title"]:
        state = hand.press("It is in")
    says = " ".join(state["screen"]["says"])
    assert "Sheds above 170 °C." in says
    assert "Not in before the cup reads" in says
    tones = {each["label"]: each["tone"] for each in state["screen"]["controls"]}
    assert tones["It is in"] == "plain"
    assert tones["Read A"] == "main"


def test_a_cup_that_has_fallen_far_enough_takes_its_flake(hand):
    hand.set_up()
    hand.heat_to(175.0, 174.0)
    hand.wait(90)
    state = hand.read("A", 164.0)
    while "Moss" not in state["screen"]["title"]:
        state = hand.press("It is in")
    assert "Not in before" not in " ".join(state["screen"]["says"])
    tones = {each["label"]: each["tone"] for each in state["screen"]["controls"]}
    assert tones["It is in"] == "main"


def test_a_cup_read_too_warm_for_what_is_in_it_is_told_at_once(hand):
    hand.set_up()
    hand.heat_to(175.0, 174.0)
    hand.tap("add", "A", supply="Moss", grams=0.3)
    hand.wait(5)
    alerts = hand.read("A", 174.0)["alerts"]
    assert [each["key"] for each in alerts] == ["sheds-A"]
    assert "Moss" in alerts[0]["text"]
    assert "170 °C" in alerts[0]["text"]
    hand.wait(60)
    state = hand.read("A", 153.0)
    assert "sheds-A" not in [each["key"] for each in state["alerts"]]


def test_flake_that_sheds_is_rather_left_for_the_last_heat(long_hand):
    long_hand.set_up()
    state = long_hand.heat_to(175.0, 174.0)
    while "Moss" not in state["screen"]["title"]:
        state = long_hand.press("Not in this heat")
    assert "This is hardly the last heat of this melt." in state["screen"]["says"]
    tones = {each["label"]: each["tone"] for each in state["screen"]["controls"]}
    assert tones == {"Not in this heat": "main", "It is in": "plain"}
    while state["screen"]["title"].startswith("Into"):
        state = long_hand.press("Not in this heat")
    assert "For the last heat: Moss" in " ".join(state["screen"]["says"])


def test_a_cup_that_is_heated_again_is_told_with_what_sheds_in_it(long_hand):
    long_hand.set_up()
    long_hand.heat_to(175.0, 174.0)
    long_hand.tap("add", "A", supply="Moss", grams=0.3)
    long_hand.press("Not in this heat")
    long_hand.wait(400)
    state = long_hand.press("Heat again")
    assert state["screen"]["title"].startswith("Heat")
    assert "Cup A holds Moss: it sheds above 170 °C." in state["screen"]["says"]
