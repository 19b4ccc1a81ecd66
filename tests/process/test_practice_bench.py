"""The practice bench: heat is kept, skins form and are stirred in, the thermometer errs."""

import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.process.practice_bench import (
    advanced,
    drawn,
    filled,
    new_bench,
    poured,
    stirred,
    stored_heat,
)
from partline.process.practice_bench.thermometer import plain_reading
from partline.quantities.constants import ZERO_CELSIUS

HOT = 448.15

acts = st.lists(
    st.one_of(
        st.tuples(st.just("wait"), st.floats(0.5, 40.0)),
        st.tuples(st.just("burst"), st.floats(1.0, 20.0)),
        st.tuples(st.just("stir"), st.none()),
        st.tuples(st.just("draw"), st.floats(0.001, 0.03)),
        st.tuples(st.just("add"), st.floats(0.0, 3.0)),
    ),
    max_size=8,
)


def acted(bench, deeds):
    for deed, size in deeds:
        match deed:
            case "wait":
                bench = bench.advance(size)
            case "burst":
                bench = bench.burst("A", size)
            case "stir":
                bench = bench.stir(None)
            case "draw":
                bench = bench.draw(None, size)
            case "add":
                bench = bench.add("B", size)
    return bench


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10_000), acts)
def test_what_is_stored_and_lost_is_what_was_given(seed, deeds):
    bench = new_bench(seed, (0.26, 0.26), temperature=430.0)
    before = stored_heat(bench.hidden, bench.melt)
    after = acted(bench, deeds)
    held = stored_heat(after.hidden, after.melt)
    # The account is carried by the same step as the temperatures: only rounding is left.
    np.testing.assert_allclose(
        held + after.melt.lost - after.melt.given - after.melt.moved, before, rtol=1e-11
    )


def test_a_cup_as_warm_as_its_room_stays_so():
    bench = new_bench(1)
    later = bench.advance(300)
    np.testing.assert_allclose(later.melt.layers, bench.melt.layers, atol=1e-9)


def test_a_skin_forms_and_is_stirred_in_and_forms_again():
    bench = new_bench(2, temperature=HOT)
    left = bench.advance(40)
    skin = left.melt.bulk - left.melt.surface
    # A skin left alone is 5 to 20 °C colder: common practice, no source.
    assert np.all((skin > 2) & (skin < 20))
    mixed = left.stir(None)
    np.testing.assert_allclose(mixed.melt.bulk, mixed.melt.surface, atol=1e-9)
    again = mixed.advance(40)
    assert np.all(again.melt.bulk - again.melt.surface > 0.7 * skin)


def test_a_reading_jumps_up_when_the_cup_is_stirred():
    bench = new_bench(3, temperature=HOT).stir(None).advance(50)
    unstirred, bench = bench.read("A")
    just_stirred, bench = bench.stir("A").advance(3).read("A")
    assert just_stirred > unstirred + 1


def test_an_emptier_cup_cools_faster():
    hidden = drawn(np.random.default_rng(4), 2)
    melt = filled(hidden, np.array([0.16, 0.16]), HOT)
    melt = poured(hidden, melt, np.array([0.0, -0.10]))
    later = advanced(hidden, melt, 60)
    fall = melt.bulk - later.bulk
    assert fall[1] > 1.4 * fall[0]


def test_cold_stuff_cools_and_only_its_own_cup():
    bench = new_bench(5, temperature=HOT)
    after = bench.add("B", 5.0)
    assert after.melt.bulk[1] < HOT - 3
    assert after.melt.bulk[0] == pytest.approx(HOT, abs=1e-9)
    assert after.melt.mass[1] == pytest.approx(0.1671, abs=1e-12)


def test_a_burst_warms_the_cup_in_the_oven_alone():
    bench = new_bench(6)
    after = bench.burst("A", 60)
    assert after.melt.bulk[0] > 330
    assert after.melt.bulk[1] == pytest.approx(bench.melt.bulk[1], abs=1e-6)
    both = bench.burst(None, 60)
    assert np.all(both.melt.bulk > bench.melt.bulk + 10)
    assert both.melt.given.sum() == pytest.approx(after.melt.given.sum(), rel=1e-9)


def test_the_thermometer_is_mis_set_drifts_and_rounds():
    bench = new_bench(7, temperature=HOT)
    # Set to 0.95, colours shine with 0.91 to 0.95: it never reads high.
    assert np.all(bench.true_reading() < bench.true_bulk())
    early = plain_reading(bench.hidden, HOT, 0.0)
    late = plain_reading(bench.hidden, HOT, 3600.0)
    assert np.all(late <= early)
    shown, _ = bench.read("B")
    assert shown == round(shown)


def test_the_same_seed_gives_the_same_bench_and_readings():
    one, other = (acted(new_bench(8, temperature=HOT), [("wait", 30.0)]) for _ in range(2))
    assert one.read("A")[0] == other.read("A")[0]
    first, after = one.read("A")
    seen = {after.read("A")[0] for _ in range(3)}
    assert len(seen) == 1
    different = {new_bench(seed, temperature=HOT).advance(30).read("A")[0] for seed in range(12)}
    assert len(different) > 3
    assert first == one.read("A")[0]


def test_a_bench_goes_through_a_process_border():
    bench = new_bench(9, temperature=HOT).advance(20)
    again = pickle.loads(pickle.dumps(bench))
    np.testing.assert_array_equal(again.melt.layers, bench.melt.layers)
    assert again.read("A")[0] == bench.read("A")[0]


def test_a_bench_may_have_one_cup():
    bench = new_bench(10, (0.15,), temperature=HOT).stir(None).advance(2)
    assert bench.read("A")[0] > 150
    with pytest.raises(OutOfRange, match="no cup B"):
        bench.read("B")


@pytest.mark.parametrize(
    "act",
    [
        lambda bench: bench.advance(-1),
        lambda bench: bench.draw("A", 0.5),
        lambda bench: bench.draw("A", -0.1),
        lambda bench: bench.add("A", 900.0),
        lambda bench: bench.add("A", -1.0),
    ],
)
def test_what_no_bench_does_is_refused(act):
    with pytest.raises(OutOfRange):
        act(new_bench(11, temperature=HOT))


def test_stirring_takes_a_little_heat_into_the_cold_stirrer():
    hidden = drawn(np.random.default_rng(12), 2)
    melt = filled(hidden, 0.16, HOT)
    after = stirred(hidden, melt)
    assert np.all((melt.bulk - after.bulk > 0.05) & (melt.bulk - after.bulk < 3))
    twice = stirred(hidden, after)
    np.testing.assert_allclose(twice.bulk, after.bulk, atol=1e-9)  # it is as warm by now


def test_a_start_is_judged_by_what_a_hand_would_read_a_moment_after_a_stir():
    off = []
    for seed in range(12):
        bench = new_bench(seed).burst(None, 420).stir(None).advance(40).stir(None).advance(3)
        told = bench.stirred_reading() - ZERO_CELSIUS
        for place, cup in enumerate("AB"):
            for _ in range(6):
                shown, bench = bench.read(cup)
                off.append(shown - told[place])
    assert abs(np.mean(off)) < 3 * np.std(off) / np.sqrt(len(off)) + 0.1
