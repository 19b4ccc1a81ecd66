"""The worst place of a cup in the oven."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.process.hot_place import edge_power, excess, worst_share


@given(st.floats(0.02, 0.2), st.floats(0.05, 0.3))
def test_the_wall_takes_more_than_the_mean_and_more_so_in_a_wider_cup(bore, depth):
    assert edge_power(bore, depth) > 1.0
    assert edge_power(1.5 * bore, depth) > edge_power(bore, depth)
    assert edge_power(bore, 1.5 * depth) < edge_power(bore, depth)


def test_a_wide_range_says_what_would_narrow_it():
    known = worst_share(0.081)
    assert 1.0 < known.low < known.value < known.high < 2.0
    assert "readings before stirring" in known.narrows


@given(st.floats(1.0, 2.0), st.floats(0.0, 100.0), st.floats(1.0, 600.0))
def test_an_even_oven_has_no_worst_place_and_conduction_only_helps(share, rise, seconds):
    assert excess(1.0, rise, seconds) == 0.0
    assert 0.0 <= excess(share, rise, seconds) <= (share - 1) * rise + 1e-9
    assert excess(share, rise, 2 * seconds) <= excess(share, rise, seconds) + 1e-12
    assert excess(share, rise, 0.0) == 0.0


def test_a_short_burst_keeps_its_patches():
    assert excess(1.5, 10.0, 5.0) == pytest.approx(5.0, rel=0.01)
