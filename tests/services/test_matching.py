"""A wish as typed, and its answer in the maker's units."""

from __future__ import annotations

import json
from typing import Any

import pytest

from partline.errors import Ambiguous, InputError, Invalid, OutOfRange
from partline.process.recipe import Half
from partline.records.exchange import read_recipe
from partline.services.matching import (
    Wish,
    fields_of_match,
    match_recipe,
    matching_as_json,
    read_colour,
    version_note,
)
from partline.services.recipes import document_of
from tests.process.shed import demo, lesson, mould, shelf
from tests.studies.twelve_bottles import twelve


def asked(wish, recipe=None, stock=None):
    return match_recipe(recipe or demo(3), mould(), stock or shelf(), wish, draws=4)


def test_a_colour_may_be_written_in_three_ways():
    assert read_colour("Lab 40 5 20").lab == (40.0, 5.0, 20.0)
    assert read_colour(" lab(40, -5.5, 20) ").lab == (40.0, -5.5, 20.0)
    assert read_colour("#6b5a33").lab == read_colour("107 90 51").lab
    assert read_colour("107, 90, 51").lab == read_colour("107 90 51").lab
    rough = read_colour("photo #6b5a33")
    assert rough.lab == read_colour("#6b5a33").lab
    assert rough.doubt == 5.0
    assert "rough" in rough.source
    assert "only as good as the screen" in read_colour("#6b5a33").source


@pytest.mark.parametrize("code", ["#6b5a33", "#dcd888", "#a02020", "#808080", "#1a2b3c"])
def test_a_colour_goes_to_the_screen_and_comes_back(code):
    told = matching_as_json(asked(Wish(back=code)))
    assert told["wanted"][0]["screen"] == code
    assert told["wanted"][0]["screen_shows_it"]


@pytest.mark.parametrize(
    "typed",
    ["", "blue", "Lab 40 5", "Lab a b c", "#6b5a3", "300 0 0", "1 2", "photo", "photo blue",
     "Lab 400 0 0", "Lab 50 500 0", "x" * 500, "#6b5a33; drop table", "Lab 1e9 0 0"],
)  # fmt: skip
def test_what_is_no_colour_is_a_sentence_at_its_field(typed):
    with pytest.raises(InputError) as refused:
        read_colour(typed, field="back")
    assert refused.value.field == "back"
    assert str(refused.value).endswith((".", "Lab."))
    assert len(str(refused.value)) < 400


def test_everything_that_cannot_be_used_is_said_at_once():
    wish = Wish(back="mud", belly="Lab 400 0 0", cup_back="160", cup_belly="9 kg",
                most_colourants="many", side="top")  # fmt: skip
    with pytest.raises(Invalid) as refused:
        asked(wish)
    fields = {each.field for each in refused.value.problems}
    assert fields == {"back", "belly", "cup_back", "cup_belly", "most_colourants", "side"}


def test_a_cup_without_a_unit_is_a_question():
    with pytest.raises(Invalid) as refused:
        asked(Wish(back="#6b5a33", cup_back="160"))
    assert isinstance(refused.value.problems[0], Ambiguous)


@pytest.mark.parametrize(
    ("limits", "field"),
    [({"most_colourants": "0"}, "most_colourants"), ({"most_drops": "-3"}, "most_drops"),
     ({"most_drops": "99999"}, "most_drops"), ({"most_grams": "60 g"}, "most_grams"),
     ({"most_grams": "3"}, "most_grams")],
)  # fmt: skip
def test_an_absurd_limit_is_a_sentence_at_its_field(limits, field):
    with pytest.raises(Invalid) as refused:
        asked(Wish(back="#6b5a33", **limits))
    assert refused.value.problems[0].field == field


def test_nothing_wanted_is_a_sentence():
    with pytest.raises(InputError, match="Nothing says what the bait should look like"):
        asked(Wish())


def test_a_one_colour_bait_has_no_belly_of_its_own():
    with pytest.raises(Invalid, match="one colour"):
        asked(Wish(back="#6b5a33", belly="#ffffff"), lesson("one-colour"), shelf("lessons"))
    told = matching_as_json(
        asked(Wish(back="#6b5a33"), lesson("one-colour"), shelf("lessons"))
    )  # fmt: skip
    assert [each["half"] for each in told["wanted"]] == ["whole"]


def test_a_recipe_that_asks_for_what_is_not_there_is_refused_first():
    with pytest.raises(Invalid, match="Peat"):
        asked(Wish(back="#6b5a33"), stock=twelve())


def test_the_answer_is_plain_json_and_says_all_that_a_maker_pours():
    told = json.loads(json.dumps(matching_as_json(
        asked(Wish(back="Lab 22 18 34", belly="photo #dcd888", cup_back="160 g"))
    )))  # fmt: skip
    assert told["reach"]["words"] == "Within reach of these bottles."
    first = told["matches"][0]
    back, belly = first["sides"]
    assert (back["cup"], back["cup_g"], belly["cup_g"]) == ("A", 160.0, 100.0)
    assert all(isinstance(dose["drops"], int) for dose in back["drops"])
    rind = [each for each in belly["drops"] if each["supply"] == "Rind"]
    assert not rind or "do not heat it again" in rind[0]["caution"]
    assert told["wanted"][1]["rough_by"] == 5.0
    assert belly["difference"]["high"] - belly["difference"]["value"] >= 5.0
    assert any("Cup B: no filling was said" in note for note in told["notes"])
    assert any("photo" in note for note in told["notes"])
    assert first["cost"] is None
    assert told["cautions"]


def test_out_of_reach_is_told_in_one_breath():
    words = matching_as_json(asked(Wish(back="#d01818")))["reach"]["words"]
    assert words.startswith("Out of reach of these bottles. The nearest: the back stays ΔE00")
    assert "One bottle that would help:" in words
    assert any(hue in words.partition("help:")[2] for hue in ("red", "orange"))


def test_the_look_of_another_version_can_be_wanted_of_one_side():
    answer = asked(Wish(like=demo(1), side="back"))
    assert list(answer.found.wanted) == [Half.BACK]
    told = matching_as_json(answer)
    assert told["wanted"][0]["source"] == "the back of peat-over-chalk, version 1"
    best = told["matches"][0]["sides"][0]
    assert {dose["supply"]: dose["drops"] for dose in best["drops"]}["Peat"] == 3
    assert best["verdict"] == "same"


def test_an_old_lots_shelf_stands_behind_the_look_that_is_wanted():
    answer = asked(Wish(like=demo(3), like_shelf=shelf()))
    assert "from the shelf named" in answer.found.wanted[Half.BACK].source


def test_a_match_becomes_a_recipe_that_reads_back_as_it_is():
    answer = asked(Wish(back="Lab 22 18 34", cup_back="137 g"))
    again = read_recipe(document_of(fields_of_match(answer, 0)))
    made = answer.found.matches[0].recipe
    for side, twin in zip(again.sides, made.sides, strict=True):
        amounts: list[Any] = [(each.supply, pytest.approx(each.amount)) for each in twin.loadings]
        assert [(each.supply, each.amount) for each in side.loadings] == amounts
    note = version_note(answer, 0)
    assert "back matched to Lab 22 18 34" in note
    assert "in 137 g" in note
    assert len(note) <= 500


def test_no_limit_lets_a_number_beyond_measure_pass():
    with pytest.raises(OutOfRange):
        read_colour("256 0 0")
