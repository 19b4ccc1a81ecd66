"""Flakes as plates."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.flake import (
    bar,
    covered_share,
    flakes_shown,
    hexagon,
    hexagon_outline,
    mean_shadow,
    mirrored_cosine,
    rectangle_outline,
    square,
    tilted,
)
from partline.physics.scattering import flake_coefficients


def test_faces_are_those_of_school_geometry():
    # Six triangles of side 1/√3 and height 1/2; a square; a strip.
    assert hexagon(1.0) == pytest.approx((6 * 0.5 * 0.5 / 3**0.5, 6 / 3**0.5))
    assert square(0.5e-3) == pytest.approx((0.25e-6, 2e-3))
    assert bar(2e-3, 0.25) == pytest.approx((1e-6, 5e-3))
    assert bar(1e-3, 1.0) == square(1e-3)


def test_the_shadow_of_a_box_is_a_quarter_of_its_surface():
    """Counted by turning it: Σ of faces × |cosine|, a box being convex."""
    normals = np.random.default_rng(3).normal(size=(200_000, 3))
    cosines = np.abs(normals / np.linalg.norm(normals, axis=1, keepdims=True)).mean(axis=0)
    width, thickness = 1e-3, 0.3e-3
    turned = width**2 * cosines[2] + width * thickness * (cosines[0] + cosines[1])
    assert mean_shadow(*square(width), thickness) == pytest.approx(turned, rel=5e-3)  # 4 sigma


def test_the_edge_is_all_that_the_thin_plate_leaves_out():
    plate, film, share = hexagon(0.4e-3), 25e-6, 0.01
    number = share / (plate.area * film)
    thin = sum(flake_coefficients(share, film, 0.5))
    assert number * mean_shadow(plate.area, 0.0, film) == pytest.approx(thin)
    assert number * mean_shadow(*plate, film) / thin == pytest.approx(1.125, abs=0.001)


@given(st.floats(0, 1e12), st.floats(0, 1e4), st.floats(0, 0.05), st.floats(0, 0.05))
def test_deeper_shows_more_but_never_more_than_there_are(number, extinction, depth, more):
    shallow, deep = flakes_shown(number, extinction, [depth, depth + more])
    assert shallow <= deep * (1 + 1e-12)
    assert deep <= number * (depth + more) * (1 + 1e-12)
    if extinction > 0:
        assert deep <= number / extinction * (1 + 1e-12)


def test_flakes_that_shade_nothing_all_show():
    assert flakes_shown(1e9, 0.0, 2e-3) == pytest.approx(2e6)


@pytest.mark.parametrize(
    "make", [lambda: hexagon(0.0), lambda: square(-1.0), lambda: bar(1e-3, 0.0),
             lambda: bar(1e-3, 1.5), lambda: flakes_shown(1.0, 1.0, -1.0), lambda: hexagon(np.nan)]
)  # fmt: skip
def test_impossible_flakes_are_refused(make):
    with pytest.raises(OutOfRange):
        make()


@pytest.mark.parametrize(
    ("corners", "plate"),
    [
        (hexagon_outline(0.4e-3), hexagon(0.4e-3)),
        (rectangle_outline(0.4e-3), square(0.4e-3)),
        (rectangle_outline(2e-3, 0.25), bar(2e-3, 0.25)),
    ],
)
def test_outlines_have_the_area_and_perimeter_of_their_faces(corners, plate):
    x, y = corners.T
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    perimeter = np.linalg.norm(corners - np.roll(corners, -1, axis=0), axis=1).sum()
    assert (area, perimeter) == pytest.approx(plate)
    assert corners.mean(axis=0) == pytest.approx([0.0, 0.0], abs=1e-18)


def test_a_hexagon_is_as_wide_across_flats_as_its_size():
    turned = tilted(hexagon_outline(1.0), [1.0], [0.0], [np.pi / 6])[0]
    assert np.ptp(turned[:, 0]) == pytest.approx(1.0)


@given(st.floats(0, 1), st.floats(0, 7), st.floats(0, 7))
def test_a_tilted_plate_shows_its_area_times_the_cosine(cosine, azimuth, spin):
    x, y = np.moveaxis(tilted(hexagon_outline(1.0), [cosine], [azimuth], [spin])[0], -1, 0)
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    assert area == pytest.approx(cosine * hexagon(1.0).area, abs=1e-12)


def test_plates_facing_the_eye_mirror_it_and_plates_edge_on_mirror_what_lies_behind():
    assert mirrored_cosine([1.0, 0.5**0.5, 0.0]) == pytest.approx([1.0, 0.0, -1.0])


@given(st.floats(0, 1e4), st.floats(0, 0.05), st.floats(0, 0.05))
def test_layers_of_flake_cover_what_the_other_leaves(extinction, depth, more):
    """1 − c is a product: a thick layer is two thin ones."""
    whole, upper, lower = covered_share(extinction, [depth + more, depth, more])
    assert 1 - whole == pytest.approx((1 - upper) * (1 - lower), abs=1e-12)


def test_impossible_outlines_and_depths_are_refused():
    for make in (lambda: hexagon_outline(-1.0), lambda: rectangle_outline(1e-3, 2.0),
                 lambda: covered_share(-1.0, 1.0), lambda: covered_share(1.0, -1.0)):  # fmt: skip
        with pytest.raises(OutOfRange):
            make()
