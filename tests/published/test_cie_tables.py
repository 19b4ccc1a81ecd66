"""CIE tables and colour conversions against the library colour-science."""

import warnings

import numpy as np
import pytest

from partline.data.cie import D65, OBSERVER, WAVELENGTHS
from partline.physics.colorimetry import (
    RGB_TO_XYZ,
    WEIGHTS,
    WHITE,
    reflectance_to_xyz,
    srgb_to_xyz,
    xyz_to_lab,
    xyz_to_srgb,
)


@pytest.fixture(scope="module")
def library():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns that it has no plotting library
        import colour

    return colour


@pytest.fixture
def spectra():
    return np.random.default_rng(3).uniform(0.02, 0.95, (50, 31))


@pytest.mark.published(
    law="CIE 1931 2° standard observer",
    source="CIE 018:2019, as held by colour-science",
    where="1 nm table at 400, 410 … 700 nm",
)
def test_the_observer_is_the_published_one(library, deviation):
    table = library.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    theirs = np.array([table[nm] for nm in np.round(WAVELENGTHS * 1e9)])
    worst = np.abs(OBSERVER - theirs).max()
    deviation(worst)
    assert worst < 1e-9  # nine decimals are kept


@pytest.mark.published(
    law="CIE standard illuminant D65",
    source="CIE 015:2018, as held by colour-science",
    where="5 nm table at 400, 410 … 700 nm",
)
def test_daylight_is_the_published_one(library, deviation):
    table = library.SDS_ILLUMINANTS["D65"]
    theirs = np.array([table[nm] for nm in np.round(WAVELENGTHS * 1e9)])
    worst = np.abs(D65 - theirs).max()
    deviation(worst)
    assert worst < 1e-9


@pytest.mark.published(
    law="White point of D65",
    source="CIE 015:2018",
    where="x 0.31272, y 0.32903 for the 2° observer, 380 to 780 nm",
)
def test_white_on_our_grid_is_daylight_white(deviation):
    found = WHITE[:2] / WHITE.sum()
    worst = np.abs(found - [0.31272, 0.32903]).max()
    deviation(worst)
    assert worst < 3e-4  # what the grid leaves out below 400 and above 700 nm


@pytest.mark.published(
    law="Reflectance to XYZ",
    source="colour-science",
    where="sd_to_XYZ by integration over the same 31 wavelengths",
)
def test_spectra_sum_to_the_same_tristimulus_values(library, spectra, deviation):
    shape = library.SpectralShape(400, 700, 10)
    observer = library.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    daylight = library.SDS_ILLUMINANTS["D65"].copy().align(shape)
    theirs = (
        library.msds_to_XYZ(spectra, observer, daylight, method="Integration", shape=shape) / 100
    )
    worst = np.abs(reflectance_to_xyz(spectra) - theirs).max()
    deviation(worst)
    assert worst < 1e-8  # the observer's ninth decimal


@pytest.mark.published(
    law="CIELAB", source="colour-science", where="XYZ_to_Lab with our white, dark colours included"
)
def test_lab_agrees_with_the_library(library, spectra, deviation):
    xyz = reflectance_to_xyz(np.concatenate([spectra, spectra * 0.005]))
    white = WHITE / WHITE.sum()
    theirs = library.XYZ_to_Lab(xyz, white[:2])
    worst = np.abs(xyz_to_lab(xyz) - theirs).max()
    deviation(worst)
    assert worst < 1e-9  # rounding


@pytest.mark.published(
    law="sRGB",
    source="IEC 61966-2-1:1999 (matrix from memory)",
    where="XYZ to linear RGB, four decimals",
)
def test_the_screen_matrix_is_the_standard_one(deviation):
    standard = [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
    worst = np.abs(np.linalg.inv(RGB_TO_XYZ) - standard).max()
    deviation(worst)
    # The standard inverted a matrix that was rounded first: its third column moves by 4e-4.
    assert worst < 5e-4


@pytest.mark.published(law="sRGB", source="colour-science", where="XYZ_to_sRGB and back")
def test_screen_colours_agree_with_the_library(library, deviation):
    rgb = np.random.default_rng(5).uniform(0.0, 1.0, (200, 3))
    white = RGB_TO_XYZ.sum(axis=1)
    xyz = srgb_to_xyz(rgb, white)
    theirs = library.sRGB_to_XYZ(rgb)
    back = xyz_to_srgb(xyz, white)
    worst = np.abs(xyz - theirs).max()
    deviation(worst)
    assert worst < 1e-4  # the library uses the standard's rounded matrix
    assert np.abs(back.rgb - rgb).max() < 1e-12
    assert not back.is_clipped.any()


@pytest.mark.published(
    law="Weighting", source="CIE 015:2018, section 7.1", where="k: Y of a perfect reflector is 1"
)
def test_a_perfect_reflector_is_white(deviation):
    deviation(abs(WEIGHTS[:, 1].sum() - 1))
    assert WEIGHTS[:, 1].sum() == pytest.approx(1.0, abs=1e-15)
    assert xyz_to_lab(WHITE) == pytest.approx(np.array([100.0, 0.0, 0.0]), abs=1e-12)
    assert xyz_to_srgb(WHITE).rgb == pytest.approx(np.ones(3), abs=1e-12)
