"""The provisional picture: what its table and its sightlines leave of a direct solve."""

from __future__ import annotations

import numpy as np
import pytest

from partline.materials.mould import SectionShape
from partline.physics.colorimetry import (
    reflectance_to_xyz,
    srgb_to_xyz,
    xyz_to_lab,
    xyz_to_srgb,
)
from partline.physics.colour_difference import ciede2000
from partline.physics.illuminant import Illuminant
from partline.process.appearance import media_of, solver_for
from partline.process.cavity import profile
from partline.process.rendering import (
    VIEWS,
    Backdrop,
    PictureError,
    Quality,
    Setting,
    View,
    pictures,
)
from partline.process.slab_renderer import PICTURE_NODES, SlabRenderer
from tests.process.shed import (
    LESSON_NAMES,
    demo,
    drops,
    lesson,
    mould,
    mould_of,
    one_colour,
    optics_of,
    shelf,
    station,
    two_colours,
)

SLABS = SlabRenderer()
BROWN, PALE = (drops("Peat", 9),), (drops("Chalk", 5),)


def rod(diameter: float, length: float = 0.02):
    """A round bar: every column of its picture is alike."""
    ends = [station(diameter, diameter / 2, diameter / 2, position=x) for x in (0.0, 1.0)]
    return mould_of(*ends, length=length)


def seen(sides, body, view: View = View.BACK, backdrop: Backdrop = Backdrop.PALE, **more):
    """One picture by slabs."""
    return SLABS.picture(sides, body, Setting(angle=view.angle, backdrop=backdrop, **more))


def lab(rgb):
    return xyz_to_lab(srgb_to_xyz(rgb))


def covered(picture) -> int:
    """Pixels that are not bare card."""
    bare = picture[0, 0]
    return int(np.sum(np.any(np.abs(picture - bare) > 1e-9, axis=2)))


@pytest.mark.parametrize("version", [1, 2, 3])
def test_a_picture_is_made_of_colours_a_screen_can_show(version):
    drawn = pictures(SLABS, optics_of(demo(version)), mould())
    cards = (Backdrop.PALE, Backdrop.DARK)
    assert set(drawn) == {(view, backdrop) for view in VIEWS for backdrop in cards}
    for picture in drawn.values():
        assert picture.shape[2] == 3
        assert np.all((picture >= 0) & (picture <= 1))


def wedge(first: tuple[float, float], last: tuple[float, float]):
    """A bar 12 mm wide whose halves run from one pair of thicknesses to another."""
    return mould_of(
        station(12, *first, SectionShape.ELLIPTIC, position=0.0),
        station(12, *last, SectionShape.ELLIPTIC, position=1.0),
    )


def direct(sides, depths, backdrop: Backdrop):
    """Colour of stacked slabs, solved for these depths and no others."""
    solver = solver_for(sides, PICTURE_NODES)
    media = media_of(solver, sides)
    order = np.tile([[0, len(sides) - 1]], (len(depths), 1))
    found = solver.reflectance(media, order, depths, backdrop.reflectance)
    return xyz_to_srgb(reflectance_to_xyz(found.normal)).rgb


