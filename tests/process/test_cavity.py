"""Thickness, section and volume of a cavity between its stations."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.materials.mould import OutlinePoint, SectionShape
from partline.process.cavity import half_thickness, profile, section_at
from partline.process.recipe import Half
from tests.process.shed import mould, mould_of, station

sizes = st.floats(0.5, 40.0)


def test_the_demo_body_holds_ten_millilitres():
    # demo.md prints 10.0 mL, to 0.1; its outline is a monotone cubic in d².
    assert profile(mould()).volume * 1e6 == pytest.approx(10.0, rel=0, abs=0.05)


def test_the_demo_body_weighs_what_the_maker_weighed():
    # 10.2 g to 0.1 g, soft plastic of 1.016 g/mL, volume to 0.1 mL: together 1 %.
    assert profile(mould()).volume * 1016.0 == pytest.approx(10.2e-3, rel=0.01)


@settings(deadline=None, max_examples=40)
@given(diameter=sizes, length=st.floats(0.01, 0.5))
def test_a_cylinder_holds_base_times_length(diameter, length):
    rod = mould_of(
        station(diameter, diameter / 2, diameter / 2, position=0.0),
        station(diameter, diameter / 2, diameter / 2, position=1.0),
        length=length,
    )
    exact = pi / 4 * (diameter * 1e-3) ** 2 * length
    assert profile(rod).volume == pytest.approx(exact, rel=1e-12)  # the trapezium rule is exact


@settings(deadline=None, max_examples=40)
@given(width=sizes, back=sizes, belly=sizes)
def test_an_elliptic_bar_holds_its_two_half_ellipses(width, back, belly):
    ends = [
        station(width, back, belly, SectionShape.ELLIPTIC, position=place) for place in (0.0, 1.0)
    ]
    exact = pi / 4 * width * (back + belly) * 1e-6 * 0.1
    assert profile(mould_of(*ends)).volume == pytest.approx(exact, rel=1e-12)


@settings(deadline=None, max_examples=40)
@given(width=sizes, back=sizes, belly=sizes)
def test_a_flat_bottomed_bar_holds_half_an_ellipse_and_a_box(width, back, belly):
    ends = [
        station(width, back, belly, SectionShape.FLAT_BOTTOMED, position=place)
        for place in (0.0, 1.0)
    ]
    exact = (pi / 4 * width * back + width * belly) * 1e-6 * 0.1
    assert profile(mould_of(*ends)).volume == pytest.approx(exact, rel=1e-12)


def test_a_body_whose_squared_width_rises_straight_is_a_paraboloid():
    points = tuple(
        OutlinePoint(position=x, diameter=12e-3 * x**0.5) for x in (0.0, 0.25, 0.5, 0.75, 1.0)
    )
    bullet = replace(mould_of(station(12, 6, 6, position=1.0)), outline=points)
    exact = pi / 8 * 12e-3**2 * 0.1  # half of the cylinder about it
    # A monotone cubic through points on a straight line is that line; then trapezia are exact.
    assert profile(bullet).volume == pytest.approx(exact, rel=1e-12)


@pytest.mark.parametrize("name", ["reed-130", "fry-75"])
def test_every_station_gets_back_the_size_that_was_measured(name):
    body = mould(name)
    along = profile(body, np.array([each.position for each in body.stations]))
    measured = [[each.width / 2, each.back_half, each.belly_half] for each in body.stations]
    found = np.stack([along.half_width, along.back_half, along.belly_half], axis=1)
    np.testing.assert_allclose(found, measured, rtol=1e-12)  # an interpolation passes its points


@pytest.mark.parametrize("name", ["reed-130", "fry-75"])
def test_between_two_stations_the_body_is_never_wider_than_the_wider_one(name):
    body = mould(name)
    known = [(p.position, p.diameter / 2) for p in body.outline] or [
        (s.position, s.width / 2) for s in body.stations
    ]
    for (start, first), (end, second) in pairwise(known):
        between = profile(body, np.linspace(start, end, 50)).half_width
        assert between.max() <= max(first, second) * (1 + 1e-12)
        assert between.min() >= min(first, second) * (1 - 1e-12)


def test_a_body_without_a_nose_station_is_drawn_closed_and_says_so():
    along = profile(mould("fry-75"))
    assert along.half_width[0] == 0.0
    assert any("drawn closed" in note.text and "belly" in note.text for note in along.notes)


def test_a_body_without_a_tail_station_keeps_its_last_size_and_says_so():
    along = profile(mould_of(station(10, 5, 5, position=0.5)))
    assert along.half_width[-1] == pytest.approx(5e-3, rel=1e-12)
    assert any("kept to the end" in note.text for note in along.notes)


def test_a_known_outline_needs_no_assumption():
    assert profile(mould()).notes == ()


def test_a_thin_slice_of_the_body_is_never_negative():
    along = profile(mould("fry-75"))
    assert min(along.half_width.min(), along.back_half.min(), along.belly_half.min()) >= 0.0


def test_the_line_at_mid_height_of_a_round_body_splits_it_in_half():
    assert section_at(station(12, 6, 6)).split == pytest.approx(0.5, rel=1e-12)


def test_a_floor_holds_more_than_a_dome_of_the_same_thickness():
    above, below = section_at(station(12, 2, 2, SectionShape.FLAT_BOTTOMED)).areas
    assert below / above == pytest.approx(4 / pi, rel=1e-12)  # box against half ellipse


def test_a_one_colour_bait_is_as_thick_as_both_halves():
    thick = station(12, 7, 5)
    assert half_thickness(thick, Half.WHOLE) == pytest.approx(12e-3, rel=1e-12)
    assert half_thickness(thick, Half.BACK) == pytest.approx(7e-3, rel=1e-12)
    assert half_thickness(thick, Half.BELLY) == pytest.approx(5e-3, rel=1e-12)


def test_a_bar_of_an_outline_holds_its_polygon_times_its_length():
    # 12 mm wide, 4 mm up, 3 mm down: trapezia of (8 + 12)/2 · 4 and (12 + 6)/2 · 3 mm², by hand.
    bar = mould_of(
        station(12, 4, 3, SectionShape.OUTLINE, position=0.0),
        station(12, 4, 3, SectionShape.OUTLINE, position=1.0),
        length=0.1,
    )
    assert profile(bar).volume == pytest.approx(67e-6 * 0.1, rel=1e-9)
