"""Boiling and air pressure against printed tables."""

from __future__ import annotations

import numpy as np
import pytest

from partline.physics.boiling import air_pressure, boiling_temperature


@pytest.mark.published(
    law="Boiling temperature of water",
    source="IAPWS R7-97(2012), Industrial Formulation 1997 (from memory)",
    where="table 36: 0.1, 1 and 10 MPa",
)
def test_water_boils_where_the_table_says(deviation):
    printed = np.array([372.755919, 453.035632, 584.149488])
    off = np.abs(boiling_temperature([0.1e6, 1e6, 10e6]) - printed).max()
    deviation(off)
    assert off < 1e-6  # printed digits


@pytest.mark.published(
    law="Pressure of the standard atmosphere",
    source="ISO 2533:1975 (from memory)",
    where="geopotential heights 0, 1000 and 2000 m",
)
def test_air_is_as_thin_as_the_table_says(deviation):
    printed = np.array([101_325.0, 89_874.6, 79_495.2])
    off = np.abs(air_pressure([0.0, 1000.0, 2000.0]) / printed - 1).max()
    deviation(off)
    assert off < 1e-6  # printed digits
