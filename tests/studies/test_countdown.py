"""The countdown of one cup: the worked case, what narrows, what widens, what a draw does."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import Impossible, InputError, OutOfRange
from partline.physics.heat_conduction import lumped_share
from partline.process.bench import Vessel
from partline.process.cup import cup_of
from partline.quantities.estimate import Estimate, Origin
from partline.studies.countdown import (
    Addition,
    CupHistory,
    Draw,
    Reading,
    Schedule,
    countdown,
    history_of,
)
from partline.studies.countdown.course import REFERENCE_LEAD
from partline.studies.countdown.history import cooled_by, course_of

ZERO = 273.15
ROOM, START, STOP = 22 + ZERO, 163 + ZERO, 152 + ZERO
CUP = cup_of(
    Vessel(capacity=5e-4, fill_limit=0.6, film=Estimate.exact(0.004), mass=Estimate.exact(0.18))
)
WORKED = ((0.0, 174.0), (40.0, 168.6))


def read(pairs, since_stir=0.0):
    return tuple(Reading(at=at, temperature=t + ZERO, since_stir=since_stir) for at, t in pairs)


def known(pairs=WORKED, **more):
    return CupHistory(room=ROOM, readings=read(pairs), **more)


def start_of(history, now=40.0):
    return countdown(history, now).crossing(START)


def width(estimate):
    return estimate.high - estimate.low


def test_the_worked_cup_starts_after_83_seconds_about_70_to_102():
    # 174.0 °C, then 168.6 after 40 s, room 22 °C → 163 °C at 83 s, about 70 to 102 s with a
    # reading error of 1 °C: shared/demo.md, worked; 40·ln(152/141)/ln(152/146.6) = 83.05.
    start = start_of(known())
    assert start.value == pytest.approx(83, abs=2)
    assert 66 <= start.low <= 74
    assert 97 <= start.high <= 108
    assert start.high - start.value > start.value - start.low  # late is likelier than early


def test_a_missing_reading_widens_and_a_third_narrows():
    one, two, three = (
        start_of(known(((0, 174.0), (40, 168.6), (65, 165.3))[:count])) for count in (1, 2, 3)
    )
    assert width(one) > 2 * width(two)
    assert width(three) < 0.7 * width(two)


def test_a_weighed_cup_is_known_better_than_any_cup():
    described = history_of(CUP, 0.1621, ROOM, read(WORKED[:1]))
    assert width(start_of(described)) < 0.6 * width(start_of(known(WORKED[:1])))


def test_readings_without_noise_follow_the_exact_cooling_of_a_lumped_body():
    times = np.arange(0.0, 300.0, 20.0)
    exact = ROOM + 152.0 * lumped_share(times, 1100.0)
    pairs = list(zip(times, exact - ZERO, strict=True))
    found = countdown(known(pairs, bend=1e-6), 280.0)  # Newton's law, which this body obeys
    # Fifteen readings of 0.6 K noise: 0.3 % of the time constant is far below their own range.
    assert found.time_constant().value == pytest.approx(1100.0, rel=0.01)
    assert found.crossing(STOP).value == pytest.approx(1100 * np.log(152 / 130), rel=0.01)
    low, middle, high = found.temperature(times)
    np.testing.assert_allclose(middle, exact, atol=0.1)
    assert np.all((low < exact) & (exact < high))


def test_one_slip_among_good_readings_is_seen_through():
    good = ((0, 174.0), (40, 168.6), (80, 163.4))
    slipped = known((*good, (60, 150.0)))
    assert start_of(slipped, 80.0).value == pytest.approx(start_of(known(good)).value, abs=3)


def test_a_reading_nobody_stirred_for_says_less_and_that_the_melt_may_be_warmer():
    skinned = known(WORKED[:1])
    skinned = replace(skinned, readings=(*skinned.readings, *read(WORKED[1:], since_stir=None)))
    assert width(start_of(skinned)) > 2 * width(start_of(known()))
    assert start_of(skinned).value > start_of(known()).value + 10


def test_a_reading_a_few_seconds_after_a_stir_is_just_stirred():
    assert start_of(replace(known(), readings=read(WORKED, since_stir=5.0))) == start_of(known())
    later = replace(known(), readings=(*read(WORKED[:1]), *read(WORKED[1:], since_stir=20.0)))
    assert width(start_of(later)) > 1.2 * width(start_of(known()))


def test_doubt_grows_with_the_time_since_the_last_reading():
    low, _, high = countdown(known(), 40.0).temperature(np.array([40.0, 80.0, 160.0, 320.0]))
    assert np.all(np.diff(high - low) > 0)


def test_a_coarser_thermometer_widens():
    assert width(start_of(known(between=2.0))) > 1.4 * width(start_of(known(between=1.0)))


def test_the_absolute_error_of_the_thermometer_cancels():
    # Band, readings and room read 4 °C low alike: the same start. What is left is the room,
    # which no infrared thermometer's error moves: 4 of 152 °C, under 3 %.
    shifted = known(tuple((at, t - 4) for at, t in WORKED))
    moved = countdown(shifted, 40.0).crossing(START - 4)
    assert moved.value == pytest.approx(start_of(known()).value, rel=0.03)


def test_a_draw_brings_the_stop_nearer():
    full = history_of(CUP, 0.1621, ROOM, read(WORKED))
    drawn = replace(full, draws=(Draw(at=90.0, mass=0.0264), Draw(at=110.0, mass=0.0264)))
    before, after = (countdown(each, 110.0).crossing(STOP).value for each in (full, drawn))
    # From 90 s on it goes 1.15 and from 110 s on 1.35 times as fast.
    assert 0.75 * before < after < before - 10


def test_an_unknown_cup_empties_by_the_usual_power():
    history = known(mass=0.1621)
    assert history.slowness(0.0567) == pytest.approx(CUP_RATIO, abs=0.02)
    assert known().slowness(0.0567) == 1.0  # nothing known of its filling: nothing assumed


CUP_RATIO = float(CUP.time_constant(0.0567, 436.0, ROOM) / CUP.time_constant(0.1621, 436.0, ROOM))


def test_cold_colourant_brings_the_start_nearer_by_its_heat():
    history = history_of(CUP, 0.1621, ROOM, read(WORKED))
    added = replace(history, additions=(Addition(at=60.0, mass=0.002),))
    held = float(CUP.heat_capacity(0.1621))
    share = np.log((held + 2150 * 0.002) / held)  # heat balance: C θ = (C + c m) θ'
    found = countdown(history, 60.0)
    tau = found.time_constant().value
    earlier = found.crossing(START).value - countdown(added, 60.0).crossing(START).value
    assert earlier == pytest.approx(tau * share, rel=0.1)


def test_a_warm_addition_cools_less_than_a_cold_one():
    def start(temperature):
        addition = Addition(at=50.0, mass=0.003, temperature=temperature)
        return start_of(replace(history_of(CUP, 0.16, ROOM, read(WORKED)), additions=(addition,)))

    assert start(None).value < start(340.0).value < start_of(known()).value + 3


def test_a_new_heat_begins_a_new_cooling_and_keeps_the_time_constant():
    reheated = known((*WORKED, (320, 172.0)), heats=(300.0,))
    fresh = known(((320, 172.0),))
    after, alone = (countdown(each, 320.0).crossing(START) for each in (reheated, fresh))
    assert width(after) < 0.6 * width(alone)
    assert after.value == pytest.approx(320 + 1105 * np.log(150 / 141), abs=4)


def test_without_a_reading_after_a_heat_a_forecast_stands_in_and_without_one_nothing():
    heated = known(heats=(300.0,))
    with pytest.raises(InputError, match="no reading since it was last heated"):
        countdown(heated, 310.0)
    forecast = Estimate(value=448.0, low=443.0, high=453.0, origin=Origin.COMPUTED)
    expected = countdown(replace(heated, expected=forecast), 310.0).crossing(START)
    read_too = known((*WORKED, (305, 174.2)), heats=(300.0,))
    both = countdown(replace(read_too, expected=forecast), 310.0).crossing(START)
    assert 300 < expected.low < expected.high
    assert width(both) < 0.6 * width(expected)


def test_a_start_that_has_passed_is_told_as_such():
    late = countdown(known((*WORKED, (90, 161.0))), 90.0).crossing(START)
    assert late.high < 90
    cold = countdown(known(((0, 160.0),)), 0.0).crossing(START)
    assert cold.value < 0


def test_no_cup_cools_below_its_room():
    with pytest.raises(Impossible, match="below the room"):
        countdown(known(), 40.0).crossing(ROOM - 1)


@pytest.mark.parametrize(
    "wrong", [{"between": 0.0}, {"time_constant": Estimate.exact(0.0)}], ids=str
)
def test_what_no_bench_has_is_refused(wrong):
    with pytest.raises(OutOfRange):
        known(**wrong)


@given(
    st.lists(st.tuples(st.floats(1.0, 300.0), st.floats(0.001, 0.02), st.booleans()), max_size=5),
    st.floats(-20.0, 500.0),
    st.floats(300.0, 3000.0),
    st.floats(0.8, 1.25),
)
@settings(deadline=None)
def test_when_a_course_has_fallen_and_how_far_are_inverse(events, time, tau, pace):
    draws = tuple(Draw(at=at, mass=mass) for at, mass, is_draw in events if is_draw)
    cold = tuple(Addition(at=at, mass=mass / 20) for at, mass, is_draw in events if not is_draw)
    history = known(mass=0.162, draws=draws, additions=cold)
    course = course_of(history, 0.0)
    fall = course.fall(time, tau, 150.0, 40.0, pace)
    found = float(course.when(fall, tau, 150.0, 40.0, pace))
    # Exactly at a cold addition the fall jumps, and every fall within the jump is its moment.
    assert found == pytest.approx(time, abs=1e-6)


@given(st.lists(st.floats(1.0, 300.0), max_size=6, unique=True))
def test_a_course_only_falls(moments):
    history = known(mass=0.162, draws=tuple(Draw(at=at, mass=0.02) for at in moments))
    course = course_of(history, 0.0)
    falls = course.fall(np.linspace(-50, 600, 400), 1000.0, 150.0, 40.0, 1.0)
    assert np.all(np.diff(falls) > 0)


@given(st.floats(0.05, 0.4), st.floats(300.0, 3000.0), st.floats(20.0, 180.0))
@settings(deadline=None)
def test_a_course_solves_its_own_equation_through_draws_and_additions(bend, tau, lead):
    draws = (Draw(at=50.0, mass=0.03), Draw(at=120.0, mass=0.03))
    cold = (Addition(at=80.0, mass=0.004),)
    history = known(mass=0.162, draws=draws, additions=cold, bend=bend)
    course = course_of(history, 0.0)
    theta = lead
    for begun, ended, mass in (
        (0, 50, 0.162),
        (50, 80, 0.132),
        (80, 120, 0.136),
        (120, 200, 0.106),
    ):
        step = (ended - begun) / 400
        slow = tau * history.slowness(mass)
        if begun == 80:
            theta *= np.exp(cooled_by(cold[0], history))
        for _ in range(400):  # the midpoint rule, on the plain differential equation
            half = theta - step / 2 * theta / slow * (theta / REFERENCE_LEAD) ** bend
            theta -= step * half / slow * (half / REFERENCE_LEAD) ** bend
    found = lead * np.exp(-course.fall(199.999999, tau, lead, 500.0, 1.0))
    assert found == pytest.approx(theta, rel=1e-5)  # steps of 0.1 s at 300 s: 1e-8 a step


# --- shots left, next reading ------------------------------------------------------------------


def schedule(**more):
    usual = {"first": 85.0, "every": 20.0, "mass": 0.0264, "draws": 6}
    return Schedule(**(usual | more))


def test_shots_left_are_the_draws_made_before_the_stop_of_an_emptying_cup():
    found = countdown(history_of(CUP, 0.1621, ROOM, read(WORKED)), 40.0)
    left = found.shots_left(STOP, schedule())
    by_hand = 1 + np.floor((left.stop.value - 85.0) / 20.0)
    assert left.middle == by_hand
    assert left.low <= left.middle <= left.high
    assert left.stop.value < found.crossing(STOP).value - 5
    assert not left.is_emptied


def test_two_shots_a_draw_count_twice_and_the_wanted_is_the_most():
    found = countdown(history_of(CUP, 0.1621, ROOM, read(WORKED)), 40.0)
    assert found.shots_left(STOP, schedule(shots_per_draw=2)).middle == 2 * (
        found.shots_left(STOP, schedule()).middle
    )
    few = found.shots_left(STOP, schedule(draws=2))
    assert (few.middle, few.is_emptied) == (2, True)


def test_a_slower_hand_has_fewer_shots():
    found = countdown(history_of(CUP, 0.1621, ROOM, read(WORKED)), 40.0)
    fast, slow = (found.shots_left(STOP, schedule(every=each)).middle for each in (15.0, 60.0))
    assert fast > slow >= 1


def test_a_schedule_nobody_can_pour_is_refused():
    with pytest.raises(OutOfRange):
        schedule(every=0.0)


def test_the_next_reading_is_asked_for_in_time_and_keeps_its_promise():
    found = countdown(known(), 40.0)
    due = found.next_reading(START)
    assert 40 + 15 <= due.at <= 40 + 60
    assert due.at < found.crossing(START).low
    # Read what is expected then: the range comes out about as narrow as was foretold.
    expected = float(found.temperature(due.at)[1, 0]) - ZERO
    after = start_of(known((*WORKED, (due.at, expected))), due.at)
    assert width(after) == pytest.approx(due.width_after, rel=0.25)
    assert due.width == pytest.approx(width(start_of(known())), rel=0.25)


def test_close_to_the_start_a_reading_is_due_at_once():
    due = countdown(known(), 70.0).next_reading(START)
    assert due.at == pytest.approx(85.0)


def test_the_same_readings_give_the_same_answer_in_any_order():
    turned = CupHistory(room=ROOM, readings=read(WORKED[::-1]))
    assert start_of(turned) == start_of(known())
