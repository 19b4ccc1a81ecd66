"""Water boils cooler where less air lies over it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.boiling import HIGHEST, LOWEST, air_pressure, boiling_temperature


@given(st.floats(LOWEST, HIGHEST - 10.0))
def test_higher_up_the_air_is_thinner_and_water_boils_cooler(height):
    here, above = air_pressure([height, height + 10.0])
    assert above < here
    assert boiling_temperature(above) < boiling_temperature(here)


def test_what_no_open_pot_knows_is_refused():
    for pressure in (100.0, 30e6, np.nan):
        with pytest.raises(OutOfRange):
            boiling_temperature(pressure)
    with pytest.raises(OutOfRange):
        air_pressure(20_000.0)
