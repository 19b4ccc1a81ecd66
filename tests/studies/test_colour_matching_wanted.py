"""The wanted look: its own scale of differences, and the words for how a colour misses it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.physics.colour_difference import ciede2000
from partline.studies.colour_matching.wanted import UNSEEN, metric_at, misses

labs = st.tuples(st.floats(5, 95), st.floats(-60, 60), st.floats(-60, 60))


@given(lab=labs, step=st.tuples(*[st.floats(-0.3, 0.3)] * 3))
def test_near_a_colour_the_metric_is_the_formula(lab, step):
    there = np.array(lab) + step
    exact = float(ciede2000(np.array(lab), there))
    near = float(np.linalg.norm(metric_at(lab) @ np.array(step)))
    # At greys and at opposite hues the formula itself has a kink.
    if np.hypot(lab[1], lab[2]) > 8:
        assert near == pytest.approx(exact, rel=0.05, abs=0.02)


def test_many_colours_at_once_have_the_metrics_of_each():
    many = np.array([[[30.0, 5.0, 9.0], [80.0, -4.0, 40.0]]])
    each = metric_at(many)
    assert each.shape == (1, 2, 3, 3)
    np.testing.assert_allclose(each[0, 1], metric_at(many[0, 1]), atol=1e-9)


@pytest.mark.parametrize(
    ("seen", "asked", "first"),
    [
        ((30.0, 10.0, 10.0), (45.0, 10.0, 10.0), "too dark"),
        ((60.0, 10.0, 10.0), (45.0, 10.0, 10.0), "too light"),
        ((50.0, 5.0, 5.0), (50.0, 40.0, 40.0), "too grey"),
        ((50.0, 45.0, 45.0), (50.0, 15.0, 15.0), "too strong"),
        ((50.0, 38.0, 10.0), (50.0, 10.0, 38.0), "too red"),
        ((50.0, 10.0, 38.0), (50.0, 38.0, 10.0), "too yellow"),
        ((50.0, -30.0, 20.0), (50.0, 10.0, 34.0), "too green"),
        ((60.0, 0.0, -12.0), (60.0, 0.0, 0.0), "too blue"),
        ((60.0, 12.0, 1.0), (60.0, 0.0, 0.0), "too red"),
    ],
)
def test_the_way_a_colour_misses_is_told_the_largest_part_first(seen, asked, first):
    assert misses(seen, asked)[0] == first


@given(seen=labs, asked=labs)
def test_a_difference_that_is_seen_has_words_and_one_that_is_not_has_none(seen, asked):
    words = misses(seen, asked)
    assert bool(words) is (float(ciede2000(np.array(seen), np.array(asked))) >= UNSEEN)
    assert not {"too dark", "too light"} <= set(words)
    assert not {"too grey", "too strong"} <= set(words)
