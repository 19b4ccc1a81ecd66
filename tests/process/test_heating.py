"""A cup in the oven: every joule is stored or lost."""

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.process.cup import cup_of
from partline.process.heating import CupState, HeatedCup, heated_cup, salt_share
from tests.process.shed import bench, grams, plastic_of

ROOM = 295.15
COLD = CupState(melt=ROOM, glass=ROOM)


@cache
def cup(mass: float = 0.15, salt: float = 0.0) -> HeatedCup:
    plastic = plastic_of(grams("fine salt", salt)) if salt else plastic_of()
    return heated_cup(cup_of(bench().vessel), plastic, mass, ROOM)


@settings(deadline=None, max_examples=40)
@given(
    st.floats(280, 440), st.floats(280, 440), st.floats(0, 90), st.floats(0, 250),
    st.sampled_from([0.0, 10.0]),
)  # fmt: skip
def test_what_is_given_is_stored_or_lost(melt, glass, seconds, power, salt):
    begun = CupState(melt=melt, glass=glass)
    went = cup(salt=salt).after(begun, seconds, power)
    gained = cup(salt=salt).stored(went.state) - cup(salt=salt).stored(begun)
    assert gained + went.lost == pytest.approx(went.given, abs=1e-6)


@settings(deadline=None)
@given(st.floats(260, 495))
def test_heat_and_temperature_are_one_anothers_inverse(kelvin):
    for each in (cup(), cup(salt=15.0)):
        assert each.temperature(each.heat(kelvin)) == pytest.approx(kelvin, abs=1e-9)


def test_melting_crystals_take_their_heat_once():
    from dataclasses import replace

    without = replace(cup(), resin=0.0)
    extra = cup().heat(480.0) - without.heat(480.0)
    assert extra == pytest.approx(6.3e3 * 0.15 * 0.15, rel=1e-9)  # 6.3 J/g, 15 % of 150 g
    assert cup().heat(400.0) == pytest.approx(without.heat(400.0), rel=1e-12)


@settings(deadline=None, max_examples=30)
@given(st.floats(0.0, 0.02), st.floats(0.0, 0.02), st.floats(400, 450))
def test_what_is_stirred_in_shares_its_heat(plastic, salt, melt):
    before = CupState(melt=melt, glass=melt - 20)
    fuller, after = cup().with_added(before, plastic=plastic, salt=salt, warm=ROOM)
    assert fuller.mass == pytest.approx(cup().mass + plastic + salt, abs=1e-12)
    assert after.melt <= melt + 1e-9
    assert after.melt > ROOM
    nothing, same = cup().with_added(before, warm=ROOM)
    assert nothing.mass == cup().mass
    assert same.melt == pytest.approx(melt, abs=1e-9)


def test_a_salted_cup_takes_less_heat_and_a_fuller_one_more():
    rise = [
        each.after(COLD, 60.0, 180.0).state.melt
        for each in (cup(0.2), cup(0.15), cup(0.15, salt=20.0))
    ]
    assert rise == sorted(rise)


def test_a_cup_that_stands_falls_towards_the_room():
    warm = cup().resting(440.0)
    assert ROOM < warm.glass < warm.melt == 440.0
    later = cup().after(warm, 120.0)
    assert ROOM < later.state.melt < 440.0
    assert later.given == 0.0


def test_a_resting_glass_passes_on_what_it_takes():
    warm = cup().resting(440.0)
    _, away = cup().losses(warm)
    assert cup().exchange * (warm.melt - warm.glass) == pytest.approx(away, rel=1e-6)


def test_an_oven_left_on_is_refused_with_what_to_do():
    with pytest.raises(OutOfRange, match="shorter bursts"):
        cup().after(COLD, 3600.0, 400.0)
    with pytest.raises(OutOfRange, match="below 0"):
        cup().after(COLD, -1.0)


def test_salt_counts_as_salt():
    assert salt_share(plastic_of()) == 0.0
    assert salt_share(plastic_of(grams("fine salt", 12.0))) == pytest.approx(0.12)
