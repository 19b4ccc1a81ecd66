"""How long a mould needs, told from one side at a time: against the exact answer, and monotone."""

from __future__ import annotations

from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm, skewnorm

from partline.errors import InputError
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.studies.opening_learning import SCATTER, SLIP, Bound, learn_opening

SPREAD = 0.3
BEFORE = Estimate(
    value=1.0, low=exp(-HALF_RANGE * SPREAD), high=exp(HALF_RANGE * SPREAD),
    origin=Origin.COMPUTED, source="the law",
)  # fmt: skip


def bound(ratio: float, *, enough: bool, run: str = "R", doubt: float = 0.0) -> Bound:
    return Bound(run=run, ratio=ratio, doubt=doubt, is_enough=enough)


ratios = st.floats(min_value=0.2, max_value=5.0)
doubts = st.floats(min_value=0.0, max_value=1.0)
told = st.lists(st.tuples(ratios, doubts, st.booleans()), max_size=6).map(
    lambda rows: [
        bound(ratio, enough=enough, run=f"R{place}", doubt=doubt)
        for place, (ratio, doubt, enough) in enumerate(rows)
    ]
)


def ends(bounds: list[Bound]) -> tuple[float, float, float]:
    after = learn_opening(BEFORE, bounds).after
    return after.low, after.value, after.high


def test_an_opening_at_the_computed_time_gives_the_skew_normal_answer():
    """A normal times a probit at its middle: Azzalini, Scand. J. Stat. 12 (1985) (from memory).

    Mixed with the normal itself for the openings that tell the wrong way.
    """
    after = learn_opening(BEFORE, [bound(1.0, enough=True)]).after

    def below(factor: float) -> float:
        m = log(factor)
        skewed = skewnorm.cdf(m, -SPREAD / SCATTER, scale=SPREAD)
        return float(2 * SLIP * norm.cdf(m, scale=SPREAD) + (1 - 2 * SLIP) * skewed)

    found = [below(each) for each in (after.low, after.value, after.high)]
    assert found == pytest.approx([0.1, 0.5, 0.9], abs=2e-4)


@given(told, ratios, doubts)
def test_an_opening_that_was_long_enough_never_raises_what_is_needed(bounds, ratio, doubt):
    more = ends([*bounds, bound(ratio, enough=True, run="more", doubt=doubt)])
    for now, then in zip(more, ends(bounds), strict=True):
        assert now <= then * (1 + 2e-3 if not bounds else 1 + 1e-9)


@given(told, ratios, doubts)
def test_an_opening_that_was_too_early_never_lowers_it(bounds, ratio, doubt):
    more = ends([*bounds, bound(ratio, enough=False, run="more", doubt=doubt)])
    for now, then in zip(more, ends(bounds), strict=True):
        assert now >= then * (1 - 2e-3 if not bounds else 1 - 1e-9)


@given(*[st.floats(min_value=0.8, max_value=5.0)] * 2)  # below, one alone looks like a slip
def test_of_two_openings_that_went_well_the_shorter_tells_more(one, other):
    short, long = sorted((one, other))
    assert ends([bound(short, enough=True)])[1] <= ends([bound(long, enough=True)])[1] * (1 + 1e-9)


def test_a_long_opening_that_went_well_tells_next_to_nothing():
    assert ends([bound(4.0, enough=True)]) == pytest.approx(
        (BEFORE.low, 1.0, BEFORE.high), rel=2e-3
    )


def test_without_runs_it_is_what_was_thought_before():
    assert learn_opening(BEFORE, []).after == BEFORE


def test_openings_from_both_sides_close_in_on_what_the_mould_needs():
    rows = [bound(1.3, enough=True, run=f"R{n}") for n in range(4)]
    rows += [bound(1.1, enough=False, run=f"R{n}") for n in range(4)]
    known = learn_opening(BEFORE, rows)
    assert 1.1 < known.after.value < 1.3
    before, after = (log(each.high / each.low) for each in (BEFORE, known.after))
    assert after < 0.3 * before
    assert known.next_run.high > known.after.high


@pytest.mark.parametrize(
    "rows",
    [
        [bound(0.0, enough=True)],
        [bound(1.0, enough=True, doubt=-0.1)],
        [bound(1.0, enough=True), bound(1.1, enough=True)],
    ],
)
def test_what_no_run_can_tell_is_refused(rows):
    with pytest.raises(InputError):
        learn_opening(BEFORE, rows)
