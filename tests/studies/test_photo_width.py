"""Widths of steps: of exact profiles, of noisy ones, and of a seen line less the camera's own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr
from scipy.stats import norm

from partline.studies.photo.sharpness import Softness, width_of_step

MM = 1e-3
PLACES = np.linspace(-8, 8, 3201) * MM


@given(st.floats(0.1, 2.5), st.floats(-1.0, 1.0))
@settings(deadline=None)
def test_a_smeared_step_is_as_wide_as_the_normal_law_says(spread, place):
    values = ndtr((PLACES / MM - place) / spread)
    exact = (norm.ppf(0.9) - norm.ppf(0.1)) * spread * MM
    # One step of the profile's places, 5 µm.
    assert width_of_step(PLACES, values) == pytest.approx(exact, abs=0.006 * MM)


@given(st.floats(0.2, 6.0))
@settings(deadline=None)
def test_a_straight_ramp_is_four_fifths_of_its_length(length):
    values = np.clip(PLACES / MM / length + 0.5, 0, 1)
    assert width_of_step(PLACES, values) == pytest.approx(0.8 * length * MM, abs=0.006 * MM)


def test_noise_hardly_widens_a_step():
    rng = np.random.default_rng(11)
    values = ndtr(PLACES / (0.4 * MM)) + rng.normal(0, 0.03, len(PLACES))
    # 5 %: the 10 % point of 3200 values with 3 % noise, pooled over some tens of them.
    assert width_of_step(PLACES, values) == pytest.approx(2.5631 * 0.4 * MM, rel=0.05)


def test_softness_turns_with_the_line():
    soft = Softness(across=0.6 * MM, down=0.2 * MM, spread=0.05)
    assert soft.along(0.0) == pytest.approx(0.2 * MM)
    assert soft.along(np.pi / 2) == pytest.approx(0.6 * MM)
    assert soft.largest == 0.6 * MM
