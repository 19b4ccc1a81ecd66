"""From spectra to colours."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from partline.errors import InputError
from partline.physics.colorimetry import (
    WHITE,
    luminance,
    reflectance_to_xyz,
    srgb_to_xyz,
    xyz_to_lab,
    xyz_to_srgb,
)


@given(st.floats(0, 1))
@example(0.0031308)
def test_a_grey_is_as_light_as_it_reflects_and_has_no_hue(share):
    grey = np.full(31, share)
    assert luminance(grey) == pytest.approx(share, abs=1e-14)
    _, a, b = xyz_to_lab(reflectance_to_xyz(grey))
    assert (a, b) == pytest.approx((0, 0), abs=1e-11)
    rgb = xyz_to_srgb(reflectance_to_xyz(grey)).rgb
    # At the very threshold rounding may put the channels on different branches, which the
    # standard's printed constants let meet within 3e-8 only.
    assert np.ptp(rgb) < 1e-7


@given(arrays(float, (4, 3), elements=st.floats(0, 1)))
def test_screen_colours_come_back(rgb):
    # The standard's two branches meet within 3e-8 only, at its rounded threshold.
    assert xyz_to_srgb(srgb_to_xyz(rgb)).rgb == pytest.approx(rgb, abs=1e-7)


def test_a_colour_beyond_the_screen_is_clipped_and_said_so():
    green = np.zeros(31)
    green[10:13] = 1.0  # 500 to 520 nm alone
    shown = xyz_to_srgb(reflectance_to_xyz([green, np.full(31, 0.5)]))
    assert shown.is_clipped.tolist() == [True, False]
    assert np.all((shown.rgb >= 0) & (shown.rgb <= 1))


def test_lab_runs_smoothly_through_its_dark_branch():
    edge = (6 / 29) ** 3
    below, above = xyz_to_lab(WHITE * edge * (1 - 1e-9)), xyz_to_lab(WHITE * edge * (1 + 1e-9))
    assert below == pytest.approx(above, abs=1e-6)
    assert xyz_to_lab(WHITE * 0.0) == pytest.approx(np.zeros(3), abs=1e-12)


def test_another_white_may_be_asked_for():
    assert xyz_to_lab(WHITE * 0.85, WHITE * 0.85) == pytest.approx(np.array([100.0, 0, 0]))


def test_a_spectrum_on_another_grid_is_refused():
    with pytest.raises(InputError, match="31 values"):
        reflectance_to_xyz(np.ones(30))
