"""CIEDE2000 as a measure."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.physics.colour_difference import ciede2000

colours = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))


@given(colours, colours)
def test_a_difference_is_the_same_both_ways_and_never_negative(first, second):
    there, back = ciede2000(first, second), ciede2000(second, first)
    assert there >= 0
    # Hues 180° apart within rounding may take either mean: a property of the formula.
    hue = np.degrees(np.arctan2(first[2], first[1]) - np.arctan2(second[2], second[1])) % 360
    if abs(hue - 180) > 1:
        assert there == pytest.approx(back.item(), abs=1e-9)


@given(colours)
def test_a_colour_does_not_differ_from_itself(colour):
    assert ciede2000(colour, colour) == 0


def test_colours_broadcast():
    one = np.array([50.0, 10.0, 10.0])
    many = one + np.arange(12.0).reshape(4, 1, 3)
    assert ciede2000(one, many).shape == (4, 1)
