"""Refractive indices by wavelength."""

import numpy as np
import pytest

from partline.data.cie import WAVELENGTHS
from partline.errors import OutOfRange
from partline.physics.dispersion import LINE_D, plastic_index, salt_index, water_index


@pytest.mark.parametrize(
    "index", [salt_index, water_index, lambda each: plastic_index(1.494, each)]
)
def test_blue_is_bent_more_than_red(index):
    assert np.all(np.diff(index(WAVELENGTHS)) < 0)


def test_a_plastic_has_its_own_index_at_the_d_line():
    assert plastic_index(1.494, LINE_D) == pytest.approx(1.494, abs=1e-12)


@pytest.mark.parametrize("wavelength", [0.1e-6, 3e-6, float("nan")])
def test_water_is_known_in_a_window_only(wavelength):
    with pytest.raises(OutOfRange, match=r"0\.2 to 1\.9"):
        water_index(wavelength)
