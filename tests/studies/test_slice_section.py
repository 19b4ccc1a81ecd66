"""A section from points tapped in a photo: turned, scaled, mirrored or tapped unsteadily."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError
from partline.materials.mould import SectionShape
from partline.studies.slice_section import CARD, section_of_slice

ELLIPTIC, FLAT, ROUND = SectionShape.ELLIPTIC, SectionShape.FLAT_BOTTOMED, SectionShape.ROUND
#: A fit of points that lie on their outline ends at least this near, of sizes of 10 mm. [m]
SHARP = 1e-8


def outline(shape, width, back, belly, count=14, begin=0.1):
    """Points on a section's outline, the line at height 0, back up. Shape (count, 2). [m]"""
    angle = begin + np.linspace(0, 2 * np.pi, count, endpoint=False)
    across, up = np.cos(angle), np.sin(angle)
    if shape is FLAT:
        far = np.where(up >= 0, 1.0, np.maximum(abs(across), abs(up)))
        across, up = across / far, up / far
    return np.stack([across * width / 2, up * np.where(up >= 0, back, belly)], axis=1)


def photographed(points, turn=0.0, pixels=20_000.0, mirrored=False):
    """The same points in a picture whose rows run down. Shape (count, 2). [pixel]"""
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    flat = np.asarray(points) * [-1.0 if mirrored else 1.0, -1.0]
    return flat @ turned.T * pixels + [700.0, 500.0]


def traced(points, width=11e-3, back=5e-3, *, tap=3.0, card=0.02, length=None, **how):
    """The section of a slice on a card whose marks are 20 mm apart."""
    return section_of_slice(
        photographed(points, **how),
        scale=photographed([[-0.01, -0.012], [-0.01 + card, -0.012]], **how),
        length=card if length is None else length,
        line=photographed([[-width / 2, 0], [width / 2, 0]], **how),
        back=photographed([0, back / 2], **how),
        tap=tap,
    )


@given(
    shape=st.sampled_from([ELLIPTIC, FLAT]),
    width=st.floats(4e-3, 30e-3),
    back=st.floats(2e-3, 15e-3),
    belly=st.floats(2e-3, 15e-3),
    turn=st.floats(-7, 7),
    pixels=st.floats(5_000, 200_000),
    mirrored=st.booleans(),
    count=st.integers(12, 40),
)
@settings(deadline=None, max_examples=60)
def test_an_outline_comes_back_however_it_lies_in_the_picture(
    shape, width, back, belly, turn, pixels, mirrored, count
):
    points = outline(shape, width, back, belly, count)
    found = traced(points, width, back, tap=1.0, turn=turn, pixels=pixels, mirrored=mirrored)
    assert found.width == pytest.approx(width, rel=1e-4)
    assert found.back_half == pytest.approx(back, rel=1e-4)
    assert found.belly_half == pytest.approx(belly, rel=1e-4)
    is_round = abs(width - back - belly) <= 0.03 * (back + belly)
    if shape is FLAT:
        assert found.shape is FLAT
    elif abs(abs(width - back - belly) - 0.03 * (back + belly)) > 1e-5:
        assert found.shape is (ROUND if is_round else ELLIPTIC)
    assert found.is_alike


@pytest.mark.parametrize("off", [-2e-3, 0.0, 2.5e-3])
def test_a_round_bait_whose_line_lies_off_its_middle_keeps_its_thickness(off):
    """A circle of 10 mm: the chord cuts it into 5 mm and what is left, wherever it runs."""
    circle = outline(ELLIPTIC, 10e-3, 5e-3, 5e-3) - np.array([0, off])
    found = traced(circle, 8e-3, 2e-3)
    assert found.shape is ROUND
    assert found.width == pytest.approx(10e-3, abs=SHARP)
    assert found.back_half == pytest.approx(5e-3 - off, abs=SHARP)
    assert found.belly_half == pytest.approx(5e-3 + off, abs=SHARP)


