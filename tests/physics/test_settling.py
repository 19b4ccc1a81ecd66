"""Grains sink faster the larger, heavier and lonelier they are."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.settling import hindered_share, plate_settling, stokes_settling

sizes = st.floats(1e-6, 1e-3)


@given(sizes, st.floats(-1500, -1e-3) | st.floats(1e-3, 1500), st.floats(0.01, 100))
def test_twice_the_size_sinks_four_times_as_fast_and_light_grains_rise(size, excess, viscosity):
    once = float(stokes_settling(size, excess, viscosity))
    assert float(stokes_settling(2 * size, excess, viscosity)) == pytest.approx(4 * once)
    assert np.sign(once) == np.sign(excess)


@given(sizes, st.floats(1, 1500), st.floats(0.01, 100))
def test_a_thin_plate_sinks_slower_than_a_ball_as_wide(size, excess, viscosity):
    plate = float(plate_settling(size, size / 20, excess, viscosity))
    assert 0 < plate < float(stokes_settling(size, excess, viscosity))


@given(st.floats(0, 0.5))
def test_a_crowd_hinders_itself(filled):
    assert float(hindered_share(filled)) <= 1.0
    assert float(hindered_share(filled + 0.1)) < float(hindered_share(filled))


def test_what_cannot_sink_is_refused():
    for call in (
        lambda: stokes_settling(0.0, 1.0, 1.0),
        lambda: stokes_settling(1e-4, 1.0, 0.0),
        lambda: plate_settling(1e-4, 0.0, 1.0, 1.0),
        lambda: hindered_share(1.2),
    ):
        with pytest.raises(OutOfRange):
            call()
