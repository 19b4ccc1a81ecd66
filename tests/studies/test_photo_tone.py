"""From codes to light: a made-up phone's tone curve is found again from the card alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.physics.colorimetry import RGB_TO_XYZ
from partline.studies.photo.contrast import Part, difference, part_of
from partline.studies.photo.patches import Patches
from partline.studies.photo.tone import Calibration, calibrate
from partline.studies.photo_card import (
    CHIP_STEPS,
    GREY_STEPS,
    HEIGHT,
    STEP_REFLECTANCES,
    WHITE_SPOTS,
    WIDTH,
)
from tests.studies.photo_scene import encoded


def coded(light: np.ndarray, contrast: float, gamma: float) -> np.ndarray:
    """What the phone writes for a share of its full light."""
    value = encoded(np.clip(light, 0, 1)) ** gamma
    return 255 * np.clip(value - contrast * np.sin(2 * np.pi * value) / (2 * np.pi), 0, 1)


def seen(
    *, contrast: float = 0.2, gamma: float = 1.0, gain=(0.8, 0.9, 0.7), slope: float = 0.1
) -> tuple[Patches, Patches]:
    """The card's patches as such a phone codes them, and what it was that they stand for."""
    levels = [0] * len(WHITE_SPOTS)
    levels += [STEP_REFLECTANCES.index(step.reflectance) for step in GREY_STEPS]
    boxes = [*WHITE_SPOTS, *(step.box for step in GREY_STEPS)]
    places = np.array([box.middle for box in boxes])
    light = np.array(STEP_REFLECTANCES)[levels][:, None] * np.array(gain)
    light = light * falling(places, slope)[:, None]
    codes = coded(light, contrast, gamma)
    patches = Patches(codes=codes, places=places, levels=np.array(levels))
    return patches, replace(patches, codes=light)


def falling(places: np.ndarray, slope: float) -> np.ndarray:
    """Light over the card."""
    x, y = places[..., 0] / (WIDTH / 2) - 1, places[..., 1] / (HEIGHT / 2) - 1
    return np.exp(slope * (x - 0.4 * y) - 0.05 * (x * x + y * y))


@given(
    st.floats(0.0, 0.3), st.floats(0.9, 1.1), st.floats(-0.15, 0.15),
    st.tuples(*[st.floats(0.6, 0.9)] * 3),
)  # fmt: skip
@settings(deadline=None, max_examples=40)
def test_any_mild_curve_gain_and_slope_of_light_are_taken_out(contrast, gamma, slope, gain):
    patches, _ = seen(contrast=contrast, gamma=gamma, gain=gain, slope=slope)
    made = calibrate(patches)
    # Colours in between the greys and places in between the patches.
    places = np.array([box.middle for _, box in CHIP_STEPS])
    true = np.array([[0.1, 0.3, 0.5], [0.7, 0.5, 0.2], [0.3, 0.3, 0.3], [0.5, 0.7, 0.6]])
    codes = coded(true * np.array(gain) * falling(places, slope)[:, None], contrast, gamma)
    # 5 %: what straight pieces between seven knots leave of a curve, and the priors' pull.
    assert made.light(codes, places) == pytest.approx(true, rel=0.05)


@given(st.floats(0.0, 0.6), st.floats(0.7, 1.4))
@settings(deadline=None, max_examples=30)
def test_the_curve_rises_however_the_phone_bends_it(contrast, gamma):
    patches, _ = seen(contrast=contrast, gamma=gamma)
    made = calibrate(patches)
    place = np.full((256, 2), 0.1)
    light = made.light(np.arange(256.0)[:, None] * np.ones(3), place)
    assert np.all(np.diff(light, axis=0) > 0)


def test_one_covered_patch_moves_the_rest_by_little():
    patches, _ = seen()
    codes = patches.codes.copy()
    codes[5] *= 0.4  # a crumb on a white spot
    clean, spoilt = calibrate(patches), calibrate(replace(patches, codes=codes))
    places = np.array([[0.08, 0.12], [0.18, 0.05]])
    colours = np.array([[120.0, 90, 60], [60, 120, 160]])
    # 2 %: the weight of one patch in sixty, cut down as an outlier.
    assert spoilt.light(colours, places) == pytest.approx(clean.light(colours, places), rel=0.02)
    assert spoilt.misses[5].max() < -0.5


def grey_part(made: Calibration, code: float, spread: float = 0.0) -> Part:
    rng = np.random.default_rng(3)
    codes = np.full((400, 3), code) + rng.normal(0, spread, (400, 3))
    shown = np.round(np.clip(codes, 0, 255)).astype(np.uint8)
    places = np.column_stack([np.linspace(0.05, 0.2, 400), np.full(400, 0.05)])
    return part_of(shown, made.light(shown, places), places, places[:, 0])


def test_a_part_differs_from_itself_by_nothing_and_its_range_says_so():
    made = calibrate(seen()[0])
    part = grey_part(made, 120)
    same = difference(part, part, made, RGB_TO_XYZ)
    assert same.value == pytest.approx(0.0, abs=1e-9)
    assert same.low == 0.0
    assert 0.3 < same.high < 1.0


def test_a_larger_difference_and_an_uneven_part_are_less_sure():
    made = calibrate(seen()[0])
    wide = [
        difference(grey_part(made, 120, spread), grey_part(made, other), made, RGB_TO_XYZ)
        for other, spread in ((126, 0), (200, 0), (200, 60))
    ]
    ranges = [each.high - each.low for each in wide]
    assert ranges[0] < ranges[1] < ranges[2]


def test_gloss_is_left_out_and_counted():
    made = calibrate(seen()[0])
    places = np.column_stack([np.linspace(0.05, 0.2, 1000), np.full(1000, 0.05)])
    codes = np.full((1000, 3), 100, dtype=np.uint8)
    codes[::20] = 240  # the lamp in a twentieth of it
    part = part_of(codes, made.light(codes, places), places, places[:, 0])
    assert part.gloss == pytest.approx(0.05, abs=1e-9)
    assert np.abs(part.codes - 100).max() <= 0.5  # half a code: a median spread over its step