def test_an_ellipse_agrees_with_the_direct_algebraic_fit():
    """Reference: Fitzgibbon, Pilu & Fisher, "Direct least square fitting of ellipses," IEEE
    PAMI 21(5), 476-480, 1999 (from memory): constrained eigenproblem, solved here by numpy.
    """
    rng = np.random.default_rng(7)
    points = outline(ELLIPTIC, 12e-3, 4e-3, 4e-3, 30) + rng.normal(0, 0.03e-3, (30, 2))
    x, y = points.T * 1e3
    design = np.stack([x * x, x * y, y * y, x, y, np.ones_like(x)], axis=1)
    constraint = np.zeros((6, 6))
    constraint[0, 2] = constraint[2, 0] = 2.0
    constraint[1, 1] = -1.0
    values, vectors = np.linalg.eig(np.linalg.solve(design.T @ design, constraint))
    a, b, c, d, e, f = np.real(vectors[:, np.argmax(np.real(values))])
    # Half extents of the conic: where its other partial derivative vanishes.
    det = 4 * a * c - b * b
    at_x, at_y = (b * e - 2 * c * d) / det, (b * d - 2 * a * e) / det
    level = -(f + (d * at_x + e * at_y) / 2)
    width, height = (2 * np.sqrt(4 * each * level / det) for each in (c, a))
    found = traced(points, 12e-3, 4e-3)
    # Both follow noise of 0.03 mm at 30 points; they weigh it differently.
    assert found.width * 1e3 == pytest.approx(width, abs=0.03)
    assert found.height * 1e3 == pytest.approx(height, abs=0.03)


@pytest.mark.parametrize("shape", [ELLIPTIC, FLAT])
def test_four_times_out_of_five_the_sizes_lie_within_their_doubt(shape):
    """Every tap off by a normal deviate, four of five within 3 pixels: sigma is 3/1.2816."""
    rng = np.random.default_rng(20260301)
    sizes = np.array([11e-3, 5e-3, 4e-3])
    held = near = 0

    def shaken(points):
        exact = photographed(points)
        return exact + rng.normal(0, 3 / 1.2816, exact.shape)

    for _ in range(200):
        found = section_of_slice(
            shaken(outline(shape, *sizes)),
            scale=shaken([[-0.01, -0.012], [0.01, -0.012]]),
            length=0.02 * (1 + rng.normal(0, CARD / 1.2816)),
            line=shaken([[-5.5e-3, 0], [5.5e-3, 0]]),
            back=photographed([0, 2e-3]),
            tap=3.0,
        )
        assert found.shape is shape or found.shape is ROUND
        got = np.array([found.width, found.back_half, found.belly_half])
        held += bool(np.all(np.abs(got / sizes - 1) <= found.doubt))
        near += bool(abs(found.height - sizes[1:].sum()) <= 0.3e-3)
    assert held >= 160
    assert near >= 160  # job.md, B9: thickness within 0.3 mm


def test_a_nearer_look_leaves_less_doubt():
    points = outline(ELLIPTIC, 11e-3, 5e-3, 5e-3)
    coarse, fine = (traced(points, tap=tap).doubt for tap in (8.0, 1.0))
    assert coarse > 2 * fine > 2 * CARD


def test_an_outline_like_no_station_keeps_the_sizes_tapped_and_says_so():
    heart = outline(ELLIPTIC, 11e-3, 5e-3, 5e-3, 24)
    heart[np.abs(heart[:, 0]) < 2e-3] *= [1.0, 0.2]
    found = traced(heart)
    assert not found.is_alike
    assert found.width == pytest.approx(np.ptp(heart[:, 0]), abs=SHARP)
    assert found.doubt > 0.06


def rounded_box(power, count=16, begin=0.1):
    """Points on a body between an ellipse (1) and a box (0). Shape (count, 2). [m]"""
    angle = begin + np.linspace(0, 2 * np.pi, count, endpoint=False)
    turned = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return np.sign(turned) * np.abs(turned) ** power * [5.5e-3, 5e-3]


def test_a_body_between_the_shapes_is_like_none_once_it_misses_more_than_the_taps():
    misses = [traced(rounded_box(power)) for power in (1.0, 0.9, 0.7, 0.5)]
    assert [each.is_alike for each in misses] == [True, True, False, False]
    assert misses[0].miss < misses[1].miss < misses[2].miss < misses[3].miss
    # A careless hand leaves open what a steady one does not.
    assert traced(rounded_box(0.7), tap=6.0).is_alike


