"""A mould as a lump of metal: weighed it is itself, unweighed a guess from its baits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partline.process.mould_heat import mould_heat
from partline.quantities.estimate import Estimate, Origin
from tests.process import shed

WEIGHED = Estimate(value=1.2, low=1.19, high=1.21, origin=Origin.MEASURED, source="a scale")


def test_a_weighed_mould_is_taken_as_weighed():
    mould = replace(shed.mould(), mass=WEIGHED)
    assert mould_heat(mould).mass == WEIGHED
    assert mould_heat(shed.mould()).mass.origin is Origin.DEFAULT


def test_a_mass_told_for_the_occasion_comes_first():
    told = Estimate.exact(0.9)
    assert mould_heat(replace(shed.mould(), mass=WEIGHED), told).mass == told


def test_a_heavier_mould_cools_slower():
    light, heavy = (
        mould_heat(replace(shed.mould(), mass=Estimate.exact(mass))) for mass in (0.6, 1.8)
    )
    fell = [each.cooled(340.0, 295.0, 300.0, each.mass.value) for each in (light, heavy)]
    assert fell[0] < fell[1] < 340.0
    assert light.cooled(340.0, 295.0, 0.0, 0.6) == pytest.approx(340.0)
