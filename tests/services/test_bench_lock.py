"""A locked ceiling: it rules the plan and the run, and no page moves it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from partline.errors import Invalid, Locked, NotFound
from partline.records.exchange import read_bench, write_bench
from partline.records.plans import KeptPlan
from partline.records.workshop import Workshop
from partline.services.bench_editing import save_bench
from partline.services.bench_lock import lock_ceiling, unlock_ceiling
from partline.services.runcard import keep_plan, kept_card_material
from partline.services.runs import begin
from partline.services.runs.standing import followed
from partline.services.workshop import keep_text, load_demo, open_at

BENCH = "Vessary Shed"


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    with open_at(tmp_path / "shed") as opened:
        load_demo(opened)
        yield opened


def planned(workshop: Workshop) -> KeptPlan:
    recipe = workshop.recipes.named("peat-over-chalk").version
    return keep_plan(
        workshop,
        recipe_id=recipe.document_id,
        recipe_version=recipe.number,
        mould_id=workshop.moulds.named("reed-130").version.document_id,
        bench_id=workshop.benches.named(BENCH).version.document_id,
        good=8,
    )


def test_a_ceiling_below_the_labels_stands_on_the_card_and_in_the_run(workshop):
    before = planned(workshop)
    by_label = kept_card_material(workshop, before).heat["ceiling"]
    lock_ceiling(workshop, BENCH, "178 °C")
    plan = planned(workshop)
    assert kept_card_material(workshop, plan).heat["ceiling"] == pytest.approx(178)
    assert kept_card_material(workshop, before).heat["ceiling"] == by_label
    assert by_label is not None
    assert by_label > 178
    run = followed(workshop, begin(workshop, plan.code))
    assert run.plan.ceiling == pytest.approx(178 + 273.15)


def test_a_ceiling_above_the_labels_changes_nothing(workshop):
    by_label = kept_card_material(workshop, planned(workshop)).heat["ceiling"]
    lock_ceiling(workshop, BENCH, "220 °C")
    assert kept_card_material(workshop, planned(workshop)).heat["ceiling"] == by_label


@pytest.mark.parametrize("given", [{"ceiling": "190 °C"}, {"ceiling": ""}, {"ceiling_locked": ""}])
def test_a_locked_ceiling_is_not_moved_by_a_form(workshop, given):
    locked = lock_ceiling(workshop, BENCH, "175 °C")
    with pytest.raises((Locked, Invalid)):
        save_bench(workshop, given, document_id=locked.document_id, based_on=locked.number)
    assert workshop.benches.named(BENCH).version.number == locked.number


def test_a_locked_ceiling_is_not_moved_by_a_file(workshop):
    before = workshop.benches.named(BENCH).version.text
    lock_ceiling(workshop, BENCH, "175 °C")
    with pytest.raises(Locked, match="locked at 175 °C"):
        keep_text(workshop, before)


def test_everything_else_of_a_locked_bench_can_be_changed(workshop):
    locked = lock_ceiling(workshop, BENCH, "175 °C")
    save_bench(workshop, {"room": "19 °C"}, document_id=locked.document_id, based_on=locked.number)
    bench = workshop.benches.named(BENCH).content
    assert bench.room == pytest.approx(292.15)
    assert bench.is_ceiling_locked


def test_an_unlocked_ceiling_stays_and_can_be_moved(workshop):
    lock_ceiling(workshop, BENCH, "175 °C")
    free = unlock_ceiling(workshop, BENCH)
    assert workshop.benches.named(BENCH).content.ceiling == pytest.approx(448.15)
    save_bench(workshop, {"ceiling": ""}, document_id=free.document_id, based_on=free.number)
    assert workshop.benches.named(BENCH).content.ceiling is None


def test_a_ceiling_nobody_can_mean_is_refused(workshop):
    with pytest.raises(Invalid, match="120 to 230 °C"):
        lock_ceiling(workshop, BENCH, "17 °C")
    with pytest.raises(NotFound):
        lock_ceiling(workshop, "no such bench", "175 °C")


def test_a_bench_with_its_own_ceiling_is_written_and_read_the_same(workshop):
    lock_ceiling(workshop, BENCH, "175 °C")
    bench = workshop.benches.named(BENCH).content
    assert read_bench(write_bench(bench)) == bench