def test_a_shape_tapped_unsteadily_is_hardly_ever_taken_for_none():
    rng = np.random.default_rng(3)
    alike = 0
    for _ in range(100):
        points = photographed(outline(FLAT, 11e-3, 5e-3, 4e-3, 30))
        alike += section_of_slice(
            points + rng.normal(0, 3 / 1.2816, points.shape),
            scale=photographed([[-0.01, -0.012], [0.01, -0.012]]),
            length=0.02,
            line=photographed([[-5.5e-3, 0], [5.5e-3, 0]]),
            back=photographed([0, 2e-3]),
            tap=3.0,
        ).is_alike
    # One in a hundred is expected; five or more come once in three hundred such runs.
    assert alike >= 95


def test_the_outline_itself_has_the_halves_tapped_and_a_doubt_of_its_own():
    found = traced(rounded_box(0.5))
    across, up = np.array([(each.across, each.up) for each in found.points]).T
    # Its flanks are furthest out at unlike heights: as wide as both together are at one.
    assert 2 * across.max() == pytest.approx(found.width, rel=0.02)
    assert (up[0], -up[-1]) == pytest.approx((found.back_half, found.belly_half), abs=SHARP)
    # What the nearest shape misses is no doubt of the outline.
    assert found.points_doubt < found.doubt
    few, many = (traced(rounded_box(0.5, count)).points_doubt for count in (8, 40))
    assert few > many > CARD


@pytest.mark.parametrize("count", [12, 24])
@pytest.mark.parametrize("power", [1.0, 0.7, 0.5])
def test_four_times_out_of_five_the_outlines_sizes_lie_within_its_doubt(power, count):
    """As above; the points begin anywhere on the body, so that its ends lie between two."""
    rng = np.random.default_rng(20260302)
    held = 0
    for _ in range(200):
        points = photographed(rounded_box(power, count, begin=rng.uniform(0, 1)))
        marks = photographed([[-0.01, -0.012], [0.01, -0.012]])
        found = section_of_slice(
            points + rng.normal(0, 3 / 1.2816, points.shape),
            scale=marks + rng.normal(0, 3 / 1.2816, marks.shape),
            length=0.02 * (1 + rng.normal(0, CARD / 1.2816)),
            line=photographed([[-5.5e-3, 0], [5.5e-3, 0]]),
            back=photographed([0, 2e-3]),
            tap=3.0,
        )
        across, up = np.array([(each.across, each.up) for each in found.points]).T
        got = np.array([2 * across.max(), up[0], -up[-1]]) / [11e-3, 5e-3, 5e-3]
        held += bool(np.all(np.abs(got - 1) <= found.points_doubt))
    assert held >= 160


def refused(field, says, **change):
    points = change.pop("outline", outline(ELLIPTIC, 11e-3, 5e-3, 5e-3))
    with pytest.raises(InputError, match=says) as refusal:
        traced(points, **change)
    assert refusal.value.field == field


def test_too_few_or_far_too_many_points_are_refused():
    few = outline(ELLIPTIC, 11e-3, 5e-3, 5e-3, 4)
    refused("outline", "4 points go round the slice; at least 5", outline=few)
    traced(outline(ELLIPTIC, 11e-3, 5e-3, 5e-3, 5))
    refused("outline", "at most 400", outline=outline(ELLIPTIC, 11e-3, 5e-3, 5e-3, 401))


def test_points_on_a_line_or_at_one_place_are_refused():
    along = np.linspace(-5e-3, 5e-3, 9)
    refused("outline", "lie on one line", outline=np.stack([along, along / 3], axis=1))
    refused("outline", "lie on one line", outline=np.zeros((9, 2)))


def test_a_crossing_outline_is_refused_and_the_crossing_is_named():
    crossed = outline(ELLIPTIC, 11e-3, 5e-3, 5e-3, 8)
    crossed[[3, 4]] = crossed[[4, 3]]
    refused("outline", "from point 3 to 4 it cuts from point 5 to 6", outline=crossed)


def test_a_scale_of_nothing_is_refused():
    refused("distance", "is zero", length=0.0)
    refused("distance", "is zero", length=float("nan"))
    refused("scale", "at one place", card=0.0, length=0.02)


def test_a_line_that_is_none_or_misses_the_slice_is_refused():
    refused("line", "at one place", width=0.0)
    high = outline(ELLIPTIC, 11e-3, 5e-3, 5e-3) + np.array([0, 6e-3])
    refused("line", "does not cross the slice", outline=high)


def test_a_back_on_the_line_is_refused():
    refused("back", "on the line itself", back=0.0)
