"""A corrected bench says what it would change in the plans made before it, and changes none."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from partline.records.workshop import Workshop
from partline.services.bench_editing import save_bench
from partline.services.bench_effect import effects_of_bench
from partline.services.runcard import keep_plan
from partline.services.workshop import load_demo, open_at


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    with open_at(tmp_path) as opened:
        load_demo(opened)
        yield opened


def planned(workshop: Workshop) -> str:
    kept = keep_plan(
        workshop,
        recipe_id=workshop.recipes.named("peat-over-chalk").version.document_id,
        recipe_version=3,
        mould_id=workshop.moulds.named("reed-130").version.document_id,
        bench_id=workshop.benches.named("Vessary Shed").version.document_id,
        good=40,
    )
    return kept.code


def corrected(workshop: Workshop, based_on: int = 1, **fields: str) -> str:
    bench = workshop.benches.named("Vessary Shed").version.document_id
    given = {key.replace("__", "."): text for key, text in fields.items()}
    save_bench(workshop, given, document_id=bench, based_on=based_on)
    return bench


@pytest.mark.slow
def test_a_block_that_keeps_more_asks_for_half_of_it_more_in_each_cup_a_shot(workshop):
    code = planned(workshop)
    before = workshop.plans.get(code)
    (effect,) = effects_of_bench(workshop, corrected(workshop, block__loss="14 g"))
    # 11 shots, 12.5 g more in the block at each, half of it from either cup; the second cup of
    # a melt is rounded like the first, so a tenth of a gram for each of at most three melts.
    more = 11 * (14 - 1.5) / 2
    for (cup, old), (same, new) in zip(effect.before, effect.after, strict=True):
        assert cup == same
        assert new >= old + more - 0.3
    if effect.melts_before == effect.melts_after:
        assert effect.after[0][1] == pytest.approx(effect.before[0][1] + more, abs=0.3)
    assert effect.is_changed
    after = workshop.plans.get(code)
    assert (after.answer, after.bench.number) == (before.answer, 1)


def test_no_plan_is_told_of_before_the_bench_has_changed(workshop):
    planned(workshop)
    bench = workshop.benches.named("Vessary Shed").version.document_id
    assert effects_of_bench(workshop, bench) == ()


def test_a_new_thermometer_changes_no_cup_and_is_told_so(workshop):
    planned(workshop)
    (effect,) = effects_of_bench(workshop, corrected(workshop, thermometer__absolute="3 K"))
    assert not effect.is_changed


def test_a_plan_that_cannot_be_made_any_longer_says_why(workshop):
    planned(workshop)
    (effect,) = effects_of_bench(workshop, corrected(workshop, syringes__capacity="5 mL"))
    assert effect.after == ()
    assert effect.refusal
