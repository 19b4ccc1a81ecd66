"""Six answers become documents that are kept, and a plan that says what it guesses."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from partline.errors import Ambiguous, Impossible, InputError, Invalid
from partline.process.cavity import profile
from partline.process.recipe import Half
from partline.records.documents import Version
from partline.records.plans import KeptPlan
from partline.records.workshop import Workshop
from partline.services.beginning import begin, read_answers
from partline.services.beginning.body import simple_body
from partline.services.workshop import load_demo, open_at

FULL = {
    "colours": "2", "cup": "350 mL", "scale": "°F", "cavities": "4", "bait_mass": "10.2 g",
    "bait_length": "130 mm", "bottle1_name": "Mud", "bottle1_clarity": "clear",
    "bottle1_known": "on", "bottle1_patch": "#5a3a1b", "bottle2_name": "Milk",
    "bottle2_clarity": "opaque", "bottle2_known": "on", "bottle2_patch": "#f1eee4",
}  # fmt: skip


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    with open_at(tmp_path / "shed") as opened:
        yield opened


def problems(**fields: str) -> dict[str, InputError]:
    with pytest.raises(Invalid) as refusal:
        read_answers(fields)
    return {each.field: each for each in refusal.value.problems}


def test_nothing_known_is_enough_for_a_card(workshop):
    plan = begin(workshop, read_answers({}))
    assert plan.count == 8
    assert answer_of(plan)["plan"]["cup_b_g"] is not None  # two colours, unless one was answered
    assert {each["origin"] for each in answer_of(plan)["guesses"]} == {"default"}


def test_what_was_answered_stands_in_the_documents_as_typed(workshop):
    plan = begin(workshop, read_answers(FULL))
    mould = workshop.moulds.version(plan.mould.id).content
    assert 'bait_mass = "10.2 g"' in plan.mould.text
    assert mould.cavities == 4
    assert mould.guesses == ()
    bench = workshop.benches.version(plan.bench.id).content
    assert bench.vessel.capacity == pytest.approx(350e-6, rel=1e-12)  # a float's rounding
    assert "vessel.capacity" not in bench.guesses
    assert answer_of(plan)["plan"]["temperatures"] == "°F"
    recipe = workshop.recipes.version(plan.recipe.id).content
    assert [side.loadings[0].supply for side in recipe.sides] == ["Mud", "Milk"]


def test_what_was_not_answered_is_a_guess_and_says_what_would_replace_it(workshop):
    guesses = told(workshop, {})["guesses"]
    assert guesses[0]["moves"] == "how hot to heat, and when to stop"
    assert "label" in guesses[0]["replace_by"]
    assert all(each["replace_by"] for each in guesses)
    named = " ".join(each["name"] for each in guesses)
    for what in ("bait mass", "sprue and runner", "cup", "cavities", "how thick it is",
                 "back colour: how it colours", "reject share"):  # fmt: skip
        assert what in named


def test_an_answer_takes_its_guess_off_the_list(workshop):
    none = {each["name"] for each in told(workshop, {})["guesses"]}
    full = {each["name"] for each in told(workshop, FULL)["guesses"]}
    assert {"cup", "first mould: bait mass", "first mould: cavities"} <= none
    assert not {"cup", "first mould 2: bait mass", "first mould 2: cavities"} & full


def test_a_measured_bottle_gives_a_narrower_look_than_a_guessed_one(workshop):
    guessed = told(workshop, FULL)["look"]["halves"]["back"]["hiding"]
    unknown = FULL | {"bottle1_known": "", "bottle1_clarity": ""}
    blind = told(workshop, unknown)["look"]["halves"]["back"]["hiding"]
    assert guessed["high"] - guessed["low"] < 1
    assert guessed["origin"] == blind["origin"] == "computed"


def test_one_colour_needs_one_cup(workshop):
    plan = begin(workshop, read_answers({"colours": "1", "bottle1_name": "Mud"}))
    recipe = workshop.recipes.version(plan.recipe.id).content
    assert [side.half for side in recipe.sides] == [Half.WHOLE]
    assert answer_of(plan)["plan"]["cup_b_g"] is None


def test_a_bottle_for_the_shelf_alone_goes_into_no_cup(workshop):
    third = {"bottle3_name": "Soot", "bottle3_half": "shelf"}
    plan = begin(workshop, read_answers(FULL | third))
    shelf = workshop.shelves.named("shelf").content
    assert shelf.find("Soot")
    assert "Soot" not in plan.recipe.text


def answer_of(plan: KeptPlan) -> Any:
    return plan.answer


def told(workshop: Workshop, fields: dict[str, str]) -> Any:
    return answer_of(begin(workshop, read_answers(fields)))


def versions(workshop: Workshop) -> list[Version]:
    stores = (workshop.recipes, workshop.moulds, workshop.benches)
    return [each for store in stores for each in store.listed()]


def test_a_workshop_that_holds_something_keeps_all_of_it(workshop):
    load_demo(workshop)
    before = versions(workshop)
    old = workshop.shelves.named("shelf").version
    begin(workshop, read_answers(FULL))
    second = begin(workshop, read_answers(FULL))
    assert set(before) <= set(versions(workshop))
    assert second.mould.name == "first mould 2"
    assert second.recipe.name == "Mud 2 over Milk 2"
    newest = workshop.shelves.named("shelf").version
    lines = iter(newest.text.splitlines())
    assert all(line in lines for line in old.text.splitlines() if line)  # in their order
    assert workshop.shelves.named("shelf", old.number).version.text == old.text


def test_a_bottle_that_is_on_the_shelf_needs_its_name_alone(workshop):
    load_demo(workshop)
    plan = begin(workshop, read_answers({"bottle1_name": "peat", "bottle2_name": "Chalk"}))
    assert plan.recipe.name == "peat over Chalk"
    assert workshop.shelves.named("shelf").version.number == 1  # nothing had to be added


def test_a_mould_that_is_kept_answers_its_questions(workshop):
    load_demo(workshop)
    code = workshop.moulds.named("reed-130").version.document_id
    plan = begin(workshop, read_answers({"mould": code}))
    assert plan.mould.name == "reed-130"
    assert [each.name for each in workshop.moulds.listed()] == ["fry-75", "reed-130"]


def test_a_shot_that_fits_no_cup_is_refused_and_nothing_is_kept(workshop):
    with pytest.raises(Impossible, match="cup"):
        begin(workshop, read_answers({"cup": "40 mL", "cavities": "8", "bait_mass": "20 g"}))
    assert versions(workshop) == []
    assert workshop.shelves.listed() == ()


@pytest.mark.parametrize(
    ("mass", "length"), [(None, None), (8e-3, None), (None, 0.1), (10e-3, 0.13), (4e-3, 0.075)]
)
def test_the_simple_body_holds_the_bait_that_was_weighed(workshop, mass, length):
    fields = {
        **({"bait_mass": f"{mass * 1e3:g} g"} if mass else {}),
        **({"bait_length": f"{length * 1e3:g} mm"} if length else {}),
    }
    plan = begin(workshop, read_answers(fields))
    mould = workshop.moulds.version(plan.mould.id).content
    assert mould.bait_mass is not None
    # Sizes are written to 0.01 mm, a mass that follows from a length to 0.1 g.
    assert profile(mould).volume * 1025 == pytest.approx(mould.bait_mass.value, rel=0.02)
    assert all(station.doubt > 0 for station in mould.stations)


def test_less_known_of_a_bait_means_more_doubt():
    both, one, none = (simple_body(*each).doubt
                       for each in ((8e-3, 0.1), (8e-3, None), (None, None)))  # fmt: skip
    assert both < one < none


def test_a_bare_number_is_a_question_with_its_readings():
    asked = problems(cup="350")["cup"]
    assert isinstance(asked, Ambiguous)
    assert "350 mL" in [reading.write for reading in asked.readings]


def test_half_a_cup_is_asked_about_as_the_vessel():
    asked = problems(cup="½ cup")["cup"]
    assert isinstance(asked, Ambiguous)
    assert "vessel" in asked.remedy


def test_ounces_are_never_bare():
    assert isinstance(problems(bait_mass="0.35 oz")["bait_mass"], Ambiguous)


@pytest.mark.parametrize("typed", ["11 mm", "11mm"])
def test_eleven_inches_typed_as_millimetres_is_asked_about(typed):
    asked = problems(bait_mass="10 g", bait_length=typed)["bait_length"]
    assert isinstance(asked, Ambiguous)
    assert "11 in" in [reading.write for reading in asked.readings]


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("cavities", "0"), ("cavities", "-4"), ("cavities", "four"), ("cavities", "4.5"),
        ("bait_mass", "0 g"), ("bait_mass", "-3 g"), ("bait_length", "0 mm"), ("cup", "0 mL"),
        ("cup", "10,5 mL"), ("colours", "3"), ("scale", "K"), ("bottle1_clarity", "shiny"),
        ("bottle1_name", "x" * 61),
    ],
)  # fmt: skip
def test_an_impossible_answer_is_refused_beside_its_field(field, value):
    more = {"bottle1_name": "Mud"} if field == "bottle1_clarity" else {}
    assert set(problems(**{field: value}, **more)) == {field}


def test_every_fault_is_told_at_once():
    faulty = {"cup": "350", "cavities": "0", "bait_mass": "x"}
    assert set(problems(**faulty)) == set(faulty)


def test_two_bottles_of_one_name_are_refused():
    assert set(problems(bottle1_name="Mud", bottle2_name="mud")) == {"bottle2_name"}


@pytest.mark.parametrize("said", ["", "don't know", "?", "don’t know"])
def test_dont_know_may_be_said_in_words(said):
    answers = read_answers(dict.fromkeys(("cup", "cavities", "bait_mass", "scale"), said))
    assert answers == read_answers({})


@pytest.mark.parametrize("typed", ["11 mm", "11mm"])
def test_a_length_alone_that_no_bait_has_is_asked_about_beside_it(typed):
    asked = problems(bait_length=typed)
    assert set(asked) == {"bait_length"}
    question = asked["bait_length"]
    assert isinstance(question, Ambiguous)
    assert "11 in" in [reading.write for reading in question.readings]


@pytest.mark.parametrize("typed", ["500 mm", "10 mm", "22 mm"])
def test_a_length_alone_beyond_any_usual_bait_asks_at_its_field(typed):
    assert set(problems(bait_length=typed)) == {"bait_length"}


@pytest.mark.parametrize("fields", [{"bait_length": "28 mm"}, {"bait_length": "15 in"},
                                    {"bait_mass": "30 g", "cavities": "8"}])  # fmt: skip
def test_a_cup_that_nobody_named_never_refuses_the_bait(workshop, fields):
    plan = begin(workshop, read_answers(fields))
    fit = answer_of(plan)["plan"]["fit"]
    assert fit["cup_hot_ml"] <= fit["cup_limit_ml"]


def test_a_fraction_keeps_its_whole_number_in_the_readings():
    asked = problems(bait_mass="20 g", bait_length="4 1/2 mm")["bait_length"]
    assert "4 1/2 in" in str(asked)


def test_a_shot_for_no_pair_of_syringes_is_refused_at_the_cavities():
    asked = problems(cavities="12", bait_mass="60 g")
    assert set(asked) == {"cavities"}
    assert "450 mL can be drawn" in str(asked["cavities"])


@pytest.mark.parametrize("cavities", ["10", "11"])
def test_the_guessed_pair_takes_every_shot_that_was_not_refused(workshop, cavities):
    fields = {"cavities": cavities, "bait_mass": "60 g", "cup": "5 L"}
    plan = begin(workshop, read_answers(fields))
    fit = answer_of(plan)["plan"]["fit"]
    assert fit["syringe_ml"] <= fit["syringe_limit_ml"]


def test_two_bottles_for_one_side_are_asked_about():
    both = {"bottle1_name": "a", "bottle1_half": "back", "bottle2_name": "b",
            "bottle2_half": "back"}  # fmt: skip
    assert set(problems(**both)) == {"bottle2_half"}


def test_a_bottle_for_the_shelf_only_never_colours_a_one_coloured_bait(workshop):
    fields = {"colours": "1", "bottle1_name": "Spare", "bottle1_half": "shelf",
              "bottle2_name": "Glow"}  # fmt: skip
    plan = begin(workshop, read_answers(fields))
    (side,) = workshop.recipes.version(plan.recipe.id).content.sides
    assert [load.supply for load in side.loadings] == ["Glow"]


def test_unsaid_degrees_are_a_guess_too(workshop):
    def named(fields: dict[str, str]) -> list[str]:
        return [
            each["name"] for each in answer_of(begin(workshop, read_answers(fields)))["guesses"]
        ]

    assert "what your thermometer shows" in named({})
    assert "what your thermometer shows" not in named({"scale": "°F"})
