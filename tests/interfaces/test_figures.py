"""Pictures as PNG and SVG: what is in them, and that a name is never markup."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from math import pi
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from partline.interfaces.figures import bait_png, section_svg
from partline.interfaces.figures.section import hex_colour
from partline.materials.mould import SectionShape
from tests.process.shed import station

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


@pytest.mark.parametrize("shape", list(SectionShape))
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
