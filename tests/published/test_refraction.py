"""Refractive indices against tables."""

import numpy as np
import pytest

from partline.materials.published import published
from partline.physics.dispersion import LINE_C, LINE_F, plastic_index, salt_index, water_index


@pytest.mark.published(
    law="Index of salt",
    source="Li, J. Phys. Chem. Ref. Data 5 (1976) 329 (formula seen)",
    where="0.45, 0.55, 0.65 µm and the D line: 1.5581, 1.5469, 1.5408, 1.5441",
)
def test_salt_refracts_as_printed(deviation):
    found = salt_index(np.array([0.45, 0.55, 0.65, 0.5893]) * 1e-6)
    worst = np.abs(found - [1.5581, 1.5469, 1.5408, 1.5441]).max()
    deviation(worst)
    assert worst < 1e-4
    assert found[3] == pytest.approx(published("salt", "refractive index").value, abs=1e-4)


@pytest.mark.published(
    law="Index of water",
    source="Daimon and Masumura, Appl. Opt. 46 (2007) 3811 (from memory), another measurement",
    where="20 °C, 0.4, 0.5, 0.6, 0.7 µm: 1.34356, 1.33680, 1.33302, 1.33052 against air",
)
def test_water_refracts_as_another_laboratory_measured(deviation):
    found = water_index(np.array([0.4, 0.5, 0.6, 0.7]) * 1e-6)
    worst = np.abs(found - [1.34356, 1.33680, 1.33302, 1.33052]).max()
    deviation(worst)
    assert worst < 5e-4  # one is against vacuum, the other against air: 4e-4


@pytest.mark.published(
    law="Index of water",
    source="IAPWS R9-97, Table 3 (from memory)",
    where="0 °C, 0.1 MPa, 0.589 µm: 1.334344; 0.2265 µm: 1.394527",
)
@pytest.mark.parametrize(
    ("wavelength", "printed", "tolerance"),
    [(0.589e-6, 1.334344, 5e-6), (0.2265e-6, 1.394527, 5e-5)],
)
def test_water_refracts_as_the_release_says(deviation, wavelength, printed, tolerance):
    found = water_index(wavelength, 273.15, 999.84).item()
    deviation(abs(found - printed))
    assert found == pytest.approx(printed, abs=tolerance)


@pytest.mark.published(
    law="Dispersion of a plastic",
    source="Zhang et al., Appl. Opt. 59 (2020) 2337, unplasticised sheet (database file seen)",
    where="0.45 and 0.65 µm: 1.5539 and 1.5399, from 1.5424 at the D line",
)
def test_a_sheets_index_follows_from_one_line_and_its_abbe_number(deviation):
    found = plastic_index(1.5424, np.array([0.45, 0.65]) * 1e-6, abbe=47.0)
    worst = np.abs(found - [1.5539, 1.5399]).max()
    deviation(worst)
    assert worst < 1.2e-3  # two terms for a measured curve
    ends = plastic_index(1.494, np.array([LINE_F, LINE_C]))
    assert np.ptp(ends) == pytest.approx(0.494 / 50, rel=1e-9)
