"""Thermal shrink of a fused bait, from the growth row alone."""

import pytest

from partline.materials.published import published
from partline.physics.mixtures import expanded_density

FACTS = {
    "law": "Thermal shrink of a gel",
    "source": "worked by hand in the project's collection of facts from β = 7.0e-4 /K (β of "
    "phthalate and of PVC from memory)",
}


def shrink(hot_celsius: float, expansion: float) -> float:
    """Share of the hot volume that is gone at 23 °C. [-]"""
    return 1 - float(expanded_density(1.0, expansion, hot_celsius + 273.15))


@pytest.mark.published(**FACTS, where="section 1, thermal shrink from 170 and 155 to 23 °C")
@pytest.mark.parametrize(("hot", "printed"), [(170, 0.093), (155, 0.085)])
def test_a_bait_shrinks_on_cooling_as_it_was_worked_out(hot, printed, deviation):
    found = shrink(hot, published("gel", "volumetric expansion").value)
    deviation(abs(found - printed))
    assert found == pytest.approx(printed, rel=0, abs=5e-4)  # printed to 0.1 %


@pytest.mark.published(**FACTS, where="section 1, range of the shrink from 170 °C")
@pytest.mark.parametrize(("expansion", "printed"), [(6.5e-4, 0.087), (7.5e-4, 0.099)])
def test_the_range_of_the_shrink_follows_from_the_range_of_the_growth(
    expansion, printed, deviation
):
    found = shrink(170, expansion)
    deviation(abs(found - printed))
    assert found == pytest.approx(printed, rel=0, abs=5e-4)  # printed to 0.1 %


@pytest.mark.published(**FACTS, where="section 1, 2.8 % linear from 155 °C")
def test_a_third_of_the_shrink_is_seen_along_the_bait(deviation):
    found = shrink(155, published("gel", "volumetric expansion").value) / 3
    deviation(abs(found - 0.028))
    assert found == pytest.approx(0.028, rel=0, abs=5e-4)  # a small shrink, printed to 0.1 %
