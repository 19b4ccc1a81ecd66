"""Plans: kept with everything they were made from, and never changed."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy.exc import StatementError

from partline.errors import NotFound
from partline.records.models import PlanRow
from partline.records.plans import CODE_LETTERS

QR_ALPHANUMERIC = set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")  # ISO/IEC 18004, memory


def test_a_plan_comes_back_with_its_inputs_and_its_whole_answer(workshop, plan):
    kept = workshop.plans.get(plan.code)
    assert kept == plan
    assert kept.answer["melts"] == [162.1, 135.8]
    assert kept.answer["words"] == "½ “quoted” <b>"
    assert (kept.count, kept.program) == (40, "0.1.0")


def test_a_plan_keeps_the_very_versions_it_was_made_from(workshop, plan, now):
    assert (plan.recipe.name, plan.recipe.number, plan.recipe.latest) == ("peat-over-chalk", 2, 3)
    used = plan.recipe
    workshop.recipes.save(used.document_id, used.text + "# later", based_on=3, now=now)
    again = workshop.plans.get(plan.code).recipe
    assert (again.id, again.text, again.number) == (used.id, used.text, 2)
    assert again.latest == 4  # known to be no longer the newest


def test_a_code_is_short_fits_a_qr_code_and_forgives_the_reader(workshop, plan):
    assert len(plan.code) == CODE_LETTERS
    assert set(plan.code) <= QR_ALPHANUMERIC
    typed = f" {plan.code[:5].lower()}-{plan.code[5:]} ".replace("0", "o").replace("1", "l")
    assert workshop.plans.get(typed) == plan


def test_an_unknown_code_is_said(workshop, plan):
    with pytest.raises(NotFound, match="Check it on the card"):
        workshop.plans.get("0000000000")


def test_plans_are_listed_newest_first_and_by_what_they_use(workshop, plan, now):
    fry = workshop.moulds.named("fry-75").version
    again = workshop.plans.add(
        recipe=plan.recipe, mould=fry, bench=plan.bench, shelf=plan.shelf, count=12,
        inputs={}, answer={}, program="0.1.0", now=now + timedelta(days=1),
    )  # fmt: skip
    assert workshop.plans.listed() == (again, plan)
    assert workshop.plans.listed(document_id=fry.document_id) == (again,)
    assert workshop.plans.listed(document_id=plan.recipe.document_id) == (again, plan)
    assert workshop.plans.listed(most=1) == (again,)


def test_a_plan_is_made_of_what_is_kept_here(workshop, plan, now):
    swapped = {"recipe": plan.mould, "mould": plan.recipe}
    with pytest.raises(NotFound, match="The recipe “reed-130” is not kept"):
        workshop.plans.add(
            **swapped, bench=plan.bench, shelf=plan.shelf, count=1,
            inputs={}, answer={}, program="0.1.0", now=now,
        )  # fmt: skip
    assert workshop.plans.listed() == (plan,)


def test_a_number_that_json_does_not_know_is_never_kept(workshop, plan, now):
    with pytest.raises(StatementError, match="not JSON compliant"):
        workshop.plans.add(
            recipe=plan.recipe, mould=plan.mould, bench=plan.bench, shelf=plan.shelf, count=1,
            inputs={}, answer={"cup_a_g": float("nan")}, program="0.1.0", now=now,
        )  # fmt: skip
    assert workshop.plans.listed() == (plan,)


def test_no_plan_can_be_changed(workshop, plan):
    with pytest.raises(TypeError, match="never changed"), workshop.database.writing() as session:
        session.get(PlanRow, plan.code).count = 41
    assert workshop.plans.get(plan.code).count == 40
