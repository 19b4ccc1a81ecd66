"""Many recipes at once look as each by itself."""

import numpy as np
import pytest

from partline.physics.colorimetry import xyz_to_lab
from partline.process.rendering import PictureError, Quality
from partline.process.traced import TracedRenderer, transport
from partline.process.traced_colours import TOGETHER, TracedColours
from tests.physics.response.bodies import quick_table, spindle
from tests.process.shed import demo, optics_of, station

STATION = station(6.6, 3.3, 3.3)


def colours() -> TracedColours:
    renderer = TracedRenderer(
        body=spindle(), response=quick_table(), quality=Quality.FINAL,
        error=PictureError(median=1.0, high=2.0, source="a quick table"),
    )  # fmt: skip
    return TracedColours(renderer=renderer, station=STATION)


def test_back_and_belly_are_those_of_the_look():
    model = colours()
    sides = optics_of(demo(3))
    seen = model.renderer.sightings(sides, [STATION])
    found = model.lab(*transport(sides))[0]
    for place, xyz in enumerate((seen.back, seen.belly)):
        # The look's tables and these are the same; single precision is between them.
        assert found[place] == pytest.approx(xyz_to_lab(xyz[0, 0]), abs=2e-3)


def test_any_number_of_recipes_gives_the_colours_of_each():
    model = colours()
    absorption, reduced = transport(optics_of(demo(3)))
    factors = np.linspace(0.3, 3.0, TOGETHER + 5)[:, None, None]
    together = model.lab(absorption * factors, reduced * factors)
    for number in (0, 7, TOGETHER + 4):
        alone = model.lab(absorption * factors[number], reduced * factors[number])[0]
        assert together[number] == pytest.approx(alone, abs=2e-3)


def test_every_second_wavelength_is_nearly_all_of_them():
    model = colours()
    absorption, reduced = transport(optics_of(demo(3)))
    coarse = model.lab(absorption[:, ::2], reduced[:, ::2])
    assert coarse == pytest.approx(model.lab(absorption, reduced), abs=0.6)
