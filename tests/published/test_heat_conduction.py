"""Conduction against textbook tables and worked examples."""

import numpy as np
import pytest

from partline.physics.heat_conduction import (
    CYLINDER,
    SLAB,
    SPHERE,
    amplitudes,
    contact_temperature,
    cooling_fourier,
    eigenvalues,
    lumped_share,
    lumped_time_constant,
    semi_infinite_share,
    temperature_share,
)

BOOK = (
    "F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, 5th ed., Wiley "
    "2002 (from memory)"
)

#: Biot number, then ζ₁ and C₁ of plate, cylinder and sphere.
ONE_TERM = [
    (0.1, 0.3111, 1.0161, 0.4417, 1.0246, 0.5423, 1.0298),
    (1.0, 0.8603, 1.1191, 1.2558, 1.2071, 1.5708, 1.2732),
    (10.0, 1.4289, 1.2620, 2.1795, 1.5677, 2.8363, 1.9249),
    (100.0, 1.5552, 1.2731, 2.3809, 1.6015, 3.1102, 1.9990),
]


@pytest.mark.published(
    law="Cooling of slab, cylinder and sphere",
    source=BOOK,
    where="table 5.1: coefficients of the one-term solutions",
)
@pytest.mark.parametrize("row", ONE_TERM, ids=lambda row: f"Bi {row[0]:g}")
def test_first_modes_are_the_tabled_ones(deviation, row):
    found = []
    for shape in (SLAB, CYLINDER, SPHERE):
        root = eigenvalues(shape, row[0], 1)
        found += [float(root[0]), float(amplitudes(shape, root)[0])]
    deviation(np.max(np.abs(np.array(found) / row[1:] - 1)))
    assert found == pytest.approx(row[1:], abs=0.6e-4)  # printed digits


@pytest.mark.published(
    law="Cooling of slab, cylinder and sphere",
    source="H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., Oxford 1959 "
    "(from memory)",
    where="section 9.3: short times in a held sphere, centre 1 − (2/√(πFo)) Σ exp[−(n+½)²/Fo]",
)
@pytest.mark.parametrize("fourier", [0.02, 0.05, 0.1, 0.3])
def test_a_held_sphere_follows_the_other_series_too(deviation, fourier):
    # Images instead of modes: converges where the modes do not.
    image = (np.arange(20) + 0.5) ** 2 / fourier
    exact = 1 - 2 / np.sqrt(np.pi * fourier) * np.sum(np.exp(-image))
    found = float(temperature_share(SPHERE, fourier, np.inf))
    deviation(found / exact - 1)
    assert found == pytest.approx(exact, rel=1e-12)


@pytest.mark.published(
    law="Opening time of mould",
    source="One-term solution of the infinite cylinder, computed by an independent script "
    "(shared/facts, section 7, mark [X]), diffusivity 7.5e-8 m²/s",
    where="centre from 170 to 60 °C, wall held at 30 °C; slab 2.07 times as long",
)
@pytest.mark.parametrize(
    ("millimetres", "seconds"),
    [(4, 19), (6, 42), (8, 74), (10, 116), (12, 167), (15, 261), (20, 464)],
)
def test_a_round_bait_may_be_opened_after_the_worked_time(deviation, millimetres, seconds):
    share = (60 - 30) / (170 - 30)
    time = cooling_fourier(CYLINDER, share, np.inf) * (millimetres / 2e3) ** 2 / 7.5e-8
    deviation(time / seconds - 1)
    assert time == pytest.approx(seconds, abs=0.5)  # whole seconds
    flat = cooling_fourier(SLAB, share, np.inf) * (millimetres / 2e3) ** 2 / 7.5e-8
    assert flat / time == pytest.approx(2.07, abs=0.01)


@pytest.mark.published(
    law="Cooling of solid without end",
    source="M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964 "
    "(from memory)",
    where="table 7.1: erf 0.5 = 0.5204998778, erf 1 = 0.8427007929, erf 2 = 0.9953222650",
)
@pytest.mark.parametrize(
    ("depth", "printed"), [(0.5, 0.5204998778), (1.0, 0.8427007929), (2.0, 0.9953222650)]
)
def test_below_a_held_surface_lies_an_error_function(deviation, depth, printed):
    found = float(semi_infinite_share(2 * depth, 1.0, 1.0))
    deviation(found / printed - 1)
    assert found == pytest.approx(printed, abs=0.6e-10)


@pytest.mark.published(
    law="Cooling of solid without end",
    source="M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964 "
    "(from memory)",
    where="e·erfc 1 = 0.4275835762: a surface after αt = (k/h)²",
)
def test_a_surface_cools_as_the_scaled_error_function(deviation):
    found = float(semi_infinite_share(0.0, 4.0, 0.25, 0.2, 0.2))
    deviation(found / 0.4275835762 - 1)
    assert found == pytest.approx(0.4275835762, abs=0.6e-10)


@pytest.mark.published(
    law="Lumped cooling", source=BOOK, where="example 5.1: bead of a thermocouple, 0.706 mm"
)
def test_a_thermocouple_warms_as_in_the_worked_example(deviation):
    diameter = 0.706e-3
    mass, area = 8500 * np.pi * diameter**3 / 6, np.pi * diameter**2
    constant = lumped_time_constant(mass, 400.0, 400.0, area)
    assert constant == pytest.approx(1.0, abs=0.001)
    time = float(-constant * np.log((199 - 200) / (25 - 200)))
    deviation(time / 5.2 - 1)
    assert time == pytest.approx(5.2, abs=0.05)
    assert lumped_share(time, constant) == pytest.approx(1 / 175)


@pytest.mark.published(
    law="Contact temperature",
    source="Closed form of two solids without end, computed by an independent script "
    "(shared/facts, section 7, mark [X])",
    where="gel of 170 °C, effusivity 493, on aluminium, silicone and plaster of 25, skin of 34 °C",
)
@pytest.mark.parametrize(
    ("celsius", "effusivity", "printed", "tolerance"),
    [(25, 20100, 28.5, 0.05), (25, 559, 93, 0.5), (25, 735, 83, 0.5), (34, 1180, 74, 0.5)],
)
def test_hot_gel_and_what_it_touches_meet_at_the_worked_temperature(
    deviation, celsius, effusivity, printed, tolerance
):
    met = float(contact_temperature(443.15, 493.0, celsius + 273.15, effusivity)) - 273.15
    deviation(met / printed - 1)
    assert met == pytest.approx(printed, abs=tolerance)
