"""Heat from a warm surface to still air and to the room around it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.heat_transfer import (
    COVERED,
    FREE,
    LYING_CYLINDER,
    UPRIGHT,
    air,
    churchill_chu_cylinder,
    churchill_chu_plate,
    grey_exchange,
    is_wide_cylinder,
    mcadams_covered,
    mcadams_free,
    natural_convection,
    radiative_conductance,
    rayleigh_number,
    surface_conductance,
)

faces = st.sampled_from([UPRIGHT, LYING_CYLINDER, FREE, COVERED])
kelvins = st.floats(260, 480)
shares = st.floats(0.01, 1)


@settings(deadline=None)
@given(face=faces, ambient=kelvins, surface=kelvins, length=st.floats(1e-3, 1.0))
def test_a_cold_surface_gains_what_a_warm_one_loses(face, ambient, surface, length):
    there = natural_convection(face, surface, ambient, length)
    back = natural_convection(face, ambient, surface, length)
    assert there.conductance == pytest.approx(float(back.conductance), rel=1e-12)
    assert there.conductance >= 0


@settings(deadline=None)
@given(face=faces, length=st.floats(0.01, 1.0))
def test_a_hotter_surface_loses_more(face, length):
    surface = np.linspace(300, 460, 9)
    lost = natural_convection(face, surface, 295.0, length).conductance * (surface - 295)
    assert np.all(np.diff(lost) > 0)


@settings(deadline=None)
@given(rayleigh=st.floats(1e4, 1e11))
def test_more_lift_never_carries_off_less(rayleigh):
    for law in (churchill_chu_plate, churchill_chu_cylinder, mcadams_free, mcadams_covered):
        less, more = law([rayleigh, 1.1 * rayleigh], 0.7)
        assert more > less


def test_a_face_that_keeps_warm_air_below_it_loses_half():
    assert mcadams_covered(1e6, 0.7) == pytest.approx(float(mcadams_free(1e6, 0.7)) / 2)


def test_a_large_level_plate_loses_with_the_cube_root_of_its_lift():
    # By hand: 0.54 × 1e6^¼ = 17.076, 0.15 × 1e9^⅓ = 150.
    assert mcadams_free([1e6, 1e9], 0.7) == pytest.approx([17.076, 150.0], abs=1e-3)


def test_a_law_outside_its_range_says_so():
    # A bait of 6 mm, looking up: too small for the law of plates.
    small, wide = natural_convection(FREE, 373.15, 293.15, [1.5e-3, 0.05]).is_covered
    assert not small
    assert wide


def test_equal_temperatures_have_no_lift():
    assert rayleigh_number(300.0, 300.0, 0.1) == 0.0
    assert natural_convection(UPRIGHT, 300.0, 300.0, 0.1).nusselt == pytest.approx(0.825**2)


def test_a_cup_is_wide_and_a_rod_is_not():
    found = is_wide_cylinder([0.08, 0.006], 443.15, 295.15, 0.09)
    assert found.tolist() == [True, False]


def test_a_cylinder_is_wide_from_35_over_the_fourth_root_of_grashof():
    grashof = rayleigh_number(443.15, 295.15, 0.09) / air((443.15 + 295.15) / 2).prandtl
    diameter = 0.09 * np.array([34.9, 35.1]) / grashof**0.25
    assert is_wide_cylinder(diameter, 443.15, 295.15, 0.09).tolist() == [False, True]


def test_thinner_air_is_more_viscous_for_its_mass():
    sea, mountain = air(300.0), air(300.0, 101325 / 2)
    assert mountain.viscosity == pytest.approx(2 * float(sea.viscosity))
    assert mountain.prandtl == pytest.approx(float(sea.prandtl))


@settings(deadline=None)
@given(warm=kelvins, room=kelvins, own=shares, other=shares, ratio=st.floats(0, 1))
def test_radiated_heat_is_its_conductance_times_the_difference(warm, room, own, other, ratio):
    flux = grey_exchange(warm, room, own, other, ratio)
    conductance = radiative_conductance(warm, room, own, other, ratio)
    # σT⁴ of 3000 W/m² at the most, with a rounding of 1e-12 of it.
    assert flux == pytest.approx(float(conductance) * (warm - room), rel=1e-9, abs=1e-8)


@settings(deadline=None)
@given(warm=kelvins, room=kelvins, own=shares, other=shares)
def test_what_one_plate_loses_the_other_gains(warm, room, own, other):
    there = grey_exchange(warm, room, own, other, 1.0)
    back = grey_exchange(room, warm, other, own, 1.0)
    assert there == pytest.approx(-float(back), rel=1e-12, abs=1e-9)


@settings(deadline=None)
@given(warm=kelvins, room=kelvins, own=shares, other=shares, ratio=st.floats(0, 1))
def test_nothing_radiates_more_than_black_to_black(warm, room, own, other, ratio):
    black = grey_exchange(warm, room, 1.0)
    assert abs(grey_exchange(warm, room, own, other, ratio)) <= abs(black) * (1 + 1e-12)


def test_two_close_plates_of_emissivity_0_8_exchange_two_thirds_of_black():
    # By hand: 1/(1/0.8 + 1/0.8 − 1) = 2/3.
    found = grey_exchange(400.0, 300.0, 0.8, 0.8, 1.0)
    assert found == pytest.approx(2 / 3 * float(grey_exchange(400.0, 300.0, 1.0)))


def test_air_and_radiation_add_up():
    together = surface_conductance(UPRIGHT, 443.15, 295.15, 0.08, 0.94)
    carried = natural_convection(UPRIGHT, 443.15, 295.15, 0.08).conductance
    # Radiated by hand: 0.94 × 5.670374e-8 × (443.15 + 295.15) × (443.15² + 295.15²) = 11.16.
    assert together - carried == pytest.approx(11.156, abs=1e-3)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: air(249.0),
        lambda: air(501.0),
        lambda: air(300.0, 0.0),
        lambda: rayleigh_number(400.0, 300.0, 0.0),
        lambda: is_wide_cylinder(0.0, 400.0, 300.0, 0.1),
        lambda: grey_exchange(-1.0, 300.0, 0.9),
        lambda: grey_exchange(400.0, 300.0, 0.0),
        lambda: grey_exchange(400.0, 300.0, 0.9, 1.1),
        lambda: radiative_conductance(400.0, 300.0, 0.9, 0.9, 1.5),
    ],
)
def test_what_cannot_be_is_refused(asked):
    with pytest.raises(OutOfRange):
        asked()
