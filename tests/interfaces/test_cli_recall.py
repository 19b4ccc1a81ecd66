"""`partline run pin`, `changed`, `find` and `partline luck`, as text and as JSON."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.services.runs.paper import keep_card
from partline.services.workshop import open_at
from tests.interfaces.command import Run
from tests.services.kept_plan import planned
from tests.services.test_runs_paper import FULL


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, list[str]]:
    folder = tmp_path_factory.mktemp("recall") / "shed"
    plan = planned(folder)
    hot = {"day": "2026-03-02", "start_a": "171", "push": "2.5", "bad": "", "good": "12"}
    with open_at(folder) as workshop:
        return folder, plan, [keep_card(workshop, plan, FULL | each) for each in ({}, hot)]


def test_a_run_is_pinned_compared_with_and_unpinned(run: Run, shed):
    folder, plan, (good, bad) = shed
    at = ("--workshop", folder)
    unpinned = run("run", "changed", bad, *at)
    assert "No earlier good run is pinned" in unpinned.out
    assert good in unpinned.out
    assert run("run", "pin", good, "--text", "crisp", *at).out.startswith(f"Run {good} is pinned")
    told = run("run", "changed", bad, *at)
    assert told.status == 0
    assert "Push: 6.0 s then, 2.5 s now." in told.out
    assert "Start A, melt 1, heat 1" in told.out
    assert ": 163 °C then, 171 °C now." in told.out
    assert "This run is worse" in told.out
    as_json = run("run", "changed", bad, "--json", *at).json
    assert as_json["good_run"]["code"] == good
    assert run("run", "changed", plan, "--json", *at).json["is_plan"]
    assert (
        run("run", "changed", good, "--from", bad, "--json", *at).json["good_run"]["code"] == bad
    )
    assert run("run", "pin", good, "--off", "--json", *at).json == {
        "code": good, "is_pinned": False,
    }  # fmt: skip


def test_runs_are_found_and_refused_in_words(run: Run, shed):
    folder, _, (good, bad) = shed
    at = ("--workshop", folder)
    found = run("run", "find", "start < 165 C", "belly colourant = Chalk", *at)
    assert found.out.startswith(good)
    assert bad not in found.out
    assert run("run", "find", "good > 1000", *at).out == "None of the runs fits.\n"
    assert len(run("run", "find", "--json", *at).json["runs"]) == 2
    for nonsense in ("start < 160", "dance = 3", "start"):
        refused = run("run", "find", nonsense, "--json", *at)
        assert refused.status == 2
        assert refused.json["error"]["message"]
        assert "Traceback" not in refused.err


def test_a_run_is_set_aside_and_taken_in_again(run: Run, shed):
    folder, _, (good, _) = shed
    at = ("--workshop", folder)
    assert run("run", "aside", good, "--why", "power cut", "--json", *at).json["is_aside"]
    assert good not in run("run", "find", *at).out
    assert run("run", "aside", good, "--off", *at).out == f"Run {good} counts again.\n"


def test_luck_says_cannot_tell_and_what_it_would_take(run: Run):
    told = run("luck", "3/4", "7/8")
    assert told.status == 0
    assert "Cannot tell" in told.out
    assert "118 baits of each" in told.out
    assert "90% range, score: 36% to 94%" in told.out
    assert "90% range, score: 86% to 98%" in run("luck", "38/40").out
    wider = run("luck", "38/40", "--per-shot", 4)
    assert "Guessed: baits of one shot" in wider.out
    answer = run("luck", "3/4", "7/8", "--json").json
    assert answer["apart"]["verdict"] == "open"
    assert answer["apart"]["chance_higher"] == pytest.approx(0.7178, abs=1e-4)


@pytest.mark.parametrize(
    "words", [("5/4",), ("many",), ("3/4", "0/0"), ("3/4", "--per-shot", "0")]
)
def test_luck_refuses_what_is_no_count(run: Run, words):
    refused = run("luck", *words, "--json")
    assert refused.status == 2
    assert refused.json["error"]["message"]
