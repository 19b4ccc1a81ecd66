"""Coarse grains want a stir before each draw at once, fine ones hardly."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.materials.supply import Additive
from partline.process.composition import Composition
from partline.process.stirring import ALLOWED, LONGEST, SHORTEST, stirring
from tests.process.shed import drops, grams, plastic_of

DEPTH, BETWEEN, WARM = 0.034, 13.0, 436.15


def salted(grain: float | None) -> Composition:
    plastic = plastic_of(grams("fine salt", 8.0))
    parts = tuple(
        replace(part, supply=replace(part.supply, grain=grain))
        if isinstance(part.supply, Additive)
        else part
        for part in plastic.parts
    )
    return Composition(parts=parts)


def stirs(plastic: Composition, **more):
    asked = {"temperature": WARM, "depth": DEPTH, "between_draws": BETWEEN} | more
    return stirring(plastic, **asked)


def test_coarse_salt_is_stirred_within_twenty_seconds_and_fine_salt_per_draw():
    # Worked for the trade's bench (shared/job, S6): 200 µm within 20 s, 50 µm per draw.
    coarse, fine = stirs(salted(200e-6)), stirs(salted(50e-6))
    assert coarse.interval.value <= 20.0
    assert not coarse.is_per_draw
    assert "Draw within" in coarse.words
    assert fine.interval.value > 60.0
    assert fine.is_per_draw
    assert fine.words == "Stir once before every draw."


@settings(deadline=None)
@given(st.floats(20e-6, 400e-6), st.floats(0.005, 0.1))
def test_larger_grains_and_shallower_cups_want_stirring_sooner(grain, depth):
    here = stirs(salted(grain), depth=depth).interval
    assert SHORTEST <= here.low <= here.value <= here.high <= LONGEST
    assert stirs(salted(1.2 * grain), depth=depth).interval.value <= here.value
    assert stirs(salted(grain), depth=1.2 * depth).interval.value >= here.value
    assert stirs(salted(grain), depth=depth, temperature=WARM + 8).interval.value <= here.value


def test_the_interval_is_the_stated_share_of_the_depth():
    found = stirs(salted(100e-6)).sinking[0]
    assert found.interval.value == pytest.approx(ALLOWED * DEPTH / found.speed.value, rel=1e-12)


def test_the_fastest_of_several_rules():
    both = stirs(plastic_of(grams("Penny", 0.25), grams("Moss", 0.2), grams("Ink", 0.1)))
    assert [each.supply for each in both.sinking] == ["Moss", "Penny", "Ink"]
    assert both.interval == both.sinking[0].interval


def test_a_cup_of_colour_alone_keeps_and_a_grain_that_is_not_known_is_taken_as_coarse():
    plain = stirs(plastic_of(drops("Peat", 9)))
    assert plain.interval is None
    assert plain.is_per_draw
    assert "Nothing" in plain.words
    assert stirs(salted(None)).interval == stirs(salted(200e-6)).interval


def test_the_range_is_as_wide_as_the_viscosity_is_unknown():
    known = stirs(salted(100e-6)).interval
    assert known.high / known.low > 9
    assert "bait" in known.narrows
