"""Two cups: the slot in which both are in the band, and which one waits."""

import numpy as np
import pytest

from partline.studies.countdown import Band, CupHistory, Pair, Reading, countdown

ZERO = 273.15
BAND = Band(start=163 + ZERO, stop=152 + ZERO)
WARM = ((0.0, 174.0), (40.0, 168.6))
COOL = ((0.0, 169.0), (40.0, 163.9))


def posterior(pairs, **more):
    readings = tuple(Reading(at=at, temperature=t + ZERO) for at, t in pairs)
    return countdown(CupHistory(room=22 + ZERO, readings=readings, **more), 40.0).posterior


def pair(back, belly):
    return Pair(back=posterior(back), belly=posterior(belly), between=1.0)


def test_the_slot_opens_with_the_warmer_cup_and_closes_with_the_cooler():
    slot = pair(WARM, COOL).slot(BAND, BAND)
    late = posterior(WARM).crossing(BAND.start)
    early = posterior(COOL).crossing(BAND.stop)
    # 1024 pairs of points: a hundredth of the range.
    assert slot.opens.value == pytest.approx(late.value, abs=1.0)
    assert slot.closes.value == pytest.approx(early.value, abs=2.0)
    assert slot.chance > 0.97


def test_two_alike_cups_open_later_than_one_alone():
    # The later of two equal guesses is later than either.
    slot = pair(WARM, WARM).slot(BAND, BAND)
    assert slot.opens.value > posterior(WARM).crossing(BAND.start).value + 2


def test_cups_far_apart_have_no_slot():
    cold = ((0.0, 155.0), (40.0, 150.5))
    assert pair(WARM, cold).slot(BAND, BAND).chance < 0.01


def test_each_cup_may_have_a_band_of_its_own():
    same = pair(WARM, WARM).slot(BAND, BAND)
    lower = pair(WARM, WARM).slot(BAND, Band(start=160 + ZERO, stop=152 + ZERO))
    assert lower.opens.value > same.opens.value


def test_the_warmer_cup_waits_until_it_is_within_two_degrees():
    match = pair(WARM, COOL).match(40.0)
    assert match.waits == "A"
    # A reads 168.6, B 163.9: A must lose 2.7 °C more than is allowed, at 0.132 °C a second.
    assert match.seconds.value == pytest.approx(2.7 / 0.132, abs=2.5)
    assert match.difference.value == pytest.approx(4.7, abs=0.2)
    assert match.difference.low < 4.0 < 5.4 < match.difference.high


def test_exchanged_cups_give_the_mirrored_answer():
    one, other = pair(WARM, COOL).match(40.0), pair(COOL, WARM).match(40.0)
    assert (one.waits, other.waits) == ("A", "B")
    assert other.difference.value == pytest.approx(-one.difference.value, abs=0.1)
    assert other.seconds.value == pytest.approx(one.seconds.value, abs=1.0)


def test_matched_cups_do_not_wait():
    match = pair(WARM, tuple((at, t - 1) for at, t in WARM)).match(40.0)
    assert match.waits == ""
    assert match.seconds.value == 0
    assert match.closes_at == 40.0


def test_a_warmer_cup_that_cools_faster_is_met_by_itself():
    fast = ((0.0, 174.0), (40.0, 166.0))
    match = pair(fast, COOL).match(40.0)
    assert match.waits == "A"
    assert match.closes_at is not None
    assert 40 < match.closes_at < 120
    slow = pair(((0.0, 184.0), (40.0, 180.0)), COOL).match(40.0)
    assert slow.closes_at is None


def test_the_thermometers_doubt_between_cups_widens_the_difference_and_not_the_slot():
    back, belly = posterior(WARM), posterior(COOL)
    fine, coarse = (Pair(back=back, belly=belly, between=each) for each in (0.1, 3.0))
    spans = [np.subtract(m.high, m.low) for m in (fine.match(40.0).difference,
                                                  coarse.match(40.0).difference)]  # fmt: skip
    assert spans[1] > 2 * spans[0]
    assert coarse.slot(BAND, BAND) == fine.slot(BAND, BAND)
