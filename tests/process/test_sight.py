"""Lines of sight: against Snell's law and chords worked out another way."""

from __future__ import annotations

from math import asin, atan2, cos, sin

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from partline.materials.mould import SectionShape
from partline.process.cavity import Section
from partline.process.section_form import SectionForm
from partline.process.sight import from_back, from_belly, from_side

places = st.floats(-0.98, 0.98)
halves = st.floats(0.5, 20.0)
indices = st.floats(1.0, 1.6)
#: An outline's halves count as domes or flat bottoms here.
shapes = st.sampled_from([each for each in SectionShape if each is not SectionShape.OUTLINE])


def section(half_width: float, back: float, belly: float, shape: SectionShape) -> Section:
    form = SectionForm(shape=shape)
    return Section(half_width=half_width, back_half=back, belly_half=belly, form=form)


def one(look, cut: Section, place: float, index: float) -> tuple[float, float]:
    first, second = look(cut, np.array([place]), index)
    return float(first[0]), float(second[0])


@settings(deadline=None, max_examples=40)
@given(radius=halves, place=places, index=indices)
def test_a_ray_from_above_passes_the_chord_of_a_round_section(radius, place, index):
    cut = section(radius, radius, radius, SectionShape.ROUND)
    back, belly = one(from_back, cut, place, index)
    inside = asin(abs(place) / index)  # Snell; the incidence angle has sine |place|
    # A chord of a circle that leaves the skin at this angle is 2 R cos long.
    assert back + belly == pytest.approx(2 * radius * cos(inside), rel=1e-9)


@settings(deadline=None, max_examples=40)
@given(radius=halves, place=places, index=indices)
def test_the_line_cuts_the_chord_where_triangles_say(radius, place, index):
    cut = section(radius, radius, radius, SectionShape.ROUND)
    back, _ = one(from_back, cut, place, index)
    incidence = asin(abs(place))
    # From the vertical the ray is turned towards the axis by incidence less refraction.
    tilt = incidence - asin(abs(place) / index)
    assert back == pytest.approx(radius * cos(incidence) / cos(tilt), rel=1e-9)


@settings(deadline=None, max_examples=40)
@given(half_width=halves, back=halves, belly=halves, shape=shapes, index=indices)
def test_straight_through_the_middle_is_the_full_thickness(half_width, back, belly, shape, index):
    cut = section(half_width, back, belly, shape)
    assert one(from_back, cut, 0.0, index) == pytest.approx((back, belly), rel=1e-12)
    assert one(from_belly, cut, 0.0, index) == pytest.approx((belly, back), rel=1e-12)


@settings(deadline=None, max_examples=40)
@example(
    half_width=1.0, back=1.0, belly=1.0, shape=SectionShape.FLAT_BOTTOMED, place=2e-313, index=1.5
)
@given(half_width=halves, back=halves, belly=halves, shape=shapes, place=places, index=indices)
def test_left_and_right_of_a_section_look_alike(half_width, back, belly, shape, place, index):
    cut = section(half_width, back, belly, shape)
    for look in (from_back, from_belly):
        assert one(look, cut, place, index) == pytest.approx(
            one(look, cut, -place, index), rel=1e-9, abs=1e-12
        )


@settings(deadline=None, max_examples=40)
@given(half_width=halves, back=halves, belly=halves, shape=shapes, place=places, index=indices)
def test_no_line_of_sight_is_longer_than_the_section_is_wide_or_negative(
    half_width, back, belly, shape, place, index
):
    cut = section(half_width, back, belly, shape)
    widest = np.hypot(2 * half_width, back + belly)  # diagonal of the box about the section
    for look in (from_back, from_belly, from_side):
        first, second = one(look, cut, place, index)
        assert first >= 0
        assert second >= 0
        assert first + second <= widest * (1 + 1e-9)


def leaving(z: float, dz: float, x: float, dx: float, half_width: float, height: float) -> float:
    """Distance to an ellipse's wall by halving an interval, apart from the code's quadratic."""

    def outside(t: float) -> bool:
        return ((x + t * dx) / half_width) ** 2 + ((z + t * dz) / height) ** 2 > 1.0

    low, high = 0.0, 4 * max(half_width, height)
    step = high / 4000
    low = step / 100
    while not outside(low + step):
        low += step
    high = low + step
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if outside(middle) else (middle, high)
    return low


