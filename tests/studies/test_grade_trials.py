"""Chips of the plain plastic and a timed flow: what goes in comes out again, and narrows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from partline.errors import InputError, OutOfRange
from partline.process.melt_viscosity import hot_melt, melt_scale
from partline.process.optics import HEAT, Condition, side_optics
from partline.process.yellow import YELLOW_DECAY, YELLOWING
from partline.quantities.estimate import Estimate, Origin
from partline.studies.grade_trials import (
    chip_yellow,
    melt_scale_from_flow,
    yellowing_from_chips,
)
from tests.process.shed import drops, plastic_of, shelf

SOFT = shelf().grade("soft")
DOSE, THICK = 1800.0, 4e-3


def within(value: float, off: float) -> Estimate:
    return Estimate(value=value, low=value - off, high=value + off, origin=Origin.MEASURED)


def yellower(scale: float) -> float:
    fresh, heated = (
        chip_yellow(SOFT, THICK, DOSE, each, YELLOW_DECAY.value) for each in (0.0, scale)
    )
    return heated - fresh


@pytest.mark.parametrize("true", [0.004, 0.012, 0.04])
def test_a_scale_that_made_a_chip_yellow_is_found_again(true):
    found = yellowing_from_chips(
        SOFT, within(yellower(true), 1.0), within(THICK, 1e-4), within(DOSE, 200.0)
    )
    assert found.value == pytest.approx(true, rel=1e-3)
    assert found.low < true < found.high
    assert found.high / found.low < 0.2 * YELLOWING.high / YELLOWING.low


def test_a_finer_reading_narrows_a_yellowing():
    widths = [
        np.log(found.high / found.low)
        for off in (3.0, 0.5)
        for found in [yellowing_from_chips(SOFT, within(8.0, off), within(THICK, 1e-5),
                                           within(DOSE, 10.0))]
    ]  # fmt: skip
    assert widths[1] < widths[0]


def test_what_is_hardly_yellower_or_brown_is_refused():
    with pytest.raises(OutOfRange, match="can be told from nothing"):
        yellowing_from_chips(SOFT, within(0.4, 0.3), within(THICK, 1e-4), within(DOSE, 200.0))
    with pytest.raises(OutOfRange, match="outside this law"):
        yellowing_from_chips(SOFT, within(120.0, 1.0), within(THICK, 1e-4), within(DOSE, 200.0))


def with_grade(**known):
    plastic = plastic_of(drops("Peat", 3))
    parts = tuple(
        replace(part, supply=replace(part.supply, **known)) if part.supply == SOFT else part
        for part in plastic.parts
    )
    return type(plastic)(parts=parts)


def test_a_grades_own_yellowing_is_what_a_look_after_heat_rests_on():
    own = Estimate(value=0.02, low=0.015, high=0.027, origin=Origin.MEASURED, count=1)
    plain, known = (
        side_optics(plastic, Condition(dose=DOSE))
        for plastic in (plastic_of(drops("Peat", 3)), with_grade(yellowing=own))
    )
    assert plain.names[-1] == known.names[-1] == HEAT
    np.testing.assert_allclose(known.absorption[-1], 2.0 * plain.absorption[-1], rtol=1e-12)
    assert known.spread[-1] < 0.2 * plain.spread[-1]


def flow(**more) -> dict[str, Estimate]:
    sizes = {
        "seconds": within(40.0, 0.5), "volume": within(50e-6, 2e-6), "bore": within(8e-3, 5e-5),
        "tube_length": within(40e-3, 1e-3), "head_before": within(0.1, 1e-3),
        "head_after": within(0.075, 1e-3), "temperature": within(445.0, 2.0),
    }  # fmt: skip
    return sizes | more


def test_a_timed_flow_gives_back_the_viscosity_it_was_timed_at():
    thick, scale = melt_scale_from_flow(SOFT, **flow())
    assert scale.high / scale.low < 0.3 * melt_scale().high / melt_scale().low
    melt = hot_melt(with_grade(melt_scale=scale))
    assert melt.scale is scale
    assert float(melt.viscosity(445.0)) == pytest.approx(thick.value, rel=1e-6)


def test_a_slower_flow_is_a_thicker_melt_and_one_too_fast_or_set_is_refused():
    slow, quick = (
        melt_scale_from_flow(SOFT, **flow(seconds=within(s, 0.5)))[0].value for s in (80.0, 20.0)
    )
    assert slow > 3.9 * quick  # the time, and a little less speed
    with pytest.raises(OutOfRange, match="into speed"):
        melt_scale_from_flow(SOFT, **flow(seconds=within(0.2, 0.01)))
    with pytest.raises(InputError, match="had set"):
        melt_scale_from_flow(SOFT, **flow(temperature=within(395.0, 2.0)))
