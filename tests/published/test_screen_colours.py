"""Colours that a maker writes, against a reference library."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from partline.services.matching import read_colour

CODES = ("6b5a33", "ffffff", "000000", "a02020", "12f0c8", "808080")


@pytest.mark.published(
    law="Screen colour to CIELAB",
    source="colour-science",
    where="sRGB_to_XYZ, then XYZ_to_Lab under D65",
)
@pytest.mark.parametrize("code", CODES)
def test_a_screen_colour_is_what_the_library_says(code, deviation):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns that it has no plotting library
        import colour
    rgb = np.array([int(code[place : place + 2], 16) / 255 for place in (0, 2, 4)])
    lab = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(rgb), [0.3127, 0.3290])
    off = float(np.abs(np.array(read_colour(f"#{code}").lab) - lab).max())
    deviation(off)
    # Our white is a sum over 31 wavelengths; the standard rounds its matrix to four digits.
    assert off < 0.05
