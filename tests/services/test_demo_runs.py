"""The demo's three runs: kept as a maker keeps them, told as the story tells them."""

from __future__ import annotations

import pytest

from partline.services import runs
from partline.services.demo_runs import load_demo_runs
from partline.services.runs.forecasts import forecast_scores
from partline.services.verdicts import run_verdict
from partline.services.workshop import load_demo, open_at


@pytest.fixture(scope="module")
def shed(tmp_path_factory):
    with open_at(tmp_path_factory.mktemp("demo") / "shed") as workshop:
        load_demo(workshop)
        load_demo_runs(workshop)
        yield workshop


def test_the_story_is_told_once(shed):
    before = [each["code"] for each in runs.listed(shed)]
    load_demo_runs(shed)
    assert [each["code"] for each in runs.listed(shed)] == before
    assert len(before) == 3


def test_each_run_was_foretold_with_the_change_of_the_one_before(shed):
    told = forecast_scores(shed)["runs"]
    assert [(each["good"], each["moulded"]) for each in told] == [(0, 8), (1, 8), (41, 44)]
    assert "more colourant" in told[1]["because"]
    assert "cooler, gentler" in told[2]["because"]


def test_the_verdicts_are_those_of_the_story(shed):
    third, second, first = (run_verdict(shed, str(each["code"])) for each in runs.listed(shed))
    assert first["headline"].startswith("See-through")
    assert "from 3 to 9 drops" in first["change"]["text"]
    assert not second["is_cause_told"]
    assert {each["cause"] for each in second["causes"][:2]} == {"mixed in the shot", "wrap-round"}
    assert second["is_action_told"]
    assert "good run" in third["headline"]
    assert third["change"] is None
