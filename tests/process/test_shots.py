"""Heats and moulds: nothing is shot twice, no mould is in two places, and the band rules."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import Impossible, OutOfRange
from partline.process.shooting import Limit
from partline.process.shots import (
    fewest_heats,
    openings,
    rotation,
    shots_in_band,
    shots_per_heat,
)
from partline.quantities.estimate import Estimate
from tests.process.shooting import demo_shooting


@settings(deadline=None, max_examples=20)
@given(st.lists(st.integers(1, 8), min_size=1, max_size=3), st.integers(1, 6))
def test_every_shot_is_made_once_in_a_free_mould_and_in_the_band(melts, moulds):
    shooting = demo_shooting()
    found = rotation(shooting, melts, moulds)
    assert [shot.number for shot in found.shots] == list(range(1, sum(melts) + 1))
    assert sum(heat.shots for heat in found.heats) == sum(melts)
    busy: dict[int, float] = {}
    last = 0.0
    for shot in found.shots:
        assert shot.at >= last
        assert shot.at >= busy.get(shot.mould, 0.0) - 1e-6
        busy[shot.mould] = shot.opens_at + shooting.pace.unloading
        assert shooting.stop - 1e-9 <= shot.cup <= shooting.start + 1e-9
        last = shot.at
    assert found.top_ups == len(found.heats) - len(melts)
    for melt, shots in enumerate(melts, start=1):
        assert sum(heat.shots for heat in found.heats if heat.melt == melt) == shots


@pytest.mark.parametrize("melts", [(6, 5), (8,)])
def test_more_moulds_never_take_more_heats(melts):
    heats = [len(rotation(demo_shooting(), melts, moulds).heats) for moulds in range(1, 7)]
    assert heats == sorted(heats, reverse=True)


def test_a_heat_says_why_it_ended():
    few = rotation(demo_shooting(), (6,), 1)
    assert few.heats[0].limit is Limit.MOULDS
    assert few.heats[-1].limit is Limit.MELT
    slow = replace(
        demo_shooting(), pace=replace(demo_shooting().pace, handling=Estimate.exact(120.0))
    )
    assert rotation(slow, (6,), 6).heats[0].limit is Limit.BAND


def test_an_emptier_cup_allows_fewer_shots_than_its_plastic():
    # With plastic for one shot there is one; with more the last ones are drawn from a small,
    # fast cup.
    allowed = [shots_in_band(demo_shooting(), left) for left in range(1, 11)]
    assert allowed[0] == 1
    assert allowed == sorted(allowed)
    assert allowed[-1] < 10


def test_a_mould_opens_later_the_more_it_was_used():
    closed = openings(rotation(demo_shooting(), (6, 5), 1), 1)
    assert closed[5] > closed[0] + 60
    assert list(closed[:6]) == sorted(closed[:6])


@settings(deadline=None, max_examples=15)
@given(st.integers(1, 30), st.integers(1, 4), st.integers(1, 5))
def test_sharing_for_the_fewest_heats_uses_every_shot_and_no_cup_overflows(shots, melts, moulds):
    shots = min(shots, 9 * melts)  # no cup of the demo's holds more than 10
    melts = min(melts, shots)
    largest = -(-shots // melts) + 1
    shares = fewest_heats(demo_shooting(), shots, melts, largest, moulds)
    assert sum(shares) == shots
    assert len(shares) == melts
    assert max(shares) <= largest
    assert min(shares) >= 1


def test_slower_hands_and_draughts_widen_the_count():
    known = shots_per_heat(demo_shooting(), 6, 6)
    assert known.low <= known.value <= known.high
    assert known.low < known.high


def test_what_cannot_be_rotated_is_refused():
    with pytest.raises(OutOfRange, match="moulds"):
        rotation(demo_shooting(), (6,), 0)
    with pytest.raises(OutOfRange, match="shots"):
        rotation(demo_shooting(), (), 1)
    with pytest.raises(Impossible, match="no band"):
        rotation(replace(demo_shooting(), stop=demo_shooting().start), (6,), 1)
