"""Pictures from light traced through the bait's own shape, with a quick table of a spindle."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.data.cie import WAVELENGTHS
from partline.materials.mould import SectionShape
from partline.physics.illuminant import Illuminant
from partline.process.bait_body import PLACES, bait_body
from partline.process.cavity import profile
from partline.process.rendering import (
    VIEWS,
    Backdrop,
    PictureError,
    Quality,
    Setting,
    View,
    in_air,
    pictures,
)
from partline.process.slab_renderer import SlabRenderer
from partline.process.traced import TracedRenderer, transport
from tests.physics.response.bodies import quick_table, spindle
from tests.process.shed import (
    demo,
    drops,
    mould,
    mould_of,
    one_colour,
    optics_of,
    station,
    two_colours,
)

BROWN, PALE = (drops("Peat", 9),), (drops("Chalk", 5),)
ERROR = PictureError(median=1.0, high=2.8, source="a quick table")
#: What a quick table strays by where two ways through it must agree: in sRGB, and in light. [-]
STRAY, STRAY_LIGHT = 0.03, 0.02
#: Stations of the spindle, which is 40 mm long and at most 6.9 mm thick.
STATIONS = (
    station(6.6, 3.3, 3.3, name="head", position=0.4),
    station(6.0, 3.0, 3.0, name="tail", position=0.8),
)
BODY = mould_of(*STATIONS, length=0.04)


@cache
def traced(quality: Quality = Quality.PREVIEW) -> TracedRenderer:
    """A renderer of the spindle."""
    return TracedRenderer(body=spindle(), response=quick_table(), quality=quality, error=ERROR)


def seen(sides, view: View | float = View.BACK, backdrop: Backdrop = Backdrop.PALE, **more):
    """One picture of the spindle."""
    angle = view.angle if isinstance(view, View) else view
    return traced().picture(sides, BODY, Setting(angle=angle, backdrop=backdrop, **more))


def luminance(sides, view: View = View.BACK, backdrop: Backdrop = Backdrop.GREY):
    """Y of the bait's part of every pixel that it fills, card and gloss left out."""
    light = in_air(Setting(backdrop=backdrop))
    cover = traced().frame(view.angle).cover
    return traced().xyz(sides, view.angle, light)[..., 1][cover > 0.99]


@pytest.mark.parametrize("version", [1, 3])
def test_a_traced_picture_is_made_of_colours_a_screen_can_show(version):
    for picture in pictures(traced(), optics_of(demo(version)), BODY).values():
        assert picture.shape[1:] == (200, 3)  # 40 mm at 0.2 mm
        assert np.all((picture >= 0) & (picture <= 1))


def test_a_bait_of_one_plastic_looks_alike_from_back_and_belly():
    sides = optics_of(two_colours(PALE, PALE))
    back, belly = (luminance(sides, view) for view in (View.BACK, View.BELLY))
    # The spindle is alike above and below, and its table was mirrored: only rounding is left.
    assert back == pytest.approx(belly, abs=1e-3)


def test_one_cup_looks_as_two_cups_of_the_same_do():
    one, two = (optics_of(each) for each in (one_colour(*PALE), two_colours(PALE, PALE)))
    np.testing.assert_allclose(seen(one), seen(two), atol=1e-9)


@pytest.mark.parametrize("view", [View.BACK, View.THREE_QUARTER, View.SIDE, View.BELLY])
def test_gloss_only_adds_light(view):
    sides = optics_of(demo(3))
    matt, glossy = (seen(sides, view, Backdrop.DARK, has_gloss=each) for each in (False, True))
    assert np.all(glossy >= matt - 1e-12)
    assert (glossy - matt).max() > 0.05  # light from all round, so the edges mirror most


def test_turned_by_nothing_a_quarter_and_a_half_is_back_side_and_belly():
    sides = optics_of(two_colours(BROWN, PALE))
    for degrees, view in ((0, View.BACK), (90, View.SIDE), (180, View.BELLY)):
        np.testing.assert_array_equal(seen(sides, np.radians(degrees)), seen(sides, view))


def test_turning_goes_smoothly_from_a_dark_back_to_a_pale_belly():
    sides = optics_of(two_colours((drops("Peat", 9), drops("Chalk", 3)), PALE))
    light = [
        traced().xyz(sides, np.radians(degrees), in_air(Setting()))[..., 1].sum()
        for degrees in range(0, 181, 15)
    ]
    steps = np.diff(light)
    assert np.all(steps > -0.02 * light[-1])
    assert steps.max() < 0.35 * (light[-1] - light[0])  # no jump where traced angles change


