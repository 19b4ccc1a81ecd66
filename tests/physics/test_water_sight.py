"""What is seen of a thing in water."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from partline.data.water import JERLOV
from partline.errors import InputError, OutOfRange
from partline.physics.colorimetry import WHITE, adapted_xyz, reflectance_to_xyz
from partline.physics.illuminant import Illuminant, illuminant_weights
from partline.physics.water_column import lake_of_clarity, sea_optics
from partline.physics.water_sight import (
    downwelling,
    open_water_radiance,
    seen_under_water,
    through_water,
)

LAKES = {
    "clear": lake_of_clarity(8.0, 0.15, 0.06, 0.04, 1.0),
    "tea": lake_of_clarity(2.0, 3.0, 0.1, 0.1, 1.0),
    "muddy": lake_of_clarity(0.5, 0.8, 0.2, 1.0, 8.0),
    "sea": sea_optics(JERLOV["III"], 0.37),
}
waters = st.sampled_from(sorted(LAKES)).map(LAKES.__getitem__)
spectra = arrays(float, 31, elements=st.floats(0, 1))
depths = st.floats(0, 3)


@given(optics=waters, depth=st.floats(0, 50), more=st.floats(0, 50))
def test_deeper_is_never_lighter_at_any_wavelength(optics, depth, more):
    assert np.all(downwelling(optics.diffuse, depth + more) <= downwelling(optics.diffuse, depth))


@settings(deadline=None)
@given(reflectance=spectra, optics=waters, light=st.sampled_from(Illuminant))
def test_at_the_surface_and_close_by_a_thing_looks_as_in_air(reflectance, optics, light):
    sight = seen_under_water(reflectance, optics, 0.0, 0.0, light)
    assert sight.radiance == pytest.approx(reflectance, abs=1e-12)
    weights = illuminant_weights(light)
    air = adapted_xyz(reflectance_to_xyz(reflectance, weights), weights.sum(axis=0))
    assert sight.adapted == pytest.approx(air, abs=1e-10)
    assert sight.cast == pytest.approx(air, abs=1e-10)
    assert sight.brightness == pytest.approx(1.0)


@settings(deadline=None)
@given(reflectance=spectra, optics=waters, depth=depths, near=st.floats(0, 5), far=st.floats(0, 5))
def test_a_thing_fades_into_the_open_water_with_distance(reflectance, optics, depth, near, far):
    here, there = (
        seen_under_water(reflectance, optics, depth, distance) for distance in sorted((near, far))
    )
    apart, farther = (np.abs(each.radiance - each.veil) for each in (here, there))
    assert np.all(farther <= apart + 1e-12)


@pytest.mark.parametrize("optics", LAKES.values(), ids=LAKES)
def test_from_far_away_only_the_open_water_is_left(optics):
    sight = seen_under_water(np.full(31, 0.5), optics, 1.0, 200.0)
    assert sight.radiance == pytest.approx(sight.veil, rel=1e-6)
    assert sight.contrast == pytest.approx(0.0, abs=1e-6)


@settings(deadline=None)
@given(optics=waters, depth=depths, share=st.floats(0.01, 1))
def test_to_an_eye_used_to_the_depth_a_grey_is_grey(optics, depth, share):
    sight = seen_under_water(np.full(31, share), optics, depth, 0.0)
    assert sight.adapted == pytest.approx(share * WHITE, rel=1e-8)
    # Not used to it: as light, but of the water's colour.
    assert sight.cast[1] == pytest.approx(share, rel=0.15)


def test_tea_water_turns_a_white_thing_orange_and_the_sea_turns_it_green():
    tea, sea = (
        seen_under_water(np.ones(31), LAKES[each], 2.0, 0.0).cast for each in ("tea", "sea")
    )
    assert tea[0] > tea[1] > 5 * tea[2]
    assert sea[1] > sea[0]


@given(optics=waters, cosine=st.floats(-1, 0.5), distance=st.floats(0, 30))
def test_looking_into_open_water_one_sees_open_water_from_any_distance(optics, cosine, distance):
    """A patch of open water beyond the distance changes with its own depth, and only so."""
    veil = open_water_radiance(optics, cosine)
    assert np.all((veil > 0) & (veil < 1))
    level = through_water(veil, veil, optics, distance)
    assert level == pytest.approx(veil, rel=1e-9)


def test_looking_down_the_water_is_darker_than_looking_up():
    down, level, up = (open_water_radiance(LAKES["sea"], each) for each in (-1.0, 0.0, 0.5))
    assert np.all((down < level) & (level < up))


@pytest.mark.parametrize(
    ("depth", "distance", "says"),
    [
        (-1.0, 0.0, "depth of -1 m"),
        (float("nan"), 0.0, "depth of nan m"),
        (0.0, -0.5, "distance of -0.5 m"),
        (0.0, float("inf"), "distance of inf m"),
        (500.0, 0.0, "no light is left"),
    ],
)
def test_a_place_nobody_looks_from_is_refused_with_a_sentence(depth, distance, says):
    with pytest.raises(OutOfRange, match=says):
        seen_under_water(np.ones(31), LAKES["muddy"], depth, distance)


def test_other_bad_input_is_refused():
    with pytest.raises(InputError, match="31 values"):
        seen_under_water(np.ones(30), LAKES["clear"], 1.0, 1.0)
    with pytest.raises(OutOfRange, match=r"cosine of 0\.9"):
        open_water_radiance(LAKES["clear"], 0.9)
