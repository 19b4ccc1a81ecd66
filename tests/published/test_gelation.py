"""The gel line against its two measured points and what was worked out from them."""

import pytest

from partline.physics.gelation import (
    DINP_LINE,
    LINE_DOUBT,
    gel_share,
    gel_temperature,
    line_through,
)
from partline.quantities.constants import GAS_CONSTANT, ZERO_CELSIUS

FACTS = {
    "law": "Gel line",
    "source": "worked by hand in the project's collection of facts from two points of PVC in DINP",
}


@pytest.mark.published(
    law="Gel line",
    source="Rheological properties of PVC/plasticizer systems: relation between sol-gel "
    "transition and elongational viscosity, 2014 to 2015 (abstract seen)",
    where="45.5 % and 70.4 % PVC in DINP: 190 and 210 °C",
)
def test_gels_melt_where_they_were_measured_to(deviation):
    found = gel_temperature([0.455, 0.704]) - ZERO_CELSIUS
    deviation(abs(found - [190.0, 210.0]).max())
    assert found == pytest.approx([190.0, 210.0], abs=1e-6)  # the line passes through both


@pytest.mark.published(**FACTS, where="section 2, 10, 15, 20, 25, 30 % resin")
@pytest.mark.parametrize(
    ("resin", "printed"), [(0.10, 132), (0.15, 146), (0.20, 156.5), (0.25, 165), (0.30, 172)]
)
def test_soft_gels_melt_where_the_line_was_worked_out_to(resin, printed, deviation):
    found = float(gel_temperature(resin)) - ZERO_CELSIUS
    deviation(abs(found - printed))
    assert found == pytest.approx(printed, abs=0.55)  # printed to 1 °C, one to 0.5 °C


@pytest.mark.published(**FACTS, where="section 2, critical share at 150 to 180 °C")
@pytest.mark.parametrize(
    ("celsius", "printed"),
    [(150, 0.168), (160, 0.219), (165, 0.249), (170, 0.283), (175, 0.320), (180, 0.361)],
)
def test_the_critical_share_is_as_it_was_worked_out(celsius, printed, deviation):
    found = float(gel_share(celsius + ZERO_CELSIUS))
    deviation(abs(found - printed))
    assert found == pytest.approx(printed, abs=6e-4)  # printed to 0.1 %


@pytest.mark.published(**FACTS, where="section 2, heat of melting 41 kJ/mol, slope 4884 K")
def test_the_steepness_is_the_heat_of_melting(deviation):
    deviation(abs(DINP_LINE.steepness - 4884))
    assert DINP_LINE.steepness == pytest.approx(4884, abs=0.5)  # printed to 1 K
    assert DINP_LINE.steepness * GAS_CONSTANT == pytest.approx(41e3, abs=500)  # to 1 kJ/mol


def volume_share(resin: float) -> float:
    """Of PVC at 1390 kg/m³ in DINP at 970 kg/m³. [-]"""
    return (resin / 1390) / (resin / 1390 + (1 - resin) / 970)


@pytest.mark.published(**FACTS, where="section 2, the same points in volume shares")
@pytest.mark.parametrize(
    ("resin", "printed"), [(0.10, 137), (0.15, 150), (0.20, 159), (0.25, 167), (0.30, 174)]
)
def test_written_in_volume_shares_the_line_stays_within_its_doubt(resin, printed, deviation):
    points = [volume_share(0.455), volume_share(0.704)]
    by_volume = line_through(points, [190 + ZERO_CELSIUS, 210 + ZERO_CELSIUS])
    found = float(gel_temperature(volume_share(resin), by_volume)) - ZERO_CELSIUS
    deviation(abs(found - printed))
    assert found == pytest.approx(printed, abs=0.6)  # printed to 1 °C
    assert 0 < found + ZERO_CELSIUS - float(gel_temperature(resin)) < LINE_DOUBT
