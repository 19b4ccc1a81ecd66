"""Words for numbers, at and about their limits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.studies.verdict import DISTINCT, Distinct, Hides, distinct, hides


@pytest.mark.parametrize(
    ("difference", "word"),
    [
        # definitions.md, "Distinctness": same < 0.8, barely to 1.8, close to 6, clear to 12.
        (0.0, "same"),
        (0.79, "same"),
        (0.8, "barely"),
        (1.79, "barely"),
        (1.8, "close"),
        (5.99, "close"),
        (6.0, "clear"),
        (11.99, "clear"),
        (12.01, "strong"),
        (80.0, "strong"),
    ],
)
def test_a_difference_gets_the_word_of_the_definitions(difference, word):
    assert distinct(difference) == word


@given(st.floats(0, 100), st.floats(0, 100))
def test_a_larger_difference_never_gets_a_weaker_word(one, other):
    words = list(Distinct)
    low, high = sorted([one, other])
    assert words.index(distinct(low)) <= words.index(distinct(high))


def test_every_limit_says_where_it_comes_from():
    assert [each.below for each in DISTINCT] == sorted(each.below for each in DISTINCT)
    assert all(each.source and each.origin for each in DISTINCT)


@pytest.mark.parametrize(
    ("hiding", "wanted", "word"),
    [
        (0.90, 0.90, Hides.HIDES),
        (0.899, 0.90, Hides.THIN),
        (0.80, 0.90, Hides.THIN),
        (0.799, 0.90, Hides.SEE_THROUGH),
        (0.60, 0.50, Hides.HIDES),
        (0.45, 0.50, Hides.SEE_THROUGH),
        (0.0, 0.0, Hides.HIDES),
        (1.0, 1.0, Hides.HIDES),
    ],
)
def test_a_half_hides_when_it_reaches_what_is_wanted(hiding, wanted, word):
    assert hides(hiding, wanted) is word
