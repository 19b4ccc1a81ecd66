"""Two grades by resin share: mass of resin is kept, and out of reach is said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import Impossible, InputError
from partline.services.blending import blend_for_resin, shares_for_resin
from tests.process.shed import shelf


def test_soft_and_medium_halve_to_the_middle():
    # 15 % and 18 % resin: half of each holds 16.5 %, by hand.
    assert shares_for_resin(shelf(), "soft", "medium", "16.5 %") == ("50 %", "50 %")


@given(st.floats(0.15, 0.18))
def test_the_mixture_holds_the_resin_that_was_wanted(wanted):
    soft, medium = (shelf().grade(name) for name in ("soft", "medium"))
    share = blend_for_resin(soft, medium, wanted)
    held = share.value * soft.resin_share.value + (1 - share.value) * medium.resin_share.value
    assert held == pytest.approx(wanted, rel=1e-9)  # rounding of floats
    assert 0 <= share.low <= share.high <= 1


def test_shares_add_up_to_a_hundred():
    first, second = shares_for_resin(shelf(), "soft", "medium", "15.77 %")
    assert float(first.removesuffix(" %")) + float(second.removesuffix(" %")) == 100


@pytest.mark.parametrize(("resin", "nearest"), [("12 %", "soft"), ("20 %", "medium")])
def test_out_of_reach_is_said_with_the_nearest(resin, nearest):
    with pytest.raises(Impossible, match=f"Nearest is {nearest} alone"):
        shares_for_resin(shelf(), "soft", "medium", resin)


@pytest.mark.parametrize("resin", ["16", "0.16", "shore 10", "", "90 %"])
def test_what_is_no_resin_share_is_asked_about(resin):
    with pytest.raises(InputError) as refusal:
        shares_for_resin(shelf(), "soft", "medium", resin)
    assert refusal.value.field == "resin"


def test_one_grade_twice_is_no_blend():
    with pytest.raises(InputError, match="two different"):
        shares_for_resin(shelf(), "soft", "Soft", "15 %")
