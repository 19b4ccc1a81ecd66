"""Pictures as PNG and SVG: what is in them, and that a name is never markup."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from math import pi
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from partline.interfaces.figures import Facing, bait_png, body_svg, section_svg
from partline.interfaces.figures.section import hex_colour
from partline.materials.mould import SectionPoint, SectionShape
from partline.process.cavity import profile
from tests.process.shed import mould, station

SVG = "{http://www.w3.org/2000/svg}"
BROWN, PALE = (0.4, 0.2, 0.1), (0.9, 0.9, 0.7)


def opened(png: bytes) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(png)))


def test_a_png_shows_the_colours_it_was_given():
    rng = np.random.default_rng(2)
    srgb = rng.uniform(0, 1, (7, 11, 3))
    shown = opened(bait_png(srgb))
    assert shown.shape == (7, 11, 3)
    # Eight bits: off by at most half a step, and PNG loses nothing.
    assert np.abs(shown / 255 - srgb).max() <= 0.5 / 255 + 1e-9


def test_what_a_screen_cannot_show_is_clipped_and_does_not_wrap():
    shown = opened(bait_png(np.array([[[-0.3, 0.5, 1.7]]])))
    assert shown[0, 0].tolist() == [0, 128, 255]


def test_an_enlarged_picture_is_the_same_bait_on_more_pixels():
    srgb = np.full((4, 6, 3), 0.25)
    shown = opened(bait_png(srgb, enlarged=3))
    assert shown.shape == (12, 18, 3)
    assert np.ptp(shown) == 0


def test_the_same_picture_is_the_same_file():
    srgb = np.linspace(0, 1, 60).reshape(4, 5, 3)
    assert bait_png(srgb) == bait_png(srgb.copy())


def paths_of(svg: str) -> list[ET.Element]:
    return ET.fromstring(svg).findall(f"{SVG}path")


KEEL = tuple(
    SectionPoint(across=across * 1e-3, up=up * 1e-3)
    for across, up in ((0, 4.2), (3.1, 3.4), (5, 0.5), (4, -2), (0, -5))
)


def drawn(path: ET.Element) -> np.ndarray:
    """Corners of a path of straight lines, shape (points, 2)."""
    words = (path.get("d") or "").replace("M", "").replace("L", "").replace("Z", "").split()
    return np.array(words, dtype=float).reshape(-1, 2)


def area(corners: np.ndarray) -> float:
    x, y = corners.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def test_a_cut_of_an_outline_is_its_points_on_both_flanks_parted_at_the_line():
    shaped = replace(station(10, 4.2, 5, SectionShape.OUTLINE), points=KEEL)
    back, belly, line = paths_of(section_svg(shaped, BROWN, PALE, largest=0.01))
    # On the line the flank lies between (5, 0.5) and (4, −2): 4.8 mm out.
    assert line.get("d") == "M -48.00 0 H 48.00"
    assert [drawn(each)[0, 0] for each in (back, belly)] == [-48, 48]
    # Ten units a millimetre. By strips on one flank: 0.5·3.1·0.8 + 0.5·8.1·2.9 + 0.5·9.8·0.5
    # above the line, and 0.5·8.8·2 + 0.5·4·3 below it.
    areas = [area(drawn(each)) / 100 for each in (back, belly)]
    assert areas == pytest.approx([2 * 15.435, 2 * 14.8], abs=0.001)
    for corners in (drawn(back), drawn(belly)):
        assert corners[:, 0] == pytest.approx(-corners[::-1, 0])
        assert corners[:, 1] == pytest.approx(corners[::-1, 1])


def test_a_cut_whose_line_lies_off_its_middle_fits_its_frame():
    svg = section_svg(station(6, 10, 2, SectionShape.ELLIPTIC), BROWN, PALE, largest=0.012)
    _, top, _, height = (float(x) for x in (ET.fromstring(svg).get("viewBox") or "").split())
    assert top <= -100
    assert top + height >= 20


def test_a_cut_without_colours_carries_the_pages_own_marks():
    back, belly, _ = paths_of(section_svg(station(10, 3, 2), None, None, largest=0.012))
    assert (back.get("class"), belly.get("class")) == ("body-back", "body-belly")
    assert back.get("fill") is None


@pytest.mark.parametrize("shape", [each for each in SectionShape if each != "outline"])
def test_a_cut_shows_both_halves_in_their_colours_and_the_line(shape):
    back, belly, line = paths_of(section_svg(station(10, 3, 2, shape), BROWN, PALE, largest=0.012))
    assert (back.get("fill"), belly.get("fill")) == ("#66331a", "#e6e6b2")
    assert line.get("fill") == "none"
    assert (" A " in f" {belly.get('d')} ") is (shape is not SectionShape.FLAT_BOTTOMED)


def test_a_cut_is_drawn_to_scale():
    svg = section_svg(station(10, 3, 2, SectionShape.ELLIPTIC), BROWN, PALE, largest=0.012)
    words = (paths_of(svg)[0].get("d") or "").split()
    half_width, height = float(words[words.index("A") + 1]), float(words[words.index("A") + 2])
    assert half_width / height == pytest.approx(5 / 3, rel=0.001)  # two decimals of a tenth mm
    box = [float(x) for x in (ET.fromstring(svg).get("viewBox") or "").split()]
    assert box[2] / half_width == pytest.approx((12 + 1) / 5, rel=0.001)


def test_all_cuts_of_a_bait_share_one_scale():
    boxes = {
        ET.fromstring(section_svg(station(w, w / 2, w / 2), BROWN, PALE, largest=0.012)).get(
            "viewBox"
        )
        for w in (3.6, 7.0, 12.0)
    }
    assert len(boxes) == 1


def test_the_widest_cut_fits_its_frame():
    svg = section_svg(station(12, 6, 6), BROWN, PALE, largest=0.012)
    left = float((ET.fromstring(svg).get("viewBox") or "").split()[0])
    words = (paths_of(svg)[0].get("d") or "").split()
    assert float(words[1]) > left  # starts right of the frame's edge


@pytest.mark.parametrize("name", ['<script>alert("x")</script>', "a & b", 'it\'s "here"', "]]>"])
def test_a_stations_name_is_never_markup(name):
    svg = section_svg(replace(station(12, 6, 6), name=name), BROWN, PALE, largest=0.012)
    root = ET.fromstring(svg)
    title = root.find(f"{SVG}title")
    assert title is not None
    assert name in (title.text or "")
    assert name in (root.get("aria-label") or "")
    assert root.find(f".//{SVG}script") is None


def test_a_cut_says_in_words_what_it_shows():
    title = ET.fromstring(section_svg(station(12, 6, 5.5), BROWN, PALE, largest=0.012))
    assert title.get("aria-label") == (
        "Cut at the belly: 12.0 mm wide, back half 6.0 mm, belly half 5.5 mm."
    )


@pytest.mark.parametrize(
    ("colour", "written"),
    [
        ((0.0, 0.5, 1.0), "#0080ff"),
        ((-0.2, 1.3, 1 / 255), "#00ff01"),
        ((pi / 4, pi / 4, pi / 4), "#c8c8c8"),
    ],
)
def test_a_colour_is_written_as_a_screen_reads_it(colour, written):
    assert hex_colour(colour) == written


def body(facing: Facing, **changes: Any) -> ET.Element:
    fry = replace(mould("fry-75"), **changes)
    return ET.fromstring(body_svg(profile(fry), fry.stations, facing))


def outline(path: ET.Element) -> np.ndarray:
    """Points of a path of straight lines, in tenths of a millimetre, shape (points, 2)."""
    numbers = [float(word) for word in (path.get("d") or "").split() if word not in "MLZ"]
    return np.array(numbers).reshape(-1, 2)


def test_a_body_is_drawn_to_scale_from_both_sides():
    back = [each for each in body(Facing.BACK) if each.get("class") == "body-back"]
    side = {each.get("class"): each for each in body(Facing.SIDE)}
    wide, upper, lower = (
        outline(each) for each in (back[0], side["body-back"], side["body-belly"])
    )
    # fry-75 is 75 mm long, 12 mm wide at the tail, and its halves are at most 4 mm thick.
    assert np.ptp(wide[:, 0]) == pytest.approx(750, abs=0.1)
    assert np.ptp(wide[:, 1]) == pytest.approx(120, abs=0.1)
    assert upper[:, 1].min() == pytest.approx(-40, abs=0.2)  # the widest lies between two points
    assert lower[:, 1].max() == pytest.approx(40, abs=0.2)
    assert body(Facing.BACK).get("viewBox") == body(Facing.SIDE).get("viewBox")


def test_every_station_is_marked_at_its_place_and_told_in_words():
    svg = body(Facing.SIDE)
    marks = [each for each in svg if each.get("class") == "body-station"]
    places = [float((each.get("d") or "").split()[1]) for each in marks]
    assert places == pytest.approx([0.35 * 750, 0.85 * 750, 750], abs=0.1)
    assert "belly 8.0 mm" in (svg.get("aria-label") or "")


def test_a_name_is_never_markup_in_the_outline():
    fry = mould("fry-75")
    odd = (replace(fry.stations[0], name="<script>x</script>"), *fry.stations[1:])
    svg = body(Facing.BACK, stations=odd)
    assert svg.find(f".//{SVG}script") is None
    assert "<script>" in (svg.get("aria-label") or "")
