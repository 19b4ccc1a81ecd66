"""What is stirred in when, and what never sees an oven again."""

import pytest

from partline.process.additions import forbids_oven, sort_out, why_last
from partline.process.ingredients import weigh_out
from partline.quantities.estimate import Estimate
from tests.process.shed import drops, grams, plastic_of

CUP = weigh_out(
    plastic_of(
        drops("Peat", 9), drops("Rind", 3), grams("fine salt", 5), grams("Penny", 0.25),
        grams("Moss", 0.2), grams("Ink", 0.1),
    ),
    Estimate.exact(0.15),
)  # fmt: skip


def names(ingredients) -> list[str]:
    return sorted(each.supply for each in ingredients)


def test_a_single_heat_takes_everything_in_its_turn():
    sorted_out = sort_out(CUP, heat=1, heats=1)
    assert names(sorted_out.cold) == ["soft"]
    assert names(sorted_out.colour) == ["Peat"]
    assert names(sorted_out.salt) == ["fine salt"]
    assert names(sorted_out.last) == ["Ink", "Moss", "Penny", "Rind"]
    assert sorted_out.held_back == ()


def test_what_must_not_be_heated_again_waits_for_the_last_of_several():
    first, middle, last = (sort_out(CUP, heat=heat, heats=3) for heat in (1, 2, 3))
    waits = ["Moss", "Penny", "Rind"]
    assert names(held.ingredient for held in first.held_back) == waits
    assert names(held.ingredient for held in middle.held_back) == waits
    assert names(first.last) == ["Ink"]
    assert names(middle.last) == []
    assert names(last.last) == waits
    for sorted_out in (middle, last):
        assert sorted_out.cold + sorted_out.colour + sorted_out.salt == ()


@pytest.mark.parametrize("heats", [1, 2, 4])
def test_metal_is_never_offered_before_the_last_heat(heats):
    for heat in range(1, heats):
        sorted_out = sort_out(CUP, heat=heat, heats=heats)
        offered = sorted_out.cold + sorted_out.colour + sorted_out.salt + sorted_out.last
        assert forbids_oven(offered) is None
    offered = sort_out(CUP, heat=heats, heats=heats).last
    found = forbids_oven(offered)
    assert found is not None
    assert found.supply == "Penny"


def test_each_wait_has_its_reason():
    reasons = {each.supply: why_last(each) for each in CUP}
    assert "metal" in reasons["Penny"]
    assert "sheds" in reasons["Moss"]
    assert "tender" in reasons["Rind"]
    assert reasons["Peat"] == reasons["Ink"] == reasons["soft"] == ""
