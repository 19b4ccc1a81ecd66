"""Intervals of good baits and the chance that one share is higher, against print."""

import math

import numpy as np
import pytest
from scipy.special import beta

from partline.studies.enough import slices_needed
from partline.studies.luck import Method, Tally, chance_above, interval

LAW = "Is it luck: intervals of good baits"

#: Good, baits, Clopper and Pearson's low and high, Wilson's low and high, 95 %.
PRINTED = [
    (18, 20, 0.6830172859809176, 0.9876514728297052, 0.6989663547715128, 0.972133518786232),
    (4, 20, 0.05733399705003284, 0.436614002996668, 0.0806576625797981, 0.4160174322518935),
    (4, 200, 0.005475565879556443, 0.05041360908989634, 0.00780441641634947, 0.05028708690582643),
    (190, 200, 0.9099724622986486, 0.975765834527891, 0.910421851861224, 0.972617354399236),
    (1, 30, 8.435709e-04, 0.17216946, 5.908590e-03, 0.16670391),
    (29, 30, 0.8278305, 0.9991564, 0.8332961, 0.9940914),
    (0, 30, 0.0, 0.11570331, 0.0, 0.11351339),
    (30, 30, 0.8842967, 1.0, 0.8864866, 1.0),
]


@pytest.mark.published(
    law=LAW,
    source="R, package binom, binom.confint, as the statsmodels project keeps its output "
    "(statsmodels/stats/tests/results/results_proportion.py)",
    where="methods exact and wilson, 95 %, eight counts of 20 to 200",
)
@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"{row[0]} of {row[1]}")
def test_exact_and_score_intervals_are_those_of_a_statistics_package(deviation, row):
    good, baits, *ends = row
    tally = Tally(good=good, baits=baits)
    found = [*interval(tally, 0.95, Method.EXACT), *interval(tally, 0.95, Method.SCORE)]
    deviation(max(abs(a - b) for a, b in zip(found, ends, strict=True)))
    assert found == pytest.approx(ends, abs=5e-8)  # printed digits


@pytest.mark.published(
    law=LAW,
    source="L. D. Brown, T. T. Cai and A. DasGupta, Interval estimation for a binomial "
    "proportion, Statistical Science 16, 101 (2001) (from memory)",
    where="table 5, 95 % limits of the Jeffreys prior interval: 2 of 7",
)
def test_the_default_interval_is_that_of_the_table(deviation):
    found = interval(Tally(good=2, baits=7), 0.95)
    deviation(max(abs(found[0] - 0.065), abs(found[1] - 0.648)))
    assert found == pytest.approx((0.065, 0.648), abs=5e-4)  # three digits


def whole_parameters(first, second):
    """The chance that the second is higher, as a finite sum."""
    (a, b), (c, d) = first, second
    terms = [beta(a + i, b + d) / ((d + i) * beta(1 + i, d) * beta(a, b)) for i in range(c)]
    return math.fsum(terms)


@pytest.mark.published(
    law="Is it luck: chance that one run is better",
    source="J. D. Cook, Exact calculation of beta inequalities, UT MD Anderson Cancer Center "
    "Department of Biostatistics (2005) (from memory)",
    where="the finite sum for whole parameters",
)
@pytest.mark.parametrize(
    ("first", "second"),
    [((1, 1), (1, 1)), ((4, 2), (8, 2)), ((39, 3), (42, 4)), ((2, 9), (9, 2)), ((1, 40), (3, 20))],
)
def test_the_chance_that_one_share_is_higher_is_the_finite_sum(deviation, first, second):
    exact = whole_parameters(first, second)
    found = chance_above(first, second)
    deviation(abs(found - exact))
    assert found == pytest.approx(exact, abs=1e-8)  # the rule's own


@pytest.mark.published(
    law="Is it luck: slices needed",
    source="J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed., Erlbaum "
    "1988 (from memory)",
    where="table 2.4.1, one-sided 0.05, power 0.80: d 0.2 (310), 0.5 (50), 0.8 (20), 1.0 (13), "
    "rounded to the nearest",
)
@pytest.mark.parametrize(("effect", "count"), [(0.2, 310), (0.5, 50), (0.8, 20), (1.0, 13)])
def test_slices_needed_are_those_of_the_table(deviation, effect, count):
    found = slices_needed(effect, 1.0)
    deviation(found - count)
    assert count <= found <= count + 1  # the table rounds to the nearest, we never down


@pytest.mark.published(
    law=LAW,
    source="arithmetic: with none of n good, the exact upper limit u solves (1 − u)^n = tail",
    where="n = 1, 4, 8, 44 at 80 and 90 %",
)
@pytest.mark.parametrize("baits", [1, 4, 8, 44])
@pytest.mark.parametrize("level", [0.8, 0.9])
def test_the_exact_limit_of_none_good_is_a_root(deviation, baits, level):
    _, high = interval(Tally(good=0, baits=baits), level, Method.EXACT)
    solved = 1 - ((1 - level) / 2) ** (1 / baits)
    deviation(abs(high - solved))
    assert high == pytest.approx(solved, abs=1e-12)
    assert np.isfinite(high)
