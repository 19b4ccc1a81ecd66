"""A class: cards for groups without names, results by number, baits to diagnose."""

from __future__ import annotations

import csv
from io import StringIO

import pytest

from partline.errors import NotFound, OutOfRange
from partline.services.bench_lock import lock_ceiling
from partline.services.classes import (
    begin_class,
    bench_rules,
    class_cards,
    class_results,
    compared,
    exercise,
    listed_classes,
    results_csv,
)
from partline.services.runs.paper import keep_card
from partline.services.runs.recall import set_aside
from partline.services.workshop import load_demo, open_at
from partline.studies.diagnosis import Cause
from partline.studies.exercise import spoiled_baits
from tests.services.test_runs_paper import FULL


@pytest.fixture(scope="module")
def shed(tmp_path_factory):
    with open_at(tmp_path_factory.mktemp("class") / "shed") as workshop:
        load_demo(workshop)
        yield workshop


def begun(workshop, **more):
    return begin_class(
        workshop,
        recipe_id=workshop.recipes.named("peat-over-chalk").version.document_id,
        mould_id=workshop.moulds.named("reed-130").version.document_id,
        bench_id=workshop.benches.named("Vessary Shed").version.document_id,
        **({"good": 40, "groups": 3} | more),
    )


def test_every_group_gets_a_card_of_its_own_for_the_same_pour(shed):
    code = begun(shed)
    cards = class_cards(shed, code)
    assert [(card.group, card.of) for card in cards] == [(1, 3), (2, 3), (3, 3)]
    assert len({card.plan.code for card in cards}) == 3
    assert len({card.plan.recipe.id for card in cards}) == 1
    assert next(each.inputs["class"] for each in listed_classes(shed)) == code


def test_results_are_told_by_number_and_hold_no_name(shed):
    code = begun(shed)
    plans = [card.plan.code for card in class_cards(shed, code)]
    keep_card(shed, plans[0], FULL | {"good": "41"})
    keep_card(shed, plans[2], FULL | {"good": "12"})
    found = class_results(shed, code)
    assert [(each["group"], each["good"], each["moulded"]) for each in found["groups"]] == [
        (1, 41, 44), (2, None, None), (3, 12, 44),
    ]  # fmt: skip
    low, high = found["groups"][0]["share"]
    assert 0 < low < 41 / 44 < high < 1
    assert "Group 3 beside group 1" in found["says"][0]
    table = list(csv.reader(StringIO(results_csv(found))))
    assert table[0] == ["group", "run", "good", "moulded", "start_a_c", "start_b_c", "push_s",
                        "spoiled_by"]  # fmt: skip
    assert [row[0] for row in table[1:]] == ["1", "2", "3"]
    assert table[2][2] == ""


def test_a_run_set_aside_does_not_count_for_its_group(shed):
    code = begun(shed)
    plan = class_cards(shed, code)[0].plan.code
    run = keep_card(shed, plan, FULL)
    set_aside(shed, run, aside=True)
    assert class_results(shed, code)["groups"][0]["run"] is None


def test_classes_and_plain_plans_do_not_mix(shed):
    with pytest.raises(NotFound, match="No class has the code"):
        class_results(shed, "NOSUCH")
    with pytest.raises(OutOfRange, match="25 groups were asked for; a class has 1 to 24"):
        begun(shed, groups=25)
    assert all("class" in each.inputs for each in listed_classes(shed))


def test_the_wall_says_the_ceiling_that_holds_there(shed):
    plain = bench_rules(shed.benches.named("Vessary Shed").content)
    assert plain["ceiling"] is None
    assert "label" in plain["ceiling_words"]
    lock_ceiling(shed, "Vessary Shed", "175 °C")
    assert bench_rules(shed.benches.named("Vessary Shed").content)["ceiling"] == "175 °C"


def test_an_exercise_shows_no_answer_and_compares_what_was_said():
    asked = exercise(3)
    assert [each["bait"] for each in asked["baits"]] == [1, 2, 3]
    assert all("cause" not in each for each in asked["baits"])
    right = {place: bait.cause.value for place, bait in enumerate(spoiled_baits(3), start=1)}
    assert all(each["is_right"] for each in compared(3, right))
    nothing = compared(3, {})
    assert [each["given"] for each in nothing] == [None] * 3
    assert not any(each["is_right"] for each in nothing)


def test_the_other_cause_with_the_same_remedy_is_told_as_such():
    for number in range(40):
        for place, bait in enumerate(spoiled_baits(number), start=1):
            if bait.cause is Cause.MIXED:
                told = compared(number, {place: Cause.WRAPPED.value})[place - 1]
                assert told["is_same_action"]
                assert not told["is_right"]
                return
    pytest.fail("no mixed bait in forty exercises")
