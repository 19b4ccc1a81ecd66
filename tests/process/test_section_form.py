"""Outlines of sections point by point."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from partline.materials.mould import SectionPoint, SectionShape, Station
from partline.physics.response.body import DIRECTIONS, boxed_radius
from partline.process.section_form import BOX, DOME, SectionForm, form_of

TURN = np.linspace(0.0, np.pi, 401)


def outline(*flank: tuple[float, float]) -> SectionForm:
    return SectionForm(shape=SectionShape.OUTLINE, flank=flank)


@st.composite
def cut(draw) -> Station:
    """A station of half the convex hull of mirrored points, in any sizes."""
    inner = draw(
        st.lists(st.tuples(st.floats(0.05, 1.0), st.floats(-0.9, 0.9)), min_size=2, max_size=8)
    )
    points = np.array([*inner, (1.0, draw(st.floats(-0.6, 0.6))), (0.0, 1.0), (0.0, -1.0)])
    points *= [draw(st.floats(1e-3, 2e-2)), draw(st.floats(1e-3, 2e-2))]
    line = draw(st.floats(-0.8, 0.8)) * points[:, 1].max()
    both = np.concatenate([points, points * [-1, 1]]) - [0, line]
    hull = both[ConvexHull(both).vertices]
    flank = hull[hull[:, 0] >= 0]
    flank = flank[np.argsort(-flank[:, 1])]
    return Station(
        name="belly", position=0.4, width=2 * flank[:, 0].max(), back_half=flank[0, 1],
        belly_half=-flank[-1, 1], shape=SectionShape.OUTLINE,
        points=tuple(SectionPoint(across=y, up=z) for y, z in flank),
    )  # fmt: skip


def by_hand(station: Station) -> tuple[float, float]:
    """Area above and below the line, both flanks, cut at the line by clipping. [m²]"""
    areas = []
    for sign in (1, -1):
        ring = [(p.across, sign * p.up) for p in station.points]
        clipped = []
        for (y0, z0), (y1, z1) in pairwise(ring):
            if z0 >= 0:
                clipped.append((y0, z0))
            if z0 * z1 < 0:
                clipped.append((y0 + (y1 - y0) * z0 / (z0 - z1), 0.0))
        if ring[-1][1] >= 0:
            clipped.append(ring[-1])
        y, z = np.array(clipped).T
        areas.append(abs(float(np.trapezoid(y, z))) * 2)
    return areas[0], areas[1]


def test_points_of_an_ellipse_fill_as_a_dome():
    form = outline(*zip(np.sin(TURN), np.round(np.cos(TURN), 12), strict=True))
    assert form.fillings == pytest.approx((DOME, DOME), rel=1e-4)
    assert form.boxed == pytest.approx((0.0, 0.0), abs=1e-3)
    assert form.radius == pytest.approx(np.ones((2, DIRECTIONS)), abs=1e-3)


def test_points_of_a_rectangle_fill_as_a_flat_bottom_on_both_sides():
    form = outline((1.0, 1.0), (1.0, 0.0), (1.0, -1.0))
    assert form.fillings == pytest.approx((BOX, BOX))
    assert form.radius == pytest.approx(boxed_radius(np.ones(2)))


def test_a_rhomb_fills_half_of_its_box():
    form = outline((0.0, 1.0), (1.0, 0.0), (0.0, -1.0))
    assert form.fillings == pytest.approx((1.0, 1.0))


@given(cut())
def test_an_outline_s_area_is_that_of_its_points_and_of_its_radii(station):
    form, half = form_of(station), station.width / 2
    scale = half * station.back_half, half * station.belly_half
    areas = [filling * unit for filling, unit in zip(form.fillings, scale, strict=True)]
    assert areas == pytest.approx(by_hand(station), rel=1e-6)
    # Half of the integral of ρ² over the angle; the radii are kept at 65 directions a half.
    angle = (np.arange(2000) + 0.5) / 2000 * np.pi / 2
    turn = np.cos(angle) / (np.sin(angle) + np.cos(angle))
    share = np.linspace(0.0, 1.0, DIRECTIONS)
    by_radius = [np.pi / 2 * np.interp(turn, share, row).mean() for row in form.radius]
    assert by_radius == pytest.approx(form.fillings, rel=0.02)


def test_a_station_s_points_are_in_its_own_sizes():
    station = Station(
        name="belly", position=0.4, width=12e-3, back_half=5e-3, belly_half=3e-3,
        shape=SectionShape.OUTLINE,
        points=tuple(
            SectionPoint(across=1e-3 * y, up=1e-3 * z)
            for y, z in ((0, 5), (4, 4), (6, 0), (5, -3))
        ),
    )  # fmt: skip
    form = form_of(station)
    wanted = [(0, 1), (4 / 6, 0.8), (1, 0), (5 / 6, -1)]
    assert np.array(form.flank) == pytest.approx(np.array(wanted))
    # By hand, both flanks: trapezia of 4 and 40 mm² above the line, 33 mm² below it.
    above, below = form.fillings
    assert above * 6 * 5 == pytest.approx(4 * 1 + 10 * 4)
    assert below * 6 * 3 == pytest.approx(11 * 3)
