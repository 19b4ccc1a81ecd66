"""Heat turns a plastisol yellow."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.data.cie import WAVELENGTHS
from partline.errors import InputError, OutOfRange
from partline.physics.yellowing import exposure_dose, yellowing_absorption


def test_a_second_at_450_kelvin_is_a_second():
    assert exposure_dose(np.full(7, 450.0), np.linspace(0, 90, 7)) == pytest.approx(90.0)


def test_ten_kelvin_more_do_about_twice_as_much():
    # Worked by hand: exp(120000/8.314462618 × (1/440 − 1/450)) = 2.073.
    colder = exposure_dose([440.0, 440.0], [0.0, 1.0])
    assert 1 / colder == pytest.approx(2.073, abs=1e-3)


def test_a_dose_adds_up_heat_by_heat():
    first, second = exposure_dose([[430, 440, 450], [450, 445, 400]], [0.0, 10.0, 30.0])
    together = exposure_dose([430, 440, 450, 450, 445, 400], [0.0, 10.0, 30.0, 30.0, 40.0, 60.0])
    assert first + second == pytest.approx(float(together))


@given(
    dose=st.floats(0, 1e5), more=st.floats(0, 1e5), scale=st.floats(0, 1), decay=st.floats(20, 200)
)
def test_more_heat_never_lets_more_light_through_and_blue_falls_first(dose, more, scale, decay):
    before, after = yellowing_absorption([dose, dose + more], WAVELENGTHS, scale, decay * 1e-9)
    assert np.all(after >= before)
    passed = np.exp(-after * 1e-3)
    assert np.all(np.diff(passed) >= 0)  # never more blue than red


@pytest.mark.parametrize(
    ("temperature", "time"),
    [([450.0], [0.0, 1.0]), ([450.0, 450.0], [1.0, 0.0]), (450.0, 1.0)],
)
def test_heat_that_does_not_hang_together_is_refused(temperature, time):
    with pytest.raises(InputError, match="one rising time"):
        exposure_dose(temperature, time)


def test_a_temperature_below_absolute_zero_is_refused():
    with pytest.raises(OutOfRange, match="above 0 K"):
        exposure_dose([450.0, 0.0], [0.0, 1.0])


@pytest.mark.parametrize(("dose", "scale", "decay"), [(-1, 1, 1e-7), (1, -1, 1e-7), (1, 1, 0)])
def test_less_than_no_yellow_is_refused(dose, scale, decay):
    with pytest.raises(OutOfRange):
        yellowing_absorption(dose, WAVELENGTHS, scale, decay)
