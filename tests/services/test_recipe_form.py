"""A recipe through the editor's form and back: nothing changes that nobody touched."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError, Invalid
from partline.process.recipe import (
    GradeShare,
    Half,
    Handling,
    Loading,
    Measure,
    Recipe,
    Side,
    Wanted,
)
from partline.quantities.estimate import Origin
from partline.services.recipes import (
    MOST_ROWS,
    document_of,
    fields_of,
    recipe_of,
    save_recipe,
)
from partline.services.workshop import now, open_at
from tests.process.shed import LESSON_NAMES, demo, drops, lesson, one_colour, side_of


@pytest.mark.parametrize(
    "recipe", [*(demo(n) for n in (1, 2, 3)), *(lesson(name) for name in LESSON_NAMES)],
    ids=lambda each: f"{each.name}-{each.version}",
)  # fmt: skip
def test_an_example_comes_back_from_the_form_as_it_was(recipe):
    back = recipe_of(fields_of(recipe))
    assert replace(back, version=recipe.version) == recipe


thirds = (
    GradeShare(grade="soft", share=1 / 3),
    GradeShare(grade="medium", share=2 / 3),
)


@pytest.mark.parametrize("celsius", [163.0, 162.5, 162.7778, 80.0, 229.99])
def test_a_start_temperature_is_not_rounded_by_opening_the_editor(celsius):
    kelvin = celsius + 273.15
    recipe = replace(one_colour(drops("Peat", 3)), handling=Handling(start=kelvin))
    found = recipe_of(fields_of(recipe)).handling.start
    assert found == pytest.approx(kelvin, abs=1e-6)  # a tenth of a millikelvin is no reading


def test_a_recipe_in_fahrenheit_keeps_its_temperature():
    start = (325 - 32) / 1.8 + 273.15
    recipe = replace(one_colour(drops("Peat", 3)), handling=Handling(start=start, push=2.25))
    found = recipe_of(fields_of(recipe)).handling
    assert found.start == pytest.approx(start, abs=1e-6)
    assert found.push == pytest.approx(2.25, abs=1e-9)


@pytest.mark.parametrize("hiding", [0.9, 0.905, 0.8765, 1.0, 0.0, 0.999])
def test_a_wanted_hiding_is_not_rounded_by_opening_the_editor(hiding):
    recipe = replace(one_colour(drops("Peat", 3)), wanted=Wanted(hiding=hiding, is_default=False))
    assert recipe_of(fields_of(recipe)).wanted.hiding == pytest.approx(hiding, abs=1e-9)


def test_a_wish_that_nobody_stated_stays_a_default():
    recipe = one_colour(drops("Peat", 3))
    assert recipe.wanted.is_default
    assert recipe_of(fields_of(recipe)).wanted.is_default


def test_a_blend_in_thirds_still_adds_up_after_the_form():
    sides = (Side(half=Half.WHOLE, blend=thirds, loadings=()),)
    found = recipe_of(fields_of(Recipe(name="thirds", sides=sides)))
    shares = [each.share for each in found.sides[0].blend]
    assert shares == pytest.approx([1 / 3, 2 / 3], abs=1e-6)


names = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Cn", "Co"), exclude_characters="\u2028\u2029"),
    min_size=1, max_size=40,
).map(str.strip).filter(bool)  # fmt: skip


@settings(deadline=None, max_examples=40)
@given(name=names, note=names, supply=names, amount=st.floats(0.1, 400))
def test_any_name_and_note_come_back_letter_by_letter(name, note, supply, amount):
    load = Loading(supply=supply, amount=round(amount, 3), measure=Measure.DROPS)
    recipe = Recipe(name=name, note=note, sides=(side_of(Half.WHOLE, load),))
    found = recipe_of(fields_of(recipe))
    assert (found.name, found.note) == (name, note)
    assert found.sides[0].loadings[0].supply == supply
    assert found.sides[0].loadings[0].amount == pytest.approx(load.amount, rel=1e-9)


@pytest.mark.parametrize(
    "name", ['say "when"', "#set page()", "<script>x</script>", "a\\nb", "'''"]
)
def test_a_name_with_quotes_or_markup_is_only_a_name(name):
    assert recipe_of(fields_of(replace(demo(1), name=name))).name == name


def test_the_amount_is_kept_as_it_was_typed():
    fields = fields_of(demo(1))
    fields["sides"][0]["loadings"][0]["per_100_g"] = "3 ½ drops"
    again = fields_of(recipe_of(fields))
    assert again["sides"][0]["loadings"][0]["per_100_g"] == "3 ½ drops"


def test_an_amount_that_was_not_retyped_keeps_its_origin_through_the_editor(tmp_path):
    text = document_of(fields_of(demo(1)))
    head, _, rest = text.partition("per_100_g = ")
    computed = f'{head}origin = "computed", per_100_g = {rest}'
    with open_at(tmp_path) as workshop:
        kept = workshop.recipes.add(computed, now=now())
        code = kept.version.document_id
        fields = fields_of(kept.content) | {"note": "only a note"}

        def saved(number):
            asked = {"document_id": code, "based_on": number, "note": ""}
            return save_recipe(workshop, fields, **asked).content.sides[0].loadings[0].origin

        assert saved(1) is Origin.COMPUTED
        fields["sides"][0]["loadings"][0]["per_100_g"] = "8 drops"
        assert saved(2) is Origin.ENTERED


@pytest.mark.parametrize(
    ("field", "typed", "path", "words"),
    [
        ("start", "350 °C", "handling.start", "350 °F"),
        ("start", "163", "handling.start", "°C"),
        ("push", "2,5 s", "handling.push", "2.5"),
        ("hiding", "1.5", "wanted.hiding", "1"),
        ("name", "", "name", "empty"),
    ],
)
def test_a_fault_in_the_form_is_said_beside_its_field(field, typed, path, words):
    fields = fields_of(demo(1)) | {field: typed}
    with pytest.raises(Invalid) as refusal:
        recipe_of(fields)
    problems = {each.field: str(each) for each in refusal.value.problems}
    assert path in problems
    assert words in problems[path]


@pytest.mark.parametrize("typed", ["-3 drops", "nine drops", "", "1e99 drops", "½ cup"])
def test_a_nonsense_amount_is_said_beside_its_row(typed):
    fields = fields_of(demo(1))
    fields["sides"][0]["loadings"][0]["per_100_g"] = typed
    with pytest.raises(Invalid) as refusal:
        recipe_of(fields)
    assert [each.field for each in refusal.value.problems] == ["back.load[0].per_100_g"]


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"name": 3},
        {"name": "x", "sides": "back"},
        {"name": "x", "sides": [1, 2]},
        {"name": "x", "sides": [{"half": "middle"}]},
        {"name": "x", "sides": [{"half": "back", "blend": [], "loadings": []}]},
        {"name": "x", "sides": [{"half": "back", "blend": [{"grade": ["soft"]}]}]},
        {"name": "x", "sides": [{"half": "back", "blend": [{}], "loadings": [{}] * 25}]},
        {"name": "x", "sides": [{}] * (MOST_ROWS + 1)},
        [],
        "text",
        None,
    ],
    ids=str,
)
def test_a_malformed_form_is_refused_and_never_our_fault(fields):
    with pytest.raises(InputError):
        recipe_of(fields)


def test_a_form_of_one_side_is_a_recipe_of_one_side():
    text = document_of(fields_of(lesson("one-colour")))
    assert "[whole]" in text
    assert not recipe_of(fields_of(lesson("one-colour"))).is_two_colour


def test_a_side_with_no_colour_is_a_recipe_too():
    found = recipe_of(fields_of(lesson("green-over-clear")))
    assert found.sides[1].loadings == ()