@pytest.mark.parametrize("backdrop", list(Backdrop))
@pytest.mark.parametrize(
    ("name", "stock"), [("demo", "vessary-shed"), *((each, "lessons") for each in LESSON_NAMES)]
)
def test_the_table_gives_the_colours_of_direct_solves(name, stock, backdrop):
    recipe = demo(3) if name == "demo" else lesson(name)
    sides = optics_of(recipe, shelf(stock))
    apart = []
    for body in (wedge((0.2, 0.2), (6.0, 6.0)), wedge((0.2, 6.0), (6.0, 0.2))):
        picture = seen(sides, body, backdrop=backdrop)
        middle = picture[picture.shape[0] // 2]  # half a pixel off the axis of 12 mm
        along = profile(body, (np.arange(len(middle)) + 0.5) / len(middle))
        depths = np.stack([along.back_half, along.belly_half], axis=1)
        apart.append(ciede2000(lab(middle), lab(direct(sides, depths, backdrop))))
    # Stated for the table of 20 × 20 depths over the examples: ΔE00 0.3 at the 95th percentile
    # and 1.5 at worst (a film of soot under 0.2 mm, blended in light), well under the picture's
    # own error in the median.
    difference = np.concatenate(apart)
    assert np.percentile(difference, 95) < 0.3
    assert difference.max() < 1.5


@pytest.mark.parametrize("recipe", [two_colours(BROWN, PALE), one_colour(*PALE)])
def test_the_middle_of_a_rod_is_the_slab_of_its_diameter(recipe):
    sides = optics_of(recipe)
    for backdrop in Backdrop:
        picture = seen(sides, rod(8.0), backdrop=backdrop)
        rows = picture.shape[0]
        middle = picture[rows // 2 - 1 : rows // 2 + 1, 20].mean(axis=0)
        wanted = direct(sides, np.array([[4e-3, 4e-3]]), backdrop)[0]
        # Half a pixel off the axis of 8 mm, and the table: each well below ΔE00 0.3.
        assert ciede2000(lab(middle), lab(wanted)) < 0.6


def test_a_clear_bait_shows_what_lies_behind_it():
    sides = optics_of(two_colours((), ()))
    pale, grey, dark = (
        seen(sides, rod(4.0), backdrop=each)
        for each in (Backdrop.PALE, Backdrop.GREY, Backdrop.DARK)
    )
    middle = pale.shape[0] // 2
    assert pale[middle, 20].mean() > grey[middle, 20].mean() + 0.1
    assert grey[middle, 20].mean() > dark[middle, 20].mean() + 0.1


def test_an_opaque_bait_looks_the_same_over_pale_and_dark():
    loading = (drops("Soot", 60),)
    sides = optics_of(two_colours(loading, loading))
    over = [seen(sides, rod(12.0), backdrop=each) for each in (Backdrop.PALE, Backdrop.DARK)]
    middle = over[0].shape[0] // 2
    difference = ciede2000(lab(over[0][middle, 20]), lab(over[1][middle, 20]))
    assert difference < 0.8  # definitions.md: the same to half of observers


@pytest.mark.parametrize("view", VIEWS)
def test_a_wider_bait_covers_more_of_the_card(view):
    sides = optics_of(two_colours(BROWN, PALE))
    counts = [covered(seen(sides, rod(width), view)) for width in (3.0, 6.0, 9.0, 12.0)]
    assert counts == sorted(set(counts))


def test_a_bait_covers_as_many_square_millimetres_as_it_has():
    sides, body = optics_of(two_colours(BROWN, PALE)), rod(9.0, length=0.03)
    area = covered(seen(sides, body, View.SIDE, Backdrop.DARK)) * SLABS.pixel**2
    # A pixel that is half covered counts whole: at most one row at each edge.
    assert area == pytest.approx(9e-3 * 0.03, abs=2 * SLABS.pixel * 0.03 * 1.01)


def test_what_is_not_bait_is_bare_card():
    sides = optics_of(demo(3))
    for view in VIEWS:
        for backdrop in Backdrop:
            bare = seen(sides, mould(), view, backdrop)[0, 0]
            assert np.ptp(bare) < 0.005  # a card has one value; the white point's last digits
            assert srgb_to_xyz(bare)[1] == pytest.approx(backdrop.reflectance, abs=2e-3)


def test_a_pixel_that_is_half_bait_mixes_light_not_screen_values():
    # A body 5.5 pixels either side of the axis: its outermost row is half bait, half card.
    loading = (drops("Soot", 60),)
    body = rod(2 * 5.5 * SLABS.pixel * 1e3)
    picture = seen(optics_of(two_colours(loading, loading)), body)
    light = srgb_to_xyz(picture[:, 20])[:, 1]
    edge = int(np.flatnonzero(np.abs(light - light[0]) > 1e-6)[0])
    share = (light[0] - light[edge]) / (light[0] - light[edge + 1])
    assert share == pytest.approx(0.5, abs=0.02)  # soot is as dark in one pixel as in the next


@pytest.mark.parametrize("illuminant", list(Illuminant))
def test_a_card_looks_white_to_an_eye_used_to_the_light(illuminant):
    bare = seen(optics_of(demo(1)), mould(), illuminant=illuminant)[0, 0]
    assert np.hypot(*lab(bare)[1:]) < 1.0


def test_a_card_by_a_lamp_is_warmer_to_an_eye_used_to_daylight():
    bare = seen(optics_of(demo(1)), mould(), illuminant=Illuminant.LAMP, adapts=False)[0, 0]
    assert bare[0] > bare[1] > bare[2] + 0.2
    assert lab(bare)[2] > 30  # yellow


@pytest.mark.parametrize(
    ("degrees", "nearest"),
    [(10, View.BACK), (44, View.BACK), (46, View.SIDE), (130, View.SIDE), (140, View.BELLY)],
)
def test_an_unusual_angle_is_shown_as_the_nearest_usual_view(degrees, nearest):
    sides, body = optics_of(two_colours(BROWN, PALE)), rod(10.0)
    turned = SLABS.picture(sides, body, Setting(angle=np.radians(degrees)))
    np.testing.assert_array_equal(turned, seen(sides, body, nearest))


def test_slabs_know_no_gloss():
    sides, body = optics_of(demo(1)), rod(10.0)
    np.testing.assert_array_equal(seen(sides, body, has_gloss=True), seen(sides, body))


def test_from_the_side_the_back_is_up():
    picture = seen(optics_of(two_colours(BROWN, PALE)), rod(12.0), View.SIDE)
    middle = picture.shape[0] // 2
    above, below = picture[middle - 15, 20], picture[middle + 14, 20]
    assert lab(above)[0] < lab(below)[0] - 20  # brown is far darker than chalk


def test_each_view_shows_its_own_side_first():
    sides = optics_of(two_colours(BROWN, PALE))
    back, belly = (seen(sides, rod(12.0), view) for view in (View.BACK, View.BELLY))
    middle = back.shape[0] // 2
    assert lab(back[middle, 20])[0] < lab(belly[middle, 20])[0] - 20


def test_a_one_colour_bait_is_the_same_from_every_side():
    sides = optics_of(one_colour(*PALE))
    views = [seen(sides, rod(10.0), view) for view in VIEWS]
    for other in views[1:]:
        # Where the line would lie, the table is read elsewhere: less than half a step of 8 bits.
        np.testing.assert_allclose(views[0], other, atol=0.5 / 255)


def test_the_left_flank_looks_like_the_right_one():
    for view in (View.BACK, View.BELLY):
        picture = seen(optics_of(demo(1)), mould(), view, Backdrop.DARK)
        np.testing.assert_allclose(picture, picture[::-1], atol=1e-9)


@pytest.mark.parametrize("shape", list(SectionShape))
def test_every_shape_of_section_is_drawn(shape):
    width, back, belly = (10, 5, 5) if shape is SectionShape.ROUND else (10, 3, 2)
    ends = [station(width, back, belly, shape, position=x) for x in (0.2, 1.0)]
    sides = optics_of(two_colours(BROWN, PALE))
    for picture in pictures(SLABS, sides, mould_of(*ends)).values():
        assert np.all(np.isfinite(picture))


def test_the_picture_says_that_it_is_provisional_and_how_far_off():
    assert SLABS.is_provisional
    assert SLABS.quality is Quality.SLAB
    assert (SLABS.error.median, SLABS.error.high) == (5.1, 16.5)  # benchmarks/bench_look.py
    assert "path tracing" in SLABS.error.source


def test_eighty_percent_of_errors_lie_between_the_median_and_the_95th_percentile():
    error = PictureError(median=3.7, high=12.0, source="")
    rng = np.random.default_rng(5)
    sigma = np.log(12.0 / 3.7) / 1.6449
    drawn = np.exp(np.log(3.7) + sigma * rng.standard_normal(200_000))
    # 200 000 draws of this spread place a percentile within about 1 %.
    assert error.eighty_percent == pytest.approx(np.percentile(drawn, 80), rel=0.02)
    assert PictureError(median=0.0, high=0.0, source="").eighty_percent == 0.0


def test_a_bait_of_a_few_pixels_is_still_drawn():
    tiny = mould_of(station(0.4, 0.2, 0.2), length=0.01)
    drawn = pictures(SLABS, optics_of(demo(1)), tiny)
    assert all(np.all(np.isfinite(picture)) for picture in drawn.values())
