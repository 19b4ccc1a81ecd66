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
from partline.process.appearance import media_of, solver_for
from partline.process.cavity import profile
from partline.process.rendering import (
    PICTURE_NODES,
    Backdrop,
    PictureError,
    SlabRenderer,
    View,
)
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

RENDERER = SlabRenderer()
BROWN, PALE = (drops("Peat", 9),), (drops("Chalk", 5),)


def rod(diameter: float, length: float = 0.02):
    """A round bar: every column of its picture is alike."""
    ends = [station(diameter, diameter / 2, diameter / 2, position=x) for x in (0.0, 1.0)]
    return mould_of(*ends, length=length)


def lab(rgb):
    return xyz_to_lab(srgb_to_xyz(rgb))


def covered(picture, backdrop: Backdrop) -> int:
    """Pixels that are not bare card."""
    bare = picture[0, 0]
    return int(np.sum(np.any(np.abs(picture - bare) > 1e-9, axis=2)))


@pytest.mark.parametrize("version", [1, 2, 3])
def test_a_picture_is_made_of_colours_a_screen_can_show(version):
    pictures = RENDERER.pictures(optics_of(demo(version)), mould())
    assert set(pictures) == {(view, backdrop) for view in View for backdrop in Backdrop}
    for picture in pictures.values():
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
    seen = solver.reflectance(media, order, depths, backdrop.reflectance)
    return xyz_to_srgb(reflectance_to_xyz(seen.normal)).rgb


