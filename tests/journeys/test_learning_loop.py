"""A hidden bench through the real record: looks off its baits, one change, a kept forecast.

The whole study is `benchmarks/bench_learning_loop.py`; this is a small part of it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from partline.studies.diagnosis import Action, Cause
from tests.journeys.hidden_bench.eye import Eye
from tests.journeys.hidden_bench.known import held
from tests.journeys.hidden_bench.light import Seen
from tests.journeys.hidden_bench.loop import first_of, with_tool
from tests.journeys.hidden_bench.outcome import Baits, Pour, poured
from tests.journeys.hidden_bench.truth import CUSTOM, Habits, draw_truth

PLAIN = Seen(belly=0.95, tail=0.9, step=60.0, apart=70.0)


def baits(habits: Habits = CUSTOM, light: Seen = PLAIN, apart: float = 0.0) -> Baits:
    seed = 3
    rng = np.random.default_rng(seed)
    truth = replace(draw_truth(rng), uneven=0.0)
    warmth = np.array([[habits.start, habits.start - apart]] * 3)
    pour = Pour(warmth=warmth, push=np.full(3, habits.push), cavities=4)
    return poured(truth, habits, pour, light, np.random.default_rng(seed))


def harm(of: Baits, cause: Cause) -> float:
    return float(of.harm[cause].mean())


def test_each_fault_of_a_hidden_bench_spoils_by_its_own_cause_and_a_calm_pour_by_none():
    calm = baits()
    assert max(harm(calm, cause) for cause in Cause) < 0.25
    hot = baits(replace(CUSTOM, start=CUSTOM.start + 12.0, push=2.0))
    assert hot.main is Cause.MIXED
    assert baits(apart=15.0).main is Cause.WRAPPED
    assert baits(light=replace(PLAIN, belly=0.6)).main is Cause.SEE_THROUGH
    assert baits(light=replace(PLAIN, step=4.0)).main is Cause.TOO_ALIKE
    assert baits(replace(CUSTOM, is_dye=True)).main is Cause.CREPT
    stale = baits(replace(CUSTOM, purged=0.0))
    assert stale.main is Cause.NOT_PURGED
    assert harm(stale, Cause.NOT_PURGED) == pytest.approx(1 / 3, abs=0.05)  # one shot of three


def test_an_eye_sees_what_is_there_most_of_the_time():
    truth, _, _ = first_of(1)
    thin = baits(light=replace(PLAIN, belly=0.6, tail=0.4))
    eyes = [Eye(truth, thin, np.random.default_rng(seed), 0.0) for seed in range(60)]
    assert np.mean([eye.sees("changes") for eye in eyes]) > 0.9
    assert np.mean([eye.sees("dark_down") for eye in eyes]) < 0.1


def test_a_thin_colour_is_found_raised_and_the_next_run_is_good_with_a_forecast_kept(tmp_path):
    told = with_tool(108, tmp_path, runs_of=2)
    first, second = told.runs
    assert first.main is Cause.SEE_THROUGH
    assert first.told is Cause.SEE_THROUGH
    assert first.action is Action.MORE_COLOUR
    assert second.is_good
    rows = told.scores["runs"]
    assert len(rows) == 2
    assert "with the change made: more colourant" in rows[1]["because"]
    assert rows[1]["scores"]["this tool"] < rows[1]["scores"]["same as last time"]
    known = {each.what: each for each in held(told) if each.runs == 2}
    assert {"oven_power", "cup_loss_a", "cup_loss_b"} <= known.keys()
    for each in known.values():
        assert each.width < 1.2 * each.width_before
