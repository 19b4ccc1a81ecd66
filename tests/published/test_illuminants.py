"""Lights, and the way from one to another, against the CIE and the library colour-science."""

import warnings

import numpy as np
import pytest

from partline.data.cie import DAYLIGHT, LED_B1, LED_B5, WAVELENGTHS
from partline.physics.colorimetry import WHITE, adapted_xyz, reflectance_to_xyz
from partline.physics.illuminant import (
    Illuminant,
    daylight_chromaticity,
    daylight_power,
    filament_power,
    illuminant_power,
    illuminant_weights,
)

NM = np.round(WAVELENGTHS * 1e9)
# What our grid leaves out below 400 and above 700 nm moves a chromaticity by so much.
GRID = 4e-4


@pytest.fixture(scope="module")
def library():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns that it has no plotting library
        import colour

    return colour


@pytest.mark.published(
    law="CIE daylight components",
    source="CIE 015:2018, as held by colour-science",
    where="S0, S1, S2 at 400, 410 … 700 nm",
)
def test_the_components_of_daylight_are_the_published_ones(library, deviation):
    table = library.colorimetry.SDS_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES
    theirs = np.array([[table[name][nm] for name in ("S0", "S1", "S2")] for nm in NM])
    worst = np.abs(DAYLIGHT - theirs).max()
    deviation(worst)
    assert worst < 1e-9


@pytest.mark.published(
    law="CIE LED illuminants",
    source="CIE 015:2018, as held by colour-science",
    where="LED-B1 and LED-B5 at 400, 410 … 700 nm",
)
@pytest.mark.parametrize(("ours", "name"), [(LED_B1, "LED-B1"), (LED_B5, "LED-B5")])
def test_diode_lamps_are_the_published_ones(library, deviation, ours, name):
    theirs = np.array([library.SDS_ILLUMINANTS[name][nm] for nm in NM])
    worst = np.abs(ours - theirs).max()
    deviation(worst)
    assert worst < 1e-9


@pytest.mark.published(
    law="CIE standard illuminant A",
    source="CIE 015:2018, as held by colour-science",
    where="table at 400, 410 … 700 nm",
)
def test_a_filament_lamp_is_the_published_one(library, deviation):
    theirs = np.array([library.SDS_ILLUMINANTS["A"][nm] for nm in NM])
    worst = np.abs(filament_power() / theirs - 1).max()
    deviation(worst)
    assert worst < 1e-5  # the table has six figures


@pytest.mark.published(
    law="CIE daylight formula",
    source="CIE 015:2018, as held by colour-science",
    where="D50, D65 and D75 at 400, 410 … 700 nm",
)
@pytest.mark.parametrize(("name", "nominal"), [("D50", 5000), ("D65", 6500), ("D75", 7500)])
def test_the_formula_makes_the_tables_of_daylight(library, deviation, name, nominal):
    theirs = np.array([library.SDS_ILLUMINANTS[name][nm] for nm in NM])
    worst = np.abs(daylight_power(nominal * 1.4388 / 1.4380) / theirs - 1).max()
    deviation(worst)
    assert worst < 1e-3  # D50 and D75 were tabled with other roundings of M1 and M2


@pytest.mark.published(
    law="Daylight locus",
    source="CIE 015:2018 (from memory)",
    where="D65 at 6504 K, x 0.31272, y 0.32903; D75 at 7504 K, x 0.29902, y 0.31485; "
    "D50 at 5003 K, x 0.34567, y 0.35851",
)
@pytest.mark.parametrize(
    ("kelvin", "printed"),
    [(6504, (0.31272, 0.32903)), (7504, (0.29902, 0.31485)), (5003, (0.34567, 0.35851))],
)
def test_the_daylight_locus_passes_through_the_printed_points(deviation, kelvin, printed):
    worst = np.abs(daylight_chromaticity(kelvin) - printed).max()
    deviation(worst)
    assert worst < 2e-4


@pytest.mark.published(
    law="Chromaticities of lights",
    source="CIE 015:2018, as held by colour-science",
    where="2° observer, 300 to 830 nm",
)
@pytest.mark.parametrize(
    ("light", "name"),
    [
        (Illuminant.DAYLIGHT, "D65"),
        (Illuminant.OVERCAST, "D75"),
        (Illuminant.LAMP, "A"),
        (Illuminant.WARM_LED, "LED-B1"),
        (Illuminant.COOL_LED, "LED-B5"),
    ],
)
def test_white_under_each_light_has_its_chromaticity(library, deviation, light, name):
    printed = library.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][name]
    white = illuminant_weights(light).sum(axis=0)
    worst = np.abs(white[:2] / white.sum() - printed).max()
    deviation(worst)
    assert worst < GRID


@pytest.mark.published(
    law="Reflectance to XYZ under other lights",
    source="colour-science",
    where="msds_to_XYZ by integration over the same 31 wavelengths, A and LED-B1",
)
@pytest.mark.parametrize(
    ("light", "name"), [(Illuminant.LAMP, "A"), (Illuminant.WARM_LED, "LED-B1")]
)
def test_spectra_sum_to_the_same_values_under_a_lamp(library, deviation, light, name):
    spectra = np.random.default_rng(11).uniform(0.02, 0.95, (20, 31))
    shape = library.SpectralShape(400, 700, 10)
    observer = library.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    lamp = library.SDS_ILLUMINANTS[name].copy().align(shape)
    theirs = library.msds_to_XYZ(spectra, observer, lamp, method="Integration", shape=shape) / 100
    worst = np.abs(reflectance_to_xyz(spectra, illuminant_weights(light)) - theirs).max()
    deviation(worst)
    assert worst < 1e-6  # the lamp's six figures


@pytest.mark.published(
    law="Chromatic adaptation, CAT16",
    source="colour-science",
    where="chromatic_adaptation_VonKries with transform CAT16, from A to D65",
)
def test_adapted_colours_agree_with_the_library(library, deviation):
    xyz = np.random.default_rng(7).uniform(0.05, 0.9, (50, 3))
    white = illuminant_weights(Illuminant.LAMP).sum(axis=0)
    theirs = library.adaptation.chromatic_adaptation_VonKries(xyz, white, WHITE, transform="CAT16")
    worst = np.abs(adapted_xyz(xyz, white) - theirs).max()
    deviation(worst)
    assert worst < 1e-9  # rounding


@pytest.mark.published(
    law="Open shade",
    source="common knowledge of photographers (common practice, no source)",
    where="bluer than overcast, correlated colour temperature 9,000 to 15,000 K",
)
def test_shade_is_as_blue_as_shade_is_said_to_be(library, deviation):
    white = illuminant_weights(Illuminant.SHADE).sum(axis=0)
    kelvin = float(library.temperature.xy_to_CCT(white[:2] / white.sum(), method="Hernandez 1999"))
    deviation(kelvin / 11_000 - 1)
    assert 9_000 < kelvin < 15_000
    assert illuminant_power(Illuminant.SHADE)[0] > illuminant_power(Illuminant.OVERCAST)[0]
