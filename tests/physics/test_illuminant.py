"""Lights, and getting used to them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.colorimetry import (
    WEIGHTS,
    WHITE,
    adapted_xyz,
    light_weights,
    reflectance_to_xyz,
)
from partline.physics.illuminant import Illuminant, daylight_power, illuminant_weights


def test_daylight_is_what_colours_were_always_told_under():
    assert illuminant_weights(Illuminant.DAYLIGHT) == pytest.approx(WEIGHTS, abs=1e-15)


@pytest.mark.parametrize("light", Illuminant)
@given(share=st.floats(0, 1))
def test_a_grey_stays_as_light_under_any_light_and_looks_grey_to_an_eye_used_to_it(light, share):
    weights = illuminant_weights(light)
    seen = reflectance_to_xyz(np.full(31, share), weights)
    assert seen[1] == pytest.approx(share, abs=1e-12)
    assert adapted_xyz(seen, weights.sum(axis=0)) == pytest.approx(share * WHITE, abs=1e-12)


def test_from_lamp_to_shade_the_light_gets_bluer():
    order = [Illuminant.LAMP, Illuminant.DAYLIGHT, Illuminant.OVERCAST, Illuminant.SHADE]
    blue = [illuminant_weights(light).sum(axis=0)[2] for light in order]
    assert blue == sorted(blue)


def test_an_eye_that_is_not_used_to_a_light_sees_its_colour():
    lamp = illuminant_weights(Illuminant.LAMP).sum(axis=0)
    assert adapted_xyz(lamp, lamp, degree=0.0) == pytest.approx(lamp, abs=1e-12)
    half = adapted_xyz(lamp, lamp, degree=0.5)
    assert lamp[2] < half[2] < WHITE[2]


@pytest.mark.parametrize("kelvin", [3999.0, 25_001.0, float("nan")])
def test_no_daylight_has_the_colour_of_a_lamp(kelvin):
    with pytest.raises(OutOfRange, match="4000 to 25,000 K"):
        daylight_power(kelvin)


@pytest.mark.parametrize("power", [np.zeros(31), np.r_[-1.0, np.ones(30)]])
def test_darkness_is_no_light(power):
    with pytest.raises(OutOfRange):
        light_weights(power)


def test_a_degree_beyond_one_is_refused():
    with pytest.raises(OutOfRange, match="0 to 1"):
        adapted_xyz(WHITE, WHITE, degree=1.1)


def test_a_light_that_no_eye_responds_to_is_refused():
    with pytest.raises(OutOfRange, match="too pure"):
        adapted_xyz(WHITE, [0.0, 0.0, 1.0])
