"""What an infrared thermometer reads, and how warm the thing is that it looks at."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.infrared import (
    band_power,
    band_temperature,
    bulk_temperature,
    infrared_reading,
    surface_temperature,
)
from partline.quantities.constants import SECOND_RADIATION, STEFAN_BOLTZMANN

melts = st.floats(280, 480)
rooms = st.floats(280, 320)
emissivities = st.floats(0.5, 1.0)


def share_below(product):
    """Share of black radiation below a wavelength times a temperature, as a series."""
    z, order = SECOND_RADIATION / product, np.arange(1, 400)
    terms = z**3 / order + 3 * z**2 / order**2 + 6 * z / order**3 + 6 / order**4
    return 15 / np.pi**4 * np.sum(np.exp(-order * z) * terms)


@settings(deadline=None)
@given(kelvin=st.floats(150, 1500), low=st.floats(4e-6, 10e-6), width=st.floats(1.1, 2.0))
def test_a_bands_power_is_its_share_of_all_that_is_radiated(kelvin, low, width):
    high = min(low * width, 2 * low)
    share = share_below(high * kelvin) - share_below(low * kelvin)
    whole = STEFAN_BOLTZMANN * kelvin**4
    # Both shares are rounded to about 1e-15 of the whole; σ is cut after ten digits.
    assert band_power(kelvin, low, high) == pytest.approx(
        share * whole, rel=1e-9, abs=1e-13 * whole
    )


@settings(deadline=None)
@given(kelvin=st.floats(151, 1499))
def test_a_power_leads_back_to_its_temperature(kelvin):
    assert band_temperature(band_power(kelvin)) == pytest.approx(kelvin, abs=1e-9)


@settings(deadline=None)
@given(melt=melts, room=rooms, true=emissivities, taken=emissivities)
def test_a_reading_leads_back_to_the_surface(melt, room, true, taken):
    reading = infrared_reading(melt, true, room, taken)
    assert surface_temperature(reading, true, room, taken) == pytest.approx(melt, abs=1e-8)


@settings(deadline=None)
@given(melt=melts, room=rooms, true=emissivities, taken=emissivities, skin=st.floats(0, 20))
def test_the_bulk_is_warmer_than_its_skin(melt, room, true, taken, skin):
    reading = infrared_reading(melt, true, room, taken)
    assert bulk_temperature(reading, true, room, taken, skin) == pytest.approx(
        melt + skin, abs=1e-8
    )


@settings(deadline=None)
@given(melt=melts, room=rooms, true=emissivities)
def test_a_thermometer_set_right_reads_right(melt, room, true):
    assert infrared_reading(melt, true, room, true) == pytest.approx(melt, abs=1e-9)


@settings(deadline=None)
@given(room=rooms, true=emissivities, taken=emissivities)
def test_what_is_as_warm_as_the_room_reads_right_however_it_is_set(room, true, taken):
    assert infrared_reading(room, true, room, taken) == pytest.approx(room, abs=1e-9)


def test_a_shiny_surface_reads_nearer_to_the_room():
    reading = infrared_reading(448.15, [0.95, 0.9, 0.5, 0.1], 296.15)
    assert np.all(np.diff(reading) < 0)
    assert reading[0] == pytest.approx(448.15)
    assert reading[-1] > 296.15


@pytest.mark.parametrize(
    "asked",
    [
        lambda: band_power(149.0),
        lambda: band_power(1501.0),
        lambda: band_power(300.0, 14e-6, 8e-6),
        lambda: band_power(300.0, 1e-6, 1.5e-6),
        lambda: band_power(300.0, 8e-6, 17e-6),
        lambda: band_temperature(0.0),
        lambda: infrared_reading(448.0, 0.0, 296.0),
        lambda: infrared_reading(448.0, 0.9, 296.0, 1.1),
        lambda: surface_temperature(250.0, 0.1, 320.0),
        lambda: bulk_temperature(448.0, 0.9, 296.0, 0.95, -1.0),
    ],
)
def test_what_cannot_be_is_refused(asked):
    with pytest.raises(OutOfRange):
        asked()
