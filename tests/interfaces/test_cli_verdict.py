"""`partline verdict` and `partline learn` on a run that was told with the program itself."""

from __future__ import annotations

import pytest

from tests.interfaces.command import Run
from tests.services.bench_hand import at_the_bench
from tests.services.test_verdicts import poured


@pytest.fixture
def told(tmp_path, monkeypatch):
    """A workshop's folder and the code of a run in it."""
    with at_the_bench(tmp_path, monkeypatch, version=1) as hand:
        poured(hand, 163.0, 162.0, 6.0)
        code = hand.code
    return tmp_path / "shed", code


def test_a_cause_is_confirmed_and_taken_back_with_the_verdict(told, run: Run):
    folder, code = told
    said = run("verdict", code, "--confirmed", "see-through", "--workshop", folder)
    assert said.status == 0
    assert "It was this, as you found out: see-through." in said.out
    back = run("verdict", code, "--confirmed", "none", "--workshop", folder, "--json")
    assert back.json["confirmed"] is None
    refused = run("verdict", code, "--confirmed", "weather", "--workshop", folder, "--json")
    assert refused.status == 2
    assert "no cause called" in refused.json["error"]["message"]


def test_what_runs_taught_is_said_with_what_would_tell_most(told, run: Run):
    folder, _ = told
    said = run("learn", "--workshop", folder)
    assert "What cup A loses" in said.out
    assert "Of what the next run's times rest on" in said.out
