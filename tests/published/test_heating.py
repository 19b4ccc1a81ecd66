"""Heat into a cup against worked numbers."""

import pytest

from partline.process.cup import cup_of
from partline.process.heating import heated_cup
from partline.process.hot_place import edge_power
from tests.process.shed import bench, plastic_of


@pytest.mark.published(
    law="Heat into a cup of plastisol",
    source="mass-weighted specific heats, computed by an independent script (shared/facts, "
    "section 1, mark [X])",
    where="244 g from 23 to 175 °C: 70 kJ, and 0.3 kJ for fusion of 20 % resin",
)
def test_a_cup_takes_the_heat_that_was_worked(deviation):
    cup = heated_cup(cup_of(bench().vessel), plastic_of(), 0.244, 295.15)
    taken = cup.heat(448.15) - cup.heat(296.15)
    deviation(taken / 70.3e3 - 1)
    assert taken == pytest.approx(70.3e3, rel=0.02)  # two digits, and a mean of 1.9 J/(g·K)


@pytest.mark.published(
    law="Heat into a cup of plastisol",
    source="worked from the trade's three minutes for one cup in a 1000 W oven (shared/facts, "
    "section 7, mark [X])",
    where="39 % of the rated power reaches the plastic",
)
def test_three_minutes_for_a_cup_are_the_worked_share_of_the_ovens_power(deviation):
    cup = heated_cup(cup_of(bench().vessel), plastic_of(), 0.244, 295.15)
    share = (cup.heat(448.15) - cup.heat(296.15)) / 180.0 / 1000.0
    deviation(share / 0.39 - 1)
    assert share == pytest.approx(0.39, abs=0.01)  # two digits


@pytest.mark.published(
    law="Fading of microwaves in a cup",
    source="limits of hyperbolic functions, exact",
    where="a cup far narrower than the depth is heated evenly; a far wider one at its wall alone",
)
@pytest.mark.parametrize(("bore", "exact"), [(1e-3, 1.0), (20.0, 20.0 / 2 / 0.11 / 2)])
def test_fading_has_its_two_limits(deviation, bore, exact):
    found = edge_power(bore, 0.11)
    deviation(found / exact - 1)
    assert found == pytest.approx(exact, rel=0.02)  # the wide one's next term is 1/x
