"""Is it luck: ranges, runs against each other, baits of one shot, and how many it would take."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.quantities.estimate import Estimate, Origin
from partline.studies.enough import baits_needed, slices_needed
from partline.studies.luck import (
    CERTAIN,
    Method,
    Tally,
    chance_higher,
    difference,
    guessed_likeness,
    interval,
    likeness,
    share,
)

METHODS = st.sampled_from(list(Method))


@st.composite
def tallies(draw, most=60):
    baits = draw(st.integers(1, most))
    return Tally(good=draw(st.integers(0, baits)), baits=baits)


def other_way(tally):
    return Tally(good=tally.baits - tally.good, baits=tally.baits)


# --- worked numbers ------------------------------------------------------------------------------


def test_three_of_four_and_thirty_eight_of_forty_are_the_worked_ranges_by_the_score_method():
    # Worked by hand with Wilson's closed form at 90 %; whole per cents.
    worked = {(3, 4): (36, 94), (38, 40): (86, 98)}
    for (good, baits), ends in worked.items():
        found = interval(Tally(good=good, baits=baits), 0.9, Method.SCORE)
        assert tuple(round(each * 100) for each in found) == ends


def test_our_default_lies_one_per_cent_from_them_and_the_exact_one_is_wider():
    tally = Tally(good=3, baits=4)
    assert interval(tally, 0.9) == pytest.approx((0.35, 0.95), abs=0.005)
    assert interval(tally, 0.9, Method.EXACT) == pytest.approx((0.25, 0.99), abs=0.005)


def test_three_of_four_against_seven_of_eight_cannot_be_told_apart():
    chance = chance_higher(Tally(good=3, baits=4), Tally(good=7, baits=8))
    assert 1 - CERTAIN < chance < CERTAIN
    assert chance == pytest.approx(0.72, abs=0.005)
    low, high = difference(Tally(good=3, baits=4), Tally(good=7, baits=8))
    assert low < 0 < high


def test_one_of_eight_against_forty_one_of_forty_four_can():
    assert chance_higher(Tally(good=1, baits=8), Tally(good=41, baits=44)) > 0.999


# --- properties ----------------------------------------------------------------------------------


@given(tallies(), METHODS, st.floats(0.5, 0.99))
def test_a_range_holds_what_was_seen_and_stays_within_none_and_all(tally, method, level):
    low, high = interval(tally, level, method)
    assert 0 <= low <= tally.good / tally.baits <= high <= 1
    assert low < high


@given(tallies(), METHODS)
def test_good_and_bad_are_mirror_images(tally, method):
    low, high = interval(tally, 0.8, method)
    mirrored = interval(other_way(tally), 0.8, method)
    assert mirrored == pytest.approx((1 - high, 1 - low), abs=1e-9)


@given(tallies(), METHODS, st.integers(2, 9))
def test_more_baits_with_the_same_share_narrow(tally, method, times):
    more = Tally(good=tally.good * times, baits=tally.baits * times)
    widths = [np.diff(interval(each, 0.8, method))[0] for each in (tally, more)]
    assert widths[1] < widths[0]


@given(tallies(), METHODS)
def test_a_surer_range_is_wider(tally, method):
    inner, outer = (interval(tally, level, method) for level in (0.8, 0.9))
    assert outer[0] <= inner[0]
    assert inner[1] <= outer[1]


@given(tallies())
def test_the_exact_range_is_never_the_narrower_one(tally):
    widths = [np.diff(interval(tally, 0.8, each))[0] for each in (Method.JEFFREYS, Method.EXACT)]
    assert widths[1] >= widths[0]


@given(tallies(), tallies())
def test_which_is_called_the_first_does_not_matter(first, second):
    one, other = chance_higher(first, second), chance_higher(second, first)
    assert one + other == pytest.approx(1, abs=1e-9)
    low, high = difference(first, second)
    assert difference(second, first) == pytest.approx((-high, -low), abs=1e-6)


@given(tallies())
def test_a_run_against_its_like_is_even(tally):
    assert chance_higher(tally, tally) == pytest.approx(0.5, abs=1e-9)


@given(tallies(30), tallies(30))
@settings(max_examples=20, deadline=None)
def test_the_chance_agrees_with_drawing_both_shares(first, second):
    rng = np.random.default_rng(3)
    drawn = [rng.beta(a, b, 40_000) for a, b in (first.posterior, second.posterior)]
    seen = np.mean(drawn[1] > drawn[0])
    assert chance_higher(first, second) == pytest.approx(seen, abs=0.012)  # five of its errors


@pytest.mark.parametrize("true", [0.2, 0.5, 0.8, 0.93])
def test_the_eighty_per_cent_range_holds_the_truth_about_as_often_as_it_says(true):
    rng = np.random.default_rng(7)
    good = rng.binomial(40, true, 2000)
    ends = {int(each): interval(Tally(good=int(each), baits=40)) for each in set(good)}
    held = np.mean([ends[int(each)][0] <= true <= ends[int(each)][1] for each in good])
    assert 0.72 < held < 0.88


# --- baits of one shot ---------------------------------------------------------------------------


@given(st.integers(1, 11), st.floats(0.0, 1.0), st.data())
def test_baits_that_share_a_fate_widen_the_range(shots, alike, data):
    good = data.draw(st.integers(0, 4 * shots))
    tally = Tally(
        good=good, baits=4 * shots, per_shot=4, likeness=Estimate.exact(alike, Origin.DEFAULT)
    )
    low, high = interval(tally)
    narrow = interval(tally.by_itself)
    assert high - low >= narrow[1] - narrow[0] - 1e-9
    assert shots - 1e-9 <= tally.counts_as <= 4 * shots


def test_baits_with_one_fate_count_as_their_shots():
    tally = Tally(good=8, baits=44, per_shot=4, likeness=Estimate.exact(1.0, Origin.DEFAULT))
    assert tally.counts_as == pytest.approx(11)
    assert tally.design_effect == pytest.approx(4)


def test_shots_that_are_all_good_or_all_bad_are_alike_and_evenly_mixed_ones_are_not():
    alike = likeness([4, 0, 4, 0, 0, 4], [4] * 6)
    mixed = likeness([2, 2, 2, 2, 2, 2], [4] * 6)
    assert alike.low > 0.5
    assert mixed.high < 0.3
    assert alike.count == 6


def test_shots_of_one_bait_say_nothing_of_how_alike_baits_are():
    assert likeness([1, 0, 1], [1, 1, 1]).value == pytest.approx(0.5, abs=1e-6)


def test_what_is_guessed_of_baits_of_one_shot_says_that_it_is_a_guess():
    guess = guessed_likeness()
    assert guess.origin.is_guess
    assert 0 <= guess.low < guess.value < guess.high <= 1


@pytest.mark.parametrize("true_likeness", [0.1, 0.4, 0.7])
def test_with_shots_judged_apart_the_range_holds_the_truth_and_without_it_would_not(true_likeness):
    rng = np.random.default_rng(11)
    size = 1 / true_likeness - 1
    held: list[bool] = []
    held_by_itself: list[bool] = []
    for _ in range(300):
        shares = rng.beta(0.8 * size, 0.2 * size, 11)
        good = rng.binomial(4, shares)
        tally = Tally(
            good=int(good.sum()), baits=44, per_shot=4,
            likeness=likeness([int(each) for each in good], [4] * 11),
        )  # fmt: skip
        for each, kept in ((tally, held), (tally.by_itself, held_by_itself)):
            low, high = interval(each)
            kept.append(low <= 0.8 <= high)
    assert 0.72 <= np.mean(held) <= 0.9
    assert np.mean(held_by_itself) < np.mean(held)


# --- how many it would take ----------------------------------------------------------------------


def test_so_many_baits_tell_the_difference_four_times_in_five():
    rng = np.random.default_rng(5)
    count = baits_needed(0.6, 0.9)
    assert count == 24
    found = [
        chance_higher(*(Tally(good=int(rng.binomial(count, p)), baits=count) for p in (0.6, 0.9)))
        for _ in range(1500)
    ]
    assert np.mean(np.array(found) >= CERTAIN) == pytest.approx(0.8, abs=0.05)


@given(st.floats(0, 1), st.floats(0, 1))
def test_either_order_takes_as_many_and_baits_of_one_shot_more(first, second):
    count = baits_needed(first, second)
    assert count == baits_needed(second, first)
    alike = baits_needed(first, second, design_effect=2.5)
    assert alike is None or (count is not None and alike >= count)


def test_no_number_tells_equal_shares_apart():
    assert baits_needed(0.75, 0.75) is None


def test_a_larger_difference_takes_fewer_slices_and_two_at_least():
    counts = [slices_needed(each * 1e-3, 0.5e-3) for each in (0.2, 0.5, 1.0, 5.0)]
    assert counts == sorted(counts, reverse=True)
    assert counts[-1] == 2


def test_slices_needed_find_a_difference_four_times_in_five():
    rng = np.random.default_rng(13)
    count = slices_needed(1.0, 1.0)
    first, second = rng.normal(0, 1, (4000, count)), rng.normal(1, 1, (4000, count))
    pooled = np.sqrt((first.var(axis=1, ddof=1) + second.var(axis=1, ddof=1)) / 2)
    t = (second.mean(axis=1) - first.mean(axis=1)) / pooled / np.sqrt(2 / count)
    assert np.mean(t > 1.706) == pytest.approx(0.8, abs=0.03)  # 26 degrees of freedom, 0.05


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("good", "baits"), [(5, 4), (-1, 4), (0, 0), (3, -2)])
def test_a_tally_that_cannot_be_is_refused(good, baits):
    with pytest.raises(OutOfRange):
        Tally(good=good, baits=baits)


def test_other_things_that_cannot_be_are_refused():
    with pytest.raises(OutOfRange):
        Tally(good=1, baits=4, per_shot=0.5)
    with pytest.raises(OutOfRange):
        interval(Tally(good=1, baits=4), 1.0)
    with pytest.raises(OutOfRange):
        likeness([], [])
    with pytest.raises(OutOfRange):
        baits_needed(1.2, 0.5)
    with pytest.raises(OutOfRange):
        baits_needed(0.2, 0.5, design_effect=0.9)
    with pytest.raises(OutOfRange):
        slices_needed(0.0, 1e-3)
    with pytest.raises(OutOfRange):
        slices_needed(1e-3, 0.0)
    with pytest.raises(OutOfRange):
        slices_needed(1e-6, 1.0)


def test_a_share_says_how_many_it_rests_on():
    known = share(Tally(good=41, baits=44))
    assert known.count == 44
    assert known.low < known.value < known.high
