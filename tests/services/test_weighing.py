"""One bait from a whole shot, or from the water that several displace."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import Invalid
from partline.quantities.estimate import Estimate
from partline.records.exchange import read_mould
from partline.services.mould_editing import edited_mould
from partline.services.weighing import weigh_bait, with_doubt
from tests.process.shed import SHED

MOULD = (SHED / "moulds" / "reed-130.toml").read_text("utf-8")
SHOT = {"how": "shot", "shot": "56.2 g", "sprue": "9.0 g", "cavities": "4"}


def test_a_bait_is_the_shot_less_its_sprue_by_its_cavities():
    assert weigh_bait(SHOT)["fields"] == {
        "bait_mass": "11.8 ± 0.015 g, n = 4",
        "bait_volume": "",
        "sprue_mass": "9.0 g",
        "cavities": "4",
    }


def test_what_was_worked_out_goes_into_the_mould_as_measured():
    text = edited_mould(MOULD, weigh_bait(SHOT)["fields"])
    bait = read_mould(text).bait_mass
    assert bait is not None
    assert (bait.value, bait.origin.value, bait.count) == (0.0118, "measured", 4)


def test_a_volume_takes_the_place_of_a_mass():
    water = {"how": "water", "water": "118 mL", "baits": "10"}
    mould = read_mould(edited_mould(MOULD, weigh_bait(water)["fields"]))
    assert mould.bait_mass is None
    assert mould.bait_volume is not None
    assert mould.bait_volume.value == pytest.approx(11.8e-6)


def test_more_baits_in_the_water_make_the_answer_surer():
    one, ten = (
        weigh_bait({"how": "water", "water": f"{12 * n} mL", "baits": str(n)})["fields"]
        for n in (1, 10)
    )
    assert "± 0.4 mL" in one["bait_volume"]
    assert "± 0.04 mL" in ten["bait_volume"]


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"sprue": "60 g"}, "sprue", "nothing is left"),
        ({"shot": "0 g"}, "shot", "0.1"),
        ({"shot": "-5 g"}, "shot", "-5 g"),
        ({"shot": "56.2"}, "shot", "no unit"),
        ({"shot": ""}, "shot", "Fill it in"),
        ({"cavities": "0"}, "cavities", "1 to 500"),
        ({"cavities": "four"}, "cavities", "whole number"),
        ({"how": "water", "water": "118 g", "baits": "10"}, "water", "118 g"),
        ({"how": "water", "water": "118 mL", "baits": "-1"}, "baits", "whole number"),
    ],
)
def test_a_weighing_that_cannot_be_is_refused_beside_its_field(change, field, says):
    with pytest.raises(Invalid) as caught:
        weigh_bait(SHOT | change)
    (only,) = caught.value.problems
    assert only.field == field
    assert says in str(only)
    assert only.remedy


@settings(deadline=None)  # no timed assertions
@given(value=st.floats(0.05, 500), share=st.floats(1e-4, 0.2))
def test_what_is_typed_for_the_maker_never_claims_more_than_the_scale_said(value, share):
    known = Estimate.exact(value)
    off = value * share
    known = Estimate(value=value, low=value - off, high=value + off, origin=known.origin)
    words = with_doubt(known, 1.0, "g", 4)
    middle, _, rest = words.partition(" ± ")
    doubt = float(rest.split()[0])
    # A float's last digits may go either way where a doubt is a round number already.
    assert float(middle) - doubt <= known.low + 1e-9 * value
    assert float(middle) + doubt >= known.high - 1e-9 * value
    # One digit more would have shown it: rounding widens by a tenth and a half step at most.
    assert doubt <= off * 1.2 + 1e-6
