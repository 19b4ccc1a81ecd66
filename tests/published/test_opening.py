"""Opening times and barrels against worked examples."""

import numpy as np
import pytest

from partline.physics.heat_conduction import SLAB, temperature_share
from partline.process.barrel import meeting_temperature
from partline.process.opening import ENDLESS
from partline.process.section_cooling import CoolingBody, cooling_body, rectangle_bend
from partline.process.shot_heat import Filled, shot_heat
from tests.process.shed import station

#: Diffusivity of the worked examples, a usual conductivity, a contact that resists nothing.
ALPHA, K, PERFECT = 7.5e-8, 0.14, 1e9


def opens(body, filled: Filled) -> float:
    """Time until the core of one body beside a mould that stays as it is. [s]"""
    heat = shot_heat(
        [(0, body, 1e-5)], alpha=ALPHA, k=K, contact=PERFECT, capacity=ENDLESS, loss=0.0,
        room=filled.room,
    )  # fmt: skip
    return heat.opens(0, filled)


@pytest.mark.published(
    law="Opening of mould by shells",
    source="One-term solution of the infinite cylinder, computed by an independent script "
    "(shared/facts, section 7, mark [X]), diffusivity 7.5e-8 m²/s",
    where="diameters of 6, 10 and 15 mm from 170 to 60 °C, wall held at 30 °C",
)
@pytest.mark.parametrize(("millimetres", "seconds"), [(6, 42), (10, 116), (15, 261)])
def test_a_round_bait_opens_after_the_worked_time(deviation, millimetres, seconds):
    body = cooling_body(station(millimetres, millimetres / 2, millimetres / 2))
    time = opens(body, Filled(pour=443.15, wall=303.15, room=295.15))
    deviation(time / seconds - 1)
    assert time == pytest.approx(seconds, abs=0.5)  # whole seconds


@pytest.mark.published(
    law="Opening of mould by shells",
    source="the demo workshop's worked numbers (shared/demo, one-term solution)",
    where="12 mm body from 163 °C, wall at 40 °C, core to 60 °C: 190 s",
)
def test_the_demos_body_opens_after_three_minutes_and_ten_seconds(deviation):
    body = cooling_body(station(12.0, 6.0, 6.0))
    time = opens(body, Filled(pour=436.15, wall=313.15, room=295.15))
    deviation(time / 190 - 1)
    assert time == pytest.approx(190, abs=0.5)  # whole seconds


@pytest.mark.published(
    law="Cooling of section between plate and bar",
    source="F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, 5th ed., "
    "Wiley 2002 (from memory)",
    where="section 5.8: a rectangular bar is the product of two plates",
)
@pytest.mark.parametrize("flatness", [0.25, 0.5, 0.8, 1.0])
def test_a_rectangular_bar_cools_as_the_product_of_two_plates(deviation, flatness):
    share = 0.16
    times = np.linspace(0.05, 1.5, 3000)
    core = temperature_share(SLAB, times, np.inf) * temperature_share(
        SLAB, times * flatness**2, np.inf
    )
    exact = float(np.interp(-share, -core, times))
    body = CoolingBody(size=1.0, bend=rectangle_bend(flatness))
    filled = Filled(pour=301.0, wall=300.0, room=295.0, open_at=300.0 + share)
    heat = shot_heat(
        [(0, body, 1.0)], alpha=1.0, k=1.0, contact=1e12, capacity=ENDLESS, loss=0.0, room=295.0
    )
    found = heat.opens(0, filled)
    deviation(found / exact - 1)
    assert found == pytest.approx(exact, rel=0.03)  # a power fitted to such products


@pytest.mark.published(
    law="Syringe and draw sharing all their heat",
    source="balance of heat with full sharing, worked by an independent script",
    where="90 g at 170 °C in 300 g of aluminium at 22, 100 and 130 °C: 79, 127 and 146 °C",
)
@pytest.mark.parametrize(("barrel", "printed"), [(22, 79), (100, 127), (130, 146)])
def test_plastic_and_barrel_meet_where_it_was_worked(deviation, barrel, printed):
    meeting = meeting_temperature(0.090, 443.15, 0.300, barrel + 273.15) - 273.15
    deviation(meeting / printed - 1)
    assert meeting == pytest.approx(printed, abs=0.6)  # whole degrees, specific heat of 2 digits
