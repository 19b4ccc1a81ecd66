"""Sinking of salt in hot plastic, and of disks, against worked numbers."""

import pytest

from partline.physics.settling import plate_settling, stokes_settling

FACTS = (
    "Stokes's law, computed by an independent script (shared/facts, section 3, mark [X]); density "
    "difference 1230 kg/m³"
)


@pytest.mark.published(
    law="Settling of grains", source=FACTS,
    where="100 µm in 0.3, 1 and 3 Pa·s: 1.34, 0.40 and 0.13 mm/min",
)  # fmt: skip
@pytest.mark.parametrize(("viscosity", "printed"), [(0.3, 1.34), (1.0, 0.40), (3.0, 0.13)])
def test_salt_sinks_as_was_worked(deviation, viscosity, printed):
    found = float(stokes_settling(100e-6, 1230.0, viscosity)) * 60e3
    deviation(found / printed - 1)
    assert found == pytest.approx(printed, abs=0.006)  # printed digits


@pytest.mark.published(
    law="Settling of grains", source=FACTS, where="200 µm four times, 300 µm nine times as fast"
)
@pytest.mark.parametrize(("size", "times"), [(200e-6, 4), (300e-6, 9)])
def test_larger_grains_sink_by_the_square(deviation, size, times):
    found = float(stokes_settling(size, 1230.0, 1.0) / stokes_settling(100e-6, 1230.0, 1.0))
    deviation(found / times - 1)
    assert found == pytest.approx(times, rel=1e-12)


@pytest.mark.published(
    law="Settling of plates",
    source="J. Happel and H. Brenner, Low Reynolds Number Hydrodynamics, 1965, section 5-10 "
    "(from memory)",
    where="drag of a thin disk: 16 η R v face on, 32/3 η R v edge on",
)
def test_a_plates_mean_lies_between_face_on_and_edge_on(deviation):
    size, thin, excess, viscosity = 0.4e-3, 25e-6, 465.0, 0.3
    weight = excess * 9.80665 * 3.141592653589793 / 4 * size**2 * thin
    face, edge = (weight / (drag * viscosity * size / 2) for drag in (16.0, 32 / 3))
    mean = (face + 2 * edge) / 3  # one attitude of three is face on
    found = float(plate_settling(size, thin, excess, viscosity))
    deviation(found / mean - 1)
    assert found == pytest.approx(mean, rel=1e-12)
