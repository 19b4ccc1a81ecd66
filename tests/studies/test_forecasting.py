"""Forecasts of good baits and their scores: proper, between 0 and 1, and fair to habit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.studies.forecasting import (
    Belief,
    Forecaster,
    after_change,
    as_usual,
    interval,
    ranked_probability_score,
    same_as_last,
    scoreboard,
    thumb,
)

shares = st.floats(0.02, 0.98)


def test_a_sure_and_right_forecast_scores_0_and_a_sure_and_wholly_wrong_one_1():
    sure = np.zeros(9)
    sure[8] = 1.0
    assert ranked_probability_score(sure, 8) == 0.0
    assert ranked_probability_score(sure, 0) == 1.0


def test_the_score_of_two_classes_is_brier_s():
    """For one bait the ranked probability score is Brier's, Mon. Weather Rev. 78 (1950) 1."""
    assert ranked_probability_score(np.array([0.3, 0.7]), 1) == pytest.approx(0.3**2)
    assert ranked_probability_score(np.array([0.3, 0.7]), 0) == pytest.approx(0.7**2)


@settings(deadline=None, max_examples=40)
@given(truth=shares, told=shares)
def test_nobody_does_better_than_to_say_what_they_believe(truth, told):
    baits = 12
    believed, other = thumb(1 - truth, baits), thumb(1 - told, baits)
    score = [ranked_probability_score(believed, k) for k in range(baits + 1)]
    score_of_other = [ranked_probability_score(other, k) for k in range(baits + 1)]
    assert believed @ np.array(score) <= believed @ np.array(score_of_other) + 1e-12


@settings(deadline=None, max_examples=40)
@given(
    good=st.integers(0, 40), bad=st.integers(0, 40), reject=st.floats(0, 1), share=st.floats(0, 1)
)
def test_chances_add_up_and_a_change_lies_between_habit_and_hope(good, bad, reject, share):
    last, usual = same_as_last(good, good + bad), as_usual(reject)
    both = after_change(last, usual, share)
    assert both.counts(20).sum() == pytest.approx(1.0)
    low, high = sorted((last.mean, usual.mean))
    assert low - 1e-9 <= both.mean <= high + 1e-9


def test_the_demo_s_second_run_is_feared_and_its_third_hoped_for():
    """0 of 8, then the same action answers both causes with 97 %: hope, but no certainty."""
    hoped = after_change(same_as_last(1, 8), as_usual(0.07), 0.97)
    assert 0.6 < hoped.mean < 0.9
    low, high = interval(hoped.counts(44))
    assert low < 30 < 41 <= high


@settings(deadline=None, max_examples=30)
@given(st.floats(0.05, 0.95), st.integers(1, 60))
def test_the_range_holds_what_it_says(share, baits):
    chances = thumb(1 - share, baits)
    low, high = interval(chances)
    assert chances[low : high + 1].sum() >= 0.8 - 1e-9


def test_the_scoreboard_says_where_the_tool_is_no_better():
    rng = np.random.default_rng(1)
    ours = [0.2, 0.1, 0.3, 0.2, 0.25]
    told = scoreboard(
        {
            Forecaster.OURS: ours,
            Forecaster.LAST: [each + 0.1 for each in ours],
            Forecaster.THUMB: list(ours),
        },
        rng,
    )
    by = {each.who: each for each in told}
    assert by[Forecaster.LAST].better == 0.0
    assert by[Forecaster.THUMB].better == 0.5  # neither
    assert by[Forecaster.OURS].better is None
    one = scoreboard({Forecaster.OURS: [0.1], Forecaster.LAST: [0.2]}, rng)
    assert one[1].better is None  # one run tells nothing


def test_nonsense_is_refused():
    with pytest.raises(InputError):
        same_as_last(9, 8)
    with pytest.raises(InputError):
        Belief(weights=(0.5,), good=(1.0,), bad=(1.0,))
    with pytest.raises(OutOfRange):
        as_usual(0.1).counts(0)
    with pytest.raises(OutOfRange):
        ranked_probability_score(np.array([0.5, 0.5]), 2)
    with pytest.raises(InputError):
        scoreboard({Forecaster.LAST: [0.1]}, np.random.default_rng(0))
