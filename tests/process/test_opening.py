"""A mould opens later the thicker, hotter and warmer it is, and no heat is lost on the way."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import Impossible, OutOfRange
from partline.materials.mould import SectionShape
from partline.process.mould_heat import mould_heat
from partline.process.opening import Closed, follow, opening, through_run
from partline.process.shot_heat import LONGEST, Filled, metal_heat, volume_shares
from partline.quantities.estimate import Estimate
from tests.process.shed import mould, mould_of, station

SHOT = 0.0498
WARM = Filled(pour=436.15, wall=313.15, room=295.15)


def first_time(filled: Filled, shape=SectionShape.ROUND, width=12.0, half=6.0) -> float:
    one = mould_of(station(width, half, half, shape))
    return opening(one, filled, mould_heat(one), 0.03).binding.time.value


def test_the_thickest_station_keeps_the_mould_closed():
    found = opening(mould(), WARM, mould_heat(mould()), SHOT)
    assert found.binding.name == "belly"
    times = [each.time.value for each in found.stations]
    sizes = [each.body.size for each in found.stations]
    assert np.argsort(times).tolist() == np.argsort(sizes).tolist()


def test_a_range_holds_its_figure_and_says_what_narrows_it():
    for each in opening(mould(), WARM, mould_heat(mould()), SHOT).stations:
        assert each.time.low < each.time.value < each.time.high
        assert each.time.narrows


def test_a_plate_takes_about_twice_as_long_as_a_round_bar():
    wide = first_time(WARM, SectionShape.FLAT_BOTTOMED, width=400.0)
    assert wide / first_time(WARM) == pytest.approx(2.1, abs=0.1)


@settings(deadline=None, max_examples=25)
@given(st.floats(120, 200), st.floats(10, 50), st.floats(52, 90))
def test_hotter_plastic_and_warmer_walls_open_later_and_warmer_cores_sooner(pour, wall, core):
    filled = Filled(pour=pour + 273.15, wall=wall + 273.15, room=295.15, open_at=core + 273.15)
    time = first_time(filled)
    assert first_time(replace(filled, pour=filled.pour + 5)) > time
    assert first_time(replace(filled, wall=filled.wall + 1)) > time
    assert first_time(replace(filled, open_at=filled.open_at + 5)) < time


@settings(deadline=None, max_examples=25)
@given(st.floats(0, 3000), st.floats(0.3, 5.0))
def test_plastic_and_mould_keep_their_heat_in_a_room_as_warm_as_they_become(time, kilograms):
    # A room at the meeting temperature takes at first and gives later; the balance is exact.
    metal = mould_heat(mould(), Estimate.exact(kilograms))
    heat = metal_heat(mould(), replace(metal, air=Estimate.exact(0.0)), SHOT, 295.15)
    start = heat.start(WARM)
    network = heat.modes.network
    after = heat.modes.after(start, time)
    assert network.stored(after) == pytest.approx(network.stored(start), rel=1e-10)


def test_a_mould_warms_from_shot_to_shot_and_opens_later():
    run = through_run(mould(), WARM, mould_heat(mould()), SHOT, shots=6, every=300.0)
    walls = [each.wall for each in run]
    times = [each.time.value for each in run]
    assert walls == sorted(walls)
    assert times == sorted(times)
    assert times[-1] > 1.5 * times[0]
    assert [each.time.low for each in run] == sorted(each.time.low for each in run)
    assert all(each.warmed > each.wall for each in run)


def test_a_heavy_mould_that_rests_opens_every_shot_alike():
    heavy = mould_heat(mould(), Estimate.exact(40.0))
    cold = replace(WARM, wall=WARM.room)
    run = through_run(mould(), cold, heavy, SHOT, shots=4, every=1e6)
    assert [each.time.value for each in run] == pytest.approx([run[0].time.value] * 4, rel=1e-6)
    held = opening(mould(), cold, heavy, SHOT).binding.time.value
    assert run[0].time.value == pytest.approx(held, rel=0.01)  # 40 kg warm by 0.3 K


def test_a_mould_left_closed_longer_is_cooler_for_the_next_shot():
    metal = mould_heat(mould())
    soon, late = (
        follow(mould(), WARM, metal, SHOT, [Closed(closed=closed, every=closed + 30), Closed()])
        for closed in (250.0, 1500.0)
    )
    assert late[1].wall < soon[1].wall
    assert late[1].time.value < soon[1].time.value


def test_volumes_are_shared_whole():
    for name in ("reed-130", "fry-75"):
        shares = volume_shares(mould(name))
        assert shares.sum() == pytest.approx(1.0, abs=1e-12)
        assert np.all(shares > 0)


def test_what_cannot_cool_is_said_plainly():
    metal = mould_heat(mould())
    with pytest.raises(Impossible, match="Cool the mould"):
        opening(mould(), replace(WARM, wall=WARM.open_at), metal, SHOT)
    with pytest.raises(Impossible, match="room"):
        opening(mould(), replace(WARM, open_at=294.0, wall=280.0), metal, SHOT)
    with pytest.raises(OutOfRange, match="already"):
        opening(mould(), replace(WARM, pour=330.0), metal, SHOT)
    with pytest.raises(OutOfRange, match="shots"):
        through_run(mould(), WARM, metal, SHOT, shots=0, every=300.0)
    hot_room = replace(WARM, wall=340.0, room=WARM.open_at - 0.001)
    with pytest.raises(Impossible, match="fan"):
        through_run(mould(), hot_room, metal, SHOT, shots=1, every=LONGEST)


def test_a_mould_of_something_else_says_that_the_times_are_not_for_it():
    assert not mould_heat(mould()).notes
    plaster = mould_heat(replace(mould(), material="plaster"))
    assert "plaster" in plaster.notes[0].text


@settings(deadline=None)
@given(st.floats(0, 1e5), st.floats(0.1, 10.0), st.floats(270, 420))
def test_an_empty_mould_goes_to_the_room_and_no_further(time, kilograms, warm):
    metal = mould_heat(mould())
    left = metal.cooled(warm, 295.15, time, kilograms)
    assert min(warm, 295.15) - 1e-9 <= left <= max(warm, 295.15) + 1e-9
