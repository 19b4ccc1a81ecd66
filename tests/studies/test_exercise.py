"""Baits of a class exercise: always with one right answer, always the same for a number."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.studies.diagnosis import LOOKS, Cause, verdict
from partline.studies.exercise import spoiled_baits


@settings(deadline=None, max_examples=40)
@given(seed=st.integers(0, 10**6))
def test_every_bait_can_be_told_from_its_looks_and_no_cause_comes_twice(seed):
    baits = spoiled_baits(seed, 7)
    assert {bait.cause for bait in baits} == set(Cause)
    for bait in baits:
        found = verdict(bait.seen, day=bait.days)
        assert found.is_cause_told
        assert found.causes[0].cause is bait.cause
        assert set(bait.seen) == set(LOOKS)


@settings(deadline=None, max_examples=40)
@given(seed=st.integers(0, 10**6))
def test_record_and_cuts_agree_with_what_is_seen(seed):
    for bait in spoiled_baits(seed, 7):
        assert (bait.over_band > 3 or bait.push < 3) == bait.seen["hot_or_fast"]
        assert (abs(bait.apart) > 5) == bait.seen["cups_apart"]
        assert (bait.sprue_line < 1e-3) == bait.seen["sprue_crisp"]
        assert (bait.belly_line < 1e-3) == bait.seen["belly_crisp"]
        assert bait.days > 0 or not bait.seen["worse_later"]


def test_the_same_number_gives_the_same_baits_and_another_others():
    assert spoiled_baits(5) == spoiled_baits(5)
    assert spoiled_baits(5) != spoiled_baits(6)


@pytest.mark.parametrize(("seed", "count"), [(-1, 3), (0, 0), (0, 8)])
def test_no_such_exercise_is_refused(seed, count):
    with pytest.raises(OutOfRange):
        spoiled_baits(seed, count)