@pytest.mark.parametrize("backdrop", list(Backdrop))
@pytest.mark.parametrize(
    ("name", "stock"), [("demo", "vessary-shed"), *((each, "lessons") for each in LESSON_NAMES)]
)
def test_the_table_gives_the_colours_of_direct_solves(name, stock, backdrop):
    recipe = demo(3) if name == "demo" else lesson(name)
    sides = optics_of(recipe, shelf(stock))
    apart = []
    for body in (wedge((0.2, 0.2), (6.0, 6.0)), wedge((0.2, 6.0), (6.0, 0.2))):
        picture = RENDERER.pictures(sides, body)[View.BACK, backdrop]
        middle = picture[picture.shape[0] // 2]  # half a pixel off the axis of 12 mm
        along = profile(body, (np.arange(len(middle)) + 0.5) / len(middle))
        depths = np.stack([along.back_half, along.belly_half], axis=1)
        apart.append(ciede2000(lab(middle), lab(direct(sides, depths, backdrop))))
    # Stated for the table of 20 × 20 depths over the examples: ΔE00 0.3 at the 95th percentile
    # and 1.0 at worst, well under the picture's own error of 3.7 in the median.
    difference = np.concatenate(apart)
    assert np.percentile(difference, 95) < 0.3
    assert difference.max() < 1.0


@pytest.mark.parametrize("recipe", [two_colours(BROWN, PALE), one_colour(*PALE)])
def test_the_middle_of_a_rod_is_the_slab_of_its_diameter(recipe):
    sides = optics_of(recipe)
    for backdrop in Backdrop:
        picture = RENDERER.pictures(sides, rod(8.0))[View.BACK, backdrop]
        rows = picture.shape[0]
        middle = picture[rows // 2 - 1 : rows // 2 + 1, 20].mean(axis=0)
        wanted = direct(sides, np.array([[4e-3, 4e-3]]), backdrop)[0]
        # Half a pixel off the axis of 8 mm, and the table: each well below ΔE00 0.3.
        assert ciede2000(lab(middle), lab(wanted)) < 0.6


def test_a_clear_bait_shows_what_lies_behind_it():
    pictures = RENDERER.pictures(optics_of(two_colours((), ())), rod(4.0))
    over = [pictures[View.BACK, each] for each in Backdrop]
    middle = over[0].shape[0] // 2
    assert over[0][middle, 20].mean() > over[1][middle, 20].mean() + 0.2


def test_an_opaque_bait_looks_the_same_over_pale_and_dark():
    loading = (drops("Soot", 60),)
    pictures = RENDERER.pictures(optics_of(two_colours(loading, loading)), rod(12.0))
    over = [pictures[View.BACK, each] for each in Backdrop]
    middle = over[0].shape[0] // 2
    difference = ciede2000(lab(over[0][middle, 20]), lab(over[1][middle, 20]))
    assert difference < 0.8  # definitions.md: the same to half of observers


@pytest.mark.parametrize("view", list(View))
def test_a_wider_bait_covers_more_of_the_card(view):
    sides = optics_of(two_colours(BROWN, PALE))
    counts = [
        covered(RENDERER.pictures(sides, rod(width))[view, Backdrop.PALE], Backdrop.PALE)
        for width in (3.0, 6.0, 9.0, 12.0)
    ]
    assert counts == sorted(set(counts))


def test_a_bait_covers_as_many_square_millimetres_as_it_has():
    pictures = RENDERER.pictures(optics_of(two_colours(BROWN, PALE)), rod(9.0, length=0.03))
    picture = pictures[View.SIDE, Backdrop.DARK]
    area = covered(picture, Backdrop.DARK) * RENDERER.pixel**2
    # A pixel that is half covered counts whole: at most one row at each edge.
    assert area == pytest.approx(9e-3 * 0.03, abs=2 * RENDERER.pixel * 0.03 * 1.01)


def test_what_is_not_bait_is_bare_card():
    for (_, backdrop), picture in RENDERER.pictures(optics_of(demo(3)), mould()).items():
        grey = picture[0, 0]
        assert np.ptp(grey) < 0.005  # a grey card has one value; the white point's last digits
        assert bool(grey.mean() > 0.5) is (backdrop is Backdrop.PALE)


def test_from_the_side_the_back_is_up():
    picture = RENDERER.pictures(optics_of(two_colours(BROWN, PALE)), rod(12.0))[
        View.SIDE, Backdrop.PALE
    ]
    middle = picture.shape[0] // 2
    above, below = picture[middle - 15, 20], picture[middle + 14, 20]
    assert lab(above)[0] < lab(below)[0] - 20  # brown is far darker than chalk


def test_each_view_shows_its_own_side_first():
    pictures = RENDERER.pictures(optics_of(two_colours(BROWN, PALE)), rod(12.0))
    middle = pictures[View.BACK, Backdrop.PALE].shape[0] // 2
    back, belly = (
        lab(pictures[view, Backdrop.PALE][middle, 20])[0] for view in (View.BACK, View.BELLY)
    )
    assert back < belly - 20


def test_a_one_colour_bait_is_the_same_from_every_side():
    pictures = RENDERER.pictures(optics_of(one_colour(*PALE)), rod(10.0))
    views = [pictures[view, Backdrop.PALE] for view in View]
    for other in views[1:]:
        # Where the line would lie, the table is read elsewhere: less than half a step of 8 bits.
        np.testing.assert_allclose(views[0], other, atol=0.5 / 255)


def test_the_left_flank_looks_like_the_right_one():
    for view in (View.BACK, View.BELLY):
        picture = RENDERER.pictures(optics_of(demo(1)), mould())[view, Backdrop.DARK]
        np.testing.assert_allclose(picture, picture[::-1], atol=1e-9)


@pytest.mark.parametrize("shape", list(SectionShape))
def test_every_shape_of_section_is_drawn(shape):
    width, back, belly = (10, 5, 5) if shape is SectionShape.ROUND else (10, 3, 2)
    ends = [station(width, back, belly, shape, position=x) for x in (0.2, 1.0)]
    for picture in RENDERER.pictures(
        optics_of(two_colours(BROWN, PALE)), mould_of(*ends)
    ).values():
        assert np.all(np.isfinite(picture))


def test_the_picture_says_that_it_is_provisional_and_how_far_off():
    assert RENDERER.is_provisional
    assert (RENDERER.error.median, RENDERER.error.high) == (3.7, 12.0)  # physics.md section 2
    assert "path tracing" in RENDERER.error.source


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
    pictures = RENDERER.pictures(optics_of(demo(1)), tiny)
    assert all(np.all(np.isfinite(picture)) for picture in pictures.values())
