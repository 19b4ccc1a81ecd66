"""The band says which limit binds at each end."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import Impossible
from partline.process.bench import Thermometer
from partline.process.composition import Composition, compose
from partline.process.melt_viscosity import hot_melt
from partline.process.recipe import Half
from partline.process.working_band import (
    WAY,
    Learned,
    Limit,
    flow_viscosity,
    working_band,
)
from partline.quantities.estimate import Estimate, Origin
from tests.process.shed import bench, grams, mould, plastic_of, shelf, side_of

SHOT, PUSH = 57e-6, 6.0


def band(*plastics: Composition, where=None, **more):
    asked = {"shot": SHOT, "push": PUSH} | more
    return working_band(plastics or (plastic_of(),), mould(), where or bench(), **asked)


def warmed(plastic: Composition, **labels) -> Composition:
    """The same plastic with other temperatures on its grade's label."""
    parts = tuple(
        replace(part, supply=replace(part.supply, **labels))
        if part.supply in [grade for grade, _ in plastic.grades]
        else part
        for part in plastic.parts
    )
    return Composition(parts=parts)


def test_the_demos_band_is_its_label():
    found = band()
    assert found.start.temperature.value == pytest.approx(438.15)
    assert found.stop.temperature.value == pytest.approx(423.15)
    assert found.start.limit is found.stop.limit is Limit.LABEL


def test_two_sides_share_the_narrower_band():
    medium = compose(side_of(Half.BELLY, grade="medium"), shelf())
    found = band(plastic_of(), medium)
    assert found.stop.temperature.value == pytest.approx(428.15)
    assert found.start.temperature.value == pytest.approx(438.15)


def test_a_label_that_runs_into_setting_is_held_back():
    stiff = warmed(plastic_of(), band_low=400.0, gel_line=420.0)
    found = band(stiff)
    assert found.stop.limit is Limit.SETTING
    assert found.stop.temperature.value == pytest.approx(430.0)


def test_a_thermometer_that_is_off_keeps_the_start_off_the_ceiling():
    hot = warmed(plastic_of(), band_high=457.0)
    off = Thermometer(emissivity=0.95, between_cups=1.0, absolute=15.0)
    rough = replace(bench(), thermometer=off)
    found = band(hot, where=rough)
    assert found.start.limit is Limit.CEILING
    assert found.start.temperature.value == pytest.approx(458.15 - 15)


def test_a_narrow_gate_or_a_quick_push_makes_the_flow_bind():
    cold = warmed(plastic_of(), band_low=390.0, gel_line=395.0)
    tight = replace(mould(), gate=2.4e-3)
    found = working_band([cold], tight, bench(), shot=SHOT, push=PUSH)
    assert found.stop.limit is Limit.FLOW
    quicker = working_band([cold], tight, bench(), shot=SHOT, push=PUSH / 2)
    assert quicker.stop.temperature.value > found.stop.temperature.value
    most = flow_viscosity(2.4e-3, SHOT / PUSH, 80e3)
    at_stop = float(hot_melt(cold).viscosity(found.stop.temperature.value))
    assert at_stop == pytest.approx(most, rel=1e-3)  # root to 1 mK


def test_what_was_learned_binds_where_it_is_tighter():
    learned = Learned(
        start=Estimate.within(436.0, 0.002, Origin.MEASURED),
        stop=Estimate.within(427.0, 0.002, Origin.MEASURED),
    )
    found = band(learned=learned)
    assert found.start.limit is found.stop.limit is Limit.LEARNED
    loose = band(learned=Learned(start=Estimate.exact(450.0), stop=Estimate.exact(400.0)))
    assert loose.start.limit is loose.stop.limit is Limit.LABEL


def test_no_band_is_said_plainly():
    with pytest.raises(Impossible, match="No temperature is left"):
        band(learned=Learned(start=Estimate.exact(420.0)))


def test_a_guess_may_narrow_a_band_but_not_close_it():
    pinhole = replace(mould(), gate=1.8e-3)
    found = working_band([plastic_of()], pinhole, bench(), shot=SHOT, push=PUSH)
    assert found.stop.limit is Limit.LABEL
    assert found.stops[-1].limit is Limit.FLOW
    assert found.stops[-1].temperature.value > found.start.temperature.value
    with pytest.raises(Impossible, match="gate"):
        working_band([plastic_of()], replace(mould(), gate=0.5e-3), bench(), shot=SHOT, push=PUSH)


def test_a_mould_without_a_gate_is_not_judged_by_its_flow():
    found = working_band(
        [plastic_of()], replace(mould(), gate=None), bench(), shot=SHOT, push=PUSH
    )
    assert Limit.FLOW not in {end.limit for end in found.stops}


@settings(deadline=None)
@given(st.floats(2e-3, 10e-3), st.floats(1e-6, 2e-5))
def test_a_wider_gate_passes_a_thicker_melt(gate, flow):
    here = flow_viscosity(gate, flow, 80e3)
    assert flow_viscosity(1.1 * gate, flow, 80e3) == pytest.approx(1.1**4 * here, rel=1e-9)
    assert 80e3 / WAY > 0


@settings(deadline=None, max_examples=20)
@given(st.floats(0, 30), st.floats(425, 450))
def test_salt_and_cold_thicken_a_melt(salt, warm):
    plain, filled = hot_melt(plastic_of()), hot_melt(plastic_of(grams("fine salt", salt + 1)))
    assert float(filled.viscosity(warm)) > float(plain.viscosity(warm))
    assert float(plain.viscosity(warm - 3)) > float(plain.viscosity(warm))
    known = plain.likely_viscosity(warm)
    assert known.high / known.low == pytest.approx(5 / 0.3, rel=1e-6)


def checked(offset: float, off: float = 1.0):
    """The demo's bench with a thermometer whose readings need so much added."""
    there = bench()
    assert there.thermometer is not None
    known = Estimate(value=offset, low=offset - off, high=offset + off, origin=Origin.MEASURED)
    return replace(there, thermometer=replace(there.thermometer, offset=known))


def test_a_checked_thermometer_shows_the_labels_band_as_it_reads():
    low = band(where=checked(4.0))
    assert low.start.temperature.value == pytest.approx(438.15 - 4.0)
    assert low.stop.temperature.value == pytest.approx(423.15 - 4.0)


@given(offset=st.floats(-20.0, 20.0), off=st.floats(0.2, 4.0))
def test_a_thermometer_that_reads_low_never_raises_a_ceiling(offset, off):
    there = checked(offset, off)
    assert there.thermometer is not None
    hot = warmed(plastic_of(), band_high=458.0, ceiling=458.15)
    try:
        found = band(hot, where=there)
    except Impossible:  # so far off that no band is left: said, not shifted
        return
    ceilings = [end.temperature.value for end in found.starts if end.limit is Limit.CEILING]
    assert ceilings == [pytest.approx(458.15 - max(offset + off, 1.0))]
    assert all(each < 458.15 for each in ceilings)