@settings(deadline=None, max_examples=40)
@given(
    half_width=st.floats(2.0, 10.0),
    back=st.floats(2.0, 10.0),
    place=st.floats(-0.95, 0.95),
    index=indices,
)
def test_a_ray_into_an_ellipse_obeys_snell_at_the_skin(half_width, back, place, index):
    assume(abs(place) > 0.01)
    x, z = place * half_width, back * (1 - place**2) ** 0.5
    normal = atan2(x / half_width**2, z / back**2)  # from the vertical, towards +x
    inside = asin(sin(normal) / index)
    turned = normal - inside  # the ray's tilt from straight down, towards the axis
    dx, dz = -sin(turned), -cos(turned)
    wall = leaving(z, dz, x, dx, half_width, back)
    line = -z / dz
    cut = section(half_width, back, back, SectionShape.ELLIPTIC)
    near, _ = one(from_back, cut, place, index)
    # The reference halves an interval 60 times; what is left is rounding in two square roots.
    assert near == pytest.approx(min(wall, line), rel=1e-7)


@settings(deadline=None, max_examples=40)
@given(half_width=halves, back=halves, belly=halves, place=places)
def test_equal_indices_leave_a_ray_straight(half_width, back, belly, place):
    cut = section(half_width, back, belly, SectionShape.ELLIPTIC)
    root = (1 - place**2) ** 0.5
    # 1e-6: at the end of the far dome the quadratic loses half its digits.
    assert one(from_back, cut, place, 1.0) == pytest.approx((back * root, belly * root), rel=1e-6)


@settings(deadline=None, max_examples=40)
@given(half_width=halves, back=halves, belly=halves, place=places, index=indices)
def test_from_below_a_ray_enters_a_flat_floor_straight(half_width, back, belly, place, index):
    cut = section(half_width, back, belly, SectionShape.FLAT_BOTTOMED)
    first, second = one(from_belly, cut, place, index)
    assert first == pytest.approx(belly, rel=1e-12)
    assert second == pytest.approx(back * (1 - place**2) ** 0.5, rel=1e-6)  # as above


@settings(deadline=None, max_examples=40)
@given(half_width=halves, back=halves, belly=halves, index=indices)
def test_from_the_flank_at_the_line_a_ray_passes_the_whole_width(half_width, back, belly, index):
    cut = section(half_width, back, belly, SectionShape.ELLIPTIC)
    own, other = one(from_side, cut, 1e-9, index)
    assert own + other == pytest.approx(2 * half_width, rel=1e-6)  # entered 1e-9 off the line


@settings(deadline=None, max_examples=40)
@given(radius=halves, height=st.floats(0.05, 0.95), index=indices)
def test_the_flanks_of_a_round_body_are_mirror_images(radius, height, index):
    cut = section(radius, radius, radius, SectionShape.ROUND)
    above, below = one(from_side, cut, height, index), one(from_side, cut, -height, index)
    assert above == pytest.approx(below, rel=1e-12)
    assert sum(above) == pytest.approx(2 * radius * cos(asin(height / index)), rel=1e-9)


@settings(deadline=None, max_examples=40)
@given(half_width=halves, back=halves, belly=halves, place=places, index=indices)
def test_turning_the_section_over_swaps_the_views(half_width, back, belly, place, index):
    up = section(half_width, back, belly, SectionShape.ELLIPTIC)
    over = section(half_width, belly, back, SectionShape.ELLIPTIC)
    assert one(from_back, up, place, index) == pytest.approx(
        one(from_belly, over, place, index), rel=1e-12
    )


def test_many_sections_of_one_shape_are_looked_at_in_one_go():
    sizes = np.array([2e-3, 4e-3, 6e-3])
    form = SectionForm(shape=SectionShape.ROUND)
    stack = Section(half_width=sizes, back_half=sizes, belly_half=sizes, form=form)
    place = np.linspace(-0.9, 0.9, 7)[:, None] * np.ones(3)
    together = np.stack(from_back(stack, place, 1.494))
    for i, size in enumerate(sizes):
        alone = np.stack(
            from_back(section(size, size, size, SectionShape.ROUND), place[:, i], 1.494)
        )
        np.testing.assert_allclose(together[..., i], alone, rtol=1e-12)