def test_what_is_seen_through_a_clear_half_does_not_go_out_between_two_traced_angles():
    # Between 45° and 90° a line of sight stops crossing into the pale half; mixing the two
    # traced angles evenly let its light fall to a quarter on the way.
    sides = optics_of(two_colours((drops("Peat", 9),), PALE))
    upper = []
    for degrees in range(45, 91, 5):
        angle = np.radians(degrees)
        seen_xyz = traced().xyz(sides, angle, in_air(Setting(backdrop=Backdrop.GREY)))[..., 1]
        cover = traced().frame(angle).cover
        column = cover.shape[1] // 2
        body = np.flatnonzero(cover[:, column] > 0.99)
        upper.append(seen_xyz[body[: len(body) // 3], column].mean())
    assert min(upper) > 0.45 * min(upper[0], upper[-1])


def test_the_pixels_cover_the_area_that_the_slabs_cover():
    slab, own = SlabRenderer(), mould()
    body = bait_body(own)
    renderer = TracedRenderer(
        body=body, response=quick_table(), quality=Quality.PREVIEW, error=ERROR
    )
    along = profile(own, (np.arange(2000) + 0.5) / 2000)
    for view, tall in (
        (View.BACK, 2 * along.half_width),
        (View.SIDE, along.back_half + along.belly_half),
    ):
        area = renderer.frame(view.angle).cover.sum() * renderer.pixel**2
        # Covered pixel by pixel, the area is exact but for the curve within a pixel.
        assert area == pytest.approx(tall.mean() * own.length, rel=2e-3)
        rows = slab.picture(optics_of(demo(1)), own, Setting(angle=view.angle)).shape[0]
        assert abs(renderer.frame(view.angle).cover.shape[0] - rows) <= 2


def test_a_flat_bottom_is_boxed_below_and_round_above():
    flat = mould_of(
        station(8, 4, 3, SectionShape.FLAT_BOTTOMED, position=0.5),
        station(6, 3, 2, SectionShape.ROUND, position=1.0),
    )
    body = bait_body(flat)
    assert body.half_width.size == PLACES
    assert np.abs(body.boxed[:, 0]).max() < 1e-12
    assert body.boxed[[200, -1], 1] == pytest.approx([1.0, 0.0], abs=1e-12)
    assert np.all(np.diff(body.boxed[200:, 1]) <= 1e-12)  # passes evenly from one to the other


def test_what_is_not_bait_is_bare_card():
    for backdrop in Backdrop:
        picture = seen(optics_of(demo(3)), View.SIDE, backdrop)
        bare = in_air(Setting(backdrop=backdrop))
        assert np.ptp(picture[0], axis=0).max() < 1e-9
        assert np.ptp(picture[0, 0]) < 0.005
        assert bare.back[0] == backdrop.reflectance


def test_a_clear_bait_lets_the_card_through_and_an_opaque_one_does_not():
    for loading, most in (((), None), ((drops("Soot", 60),), 0.01)):
        sides = optics_of(two_colours(loading, loading))
        pale, dark = (
            np.median(luminance(sides, View.BACK, each)) for each in (Backdrop.PALE, Backdrop.DARK)
        )
        assert pale > dark + 0.3 if most is None else abs(pale - dark) < most


@given(st.floats(0.0, 12.0), st.floats(0.3, 6.0), st.sampled_from(VIEWS))
@settings(deadline=None, max_examples=15)
def test_more_of_an_absorbing_dye_never_makes_a_view_lighter(some, more, view):
    less, much = (
        luminance(optics_of(two_colours((drops("Peat", amount), *PALE), PALE)), view)
        for amount in (some, some + more)
    )
    # A smooth table of few nodes may ripple by its own error, never by more.
    assert np.all(much <= less + STRAY_LIGHT)
    assert much.mean() <= less.mean() + 1e-3


def test_the_row_on_the_line_lies_between_its_halves():
    sides = optics_of(two_colours(BROWN, PALE))
    light = traced().xyz(sides, View.SIDE.angle, in_air(Setting()))[..., 1]
    column = light[:, 80]  # where the spindle is widest
    cover = traced().frame(View.SIDE.angle).cover[:, 80]
    middle = len(column) // 2
    above, line, below = column[middle - 4], column[middle - 1 : middle + 1], column[middle + 3]
    assert np.all(cover[middle - 4 : middle + 4] > 0.999)
    assert above < below  # the back is brown and lies above
    assert np.all((line >= above - STRAY_LIGHT) & (line <= below + STRAY_LIGHT))


def test_left_and_right_flank_are_alike():
    for view in (View.BACK, View.BELLY):
        picture = seen(optics_of(demo(1)), view)
        np.testing.assert_allclose(picture, picture[::-1], atol=STRAY)


@pytest.mark.parametrize("is_rough", [True, False])
def test_sightings_have_a_row_for_each_draw_and_station(is_rough):
    sides = optics_of(demo(1))
    rng = np.random.default_rng(1)
    factors = [0.9 + 0.2 * rng.random((4, len(side.names))) for side in sides]
    thicker = np.array([[1.0, 1.0], [1.05, 1.05], [0.95, 1.05], [1.0, 1.0]])
    found = traced().sightings(sides, STATIONS, factors, thicker=thicker, is_rough=is_rough)
    for name in ("back", "belly", "upper", "lower", "back_alone", "belly_alone"):
        light = getattr(found, name)
        assert light.shape == (4, 2, 3)
        assert np.all((light >= 0) & (light <= 1.1)), name  # X and Z of white are 0.95 and 1.09
    for hiding in (found.back_hiding, found.belly_hiding):
        assert hiding.shape == (4, 2)
        assert np.all((hiding >= 0) & (hiding <= 1))


def test_a_rough_sighting_is_near_the_exact_one():
    sides = optics_of(demo(3))
    rough, exact = (traced().sightings(sides, STATIONS, is_rough=each) for each in (True, False))
    for name in ("back", "belly", "upper", "lower"):
        assert getattr(rough, name) == pytest.approx(getattr(exact, name), abs=5e-3)


def test_a_sighting_is_the_middle_of_the_picture():
    sides = optics_of(two_colours(BROWN, PALE))
    found = traced().sightings(sides, STATIONS)
    light = traced().xyz(sides, View.BACK.angle, in_air(Setting(backdrop=Backdrop.GREY)))
    column = light[:, 80]  # at 0.4 of 40 mm
    rows = np.arange(len(column)) - (len(column) - 1) / 2
    middle = np.abs(rows) * traced().pixel < 0.6 * 3.28e-3
    assert found.back[0, 0] == pytest.approx(column[middle].mean(axis=0), abs=0.01)


def test_a_half_alone_is_a_bait_of_it_throughout():
    both, back = (optics_of(two_colours(BROWN, each)) for each in (PALE, BROWN))
    np.testing.assert_allclose(
        traced().sightings(both, STATIONS).back_alone,
        traced().sightings(back, STATIONS).back,
        atol=1e-6,
    )


def test_thicker_stations_let_less_of_the_grey_through():
    sides = optics_of(two_colours((drops("Soot", 1),), (drops("Soot", 1),)))
    found = traced().sightings(sides, STATIONS, thicker=np.array([[0.7, 0.7]]))
    thick = traced().sightings(sides, STATIONS, thicker=np.array([[1.4, 1.4]]))
    assert np.all(thick.back[..., 1] < found.back[..., 1])


def test_absorption_and_reduced_scattering_are_the_sums_over_the_parts():
    sides = optics_of(demo(3))
    absorption, reduced = transport(sides)
    assert absorption.shape == reduced.shape == (1, WAVELENGTHS.size, 2)
    for number, side in enumerate(sides):
        assert absorption[0, :, number] == pytest.approx(side.absorption.sum(axis=0))
        forward = side.anisotropy[:, None]
        wanted = (side.scattering * (1 - forward)).sum(axis=0)
        assert reduced[0, :, number] == pytest.approx(wanted)


def test_a_bait_by_lamp_light_is_warmer_to_an_eye_used_to_daylight():
    sides = optics_of(demo(3))
    used, cast = (
        seen(sides, illuminant=Illuminant.LAMP, adapts=each).mean(axis=(0, 1))
        for each in (True, False)
    )
    assert cast[0] - cast[2] > used[0] - used[2] + 0.1


@pytest.mark.parametrize("quality", list(Quality))
def test_only_the_final_table_is_not_provisional(quality):
    assert traced(quality).is_provisional is (quality is not Quality.FINAL)


def test_views_that_were_drawn_are_kept_and_not_without_end():
    renderer = TracedRenderer(
        body=spindle(), response=quick_table(), quality=Quality.PREVIEW, error=ERROR,
        pixel=1e-3,
    )  # fmt: skip
    first = renderer.frame(0.1)
    assert renderer.frame(0.1) is first
    for angle in np.linspace(0.2, 3.0, 17):
        renderer.frame(float(angle))
    assert renderer.frame(0.1) is not first


def test_an_outline_passes_evenly_into_a_round_section():
    ends = (
        station(12, 4, 3, SectionShape.OUTLINE, position=0.0),
        station(12, 6, 6, position=1.0),
    )
    body = bait_body(mould_of(*ends))
    half = (body.radius[0] + body.radius[-1]) / 2
    assert body.radius[PLACES // 2] == pytest.approx(half)
    assert body.radius[-1] == pytest.approx(np.ones_like(half))
    right = body.outline(0.0) * body.reference * 1e3
    corner = np.hypot(right[:, 0] - 4, right[:, 1] - 4).min()
    assert corner < 0.1  # mm; its flat top ends there
