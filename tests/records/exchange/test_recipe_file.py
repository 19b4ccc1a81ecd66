"""Recipes as files: read, refused with a remedy, and written back without loss."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import Ambiguous, Imbalance, InputError, Invalid, OutOfRange
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
from partline.records.exchange import loading_text, read_loading, read_recipe, write_recipe

RECIPES = Path(__file__).parents[3] / "examples" / "vessary-shed" / "recipes"
ONE_COLOUR = 'name = "x"\n[whole]\ngrade = "soft"\n'


def problems(text: str) -> dict[str, InputError]:
    """Return what is wrong with a recipe, by field."""
    with pytest.raises(Invalid) as refusal:
        read_recipe(text)
    return {problem.field: problem for problem in refusal.value.problems}


def loaded(amount: str) -> str:
    return f'{ONE_COLOUR}[[whole.load]]\nsupply = "Peat"\nper_100_g = {amount}\n'


def test_the_demo_recipe_says_what_its_file_says():
    recipe = read_recipe((RECIPES / "peat-over-chalk-2.toml").read_text("utf-8"))
    back, belly = recipe.sides
    assert (recipe.name, recipe.version, recipe.is_two_colour) == ("peat-over-chalk", 2, True)
    assert back.half is Half.BACK
    assert back.blend == (GradeShare(grade="soft", share=1.0),)
    assert back.loadings == (
        Loading(supply="Peat", amount=9.0, measure=Measure.DROPS, entered="9 drops"),
        Loading(supply="Penny", amount=0.25, measure=Measure.GRAMS, entered="0.25 g"),
    )
    assert [loading.supply for loading in belly.loadings] == ["Chalk", "Rind"]
    assert recipe.wanted == Wanted(hiding=0.9, is_default=False)
    assert recipe.handling == Handling(start=444.15, push=2.5)


def test_a_one_colour_recipe_has_one_side_and_default_wishes():
    recipe = read_recipe(ONE_COLOUR)
    assert [side.half for side in recipe.sides] == [Half.WHOLE]
    assert recipe.wanted.is_default
    assert recipe.handling == Handling()
    assert recipe.version == 1


def test_a_blend_is_read_as_shares():
    recipe = read_recipe('name = "x"\n[whole]\nblend = { soft = "70 %", medium = "30 %" }\n')
    assert recipe.sides[0].blend == (
        GradeShare(grade="soft", share=0.7),
        GradeShare(grade="medium", share=0.3),
    )


def test_a_blend_that_does_not_add_up_says_by_how_much():
    found = problems('name = "x"\n[whole]\nblend = { soft = "70 %", medium = "33.5 %" }\n')
    assert isinstance(found["whole.blend"], Imbalance)
    assert "adds up to 103.5 %" in str(found["whole.blend"])
    assert "Take 3.5 % away" in str(found["whole.blend"])


@pytest.mark.parametrize(
    ("amount", "kind", "says"),
    [
        ('"½ cup"', Ambiguous, "Weigh one level measure"),
        ('"8 drops brown"', InputError, "9 drops per 100 g"),
        ('"3"', Ambiguous, "3 drops per 100 g"),
        ('"-3 drops"', OutOfRange, "at least 0"),
        ('"9,5 drops"', InputError, "comma"),
        ('"2000 drops"', OutOfRange, "0 to 500"),
        ('"80 g"', OutOfRange, "0 to 60"),
        ('"2 oz"', Ambiguous, "oz (weight)"),
        ("3", Ambiguous, "3 drops per 100 g"),
        ("true", InputError, "quotes"),
        ('""', InputError, "empty"),
    ],
)
def test_an_unclear_loading_is_asked_about_and_never_guessed(amount, kind, says):
    found = problems(loaded(amount))
    assert list(found) == ["whole.load[0].per_100_g"]
    assert isinstance(found["whole.load[0].per_100_g"], kind)
    assert says in str(found["whole.load[0].per_100_g"])


def test_every_problem_is_found_in_one_reading():
    found = problems(
        'nam = "x"\n[back]\n[[back.load]]\nsupply = ""\nper_100_g = "3 drops"\n'
        '[belly]\ngrade = 7\n[wanted]\nhiding = 90\n[handling]\nstart = "350"\npush = "6 s"\n'
    )
    assert set(found) == {
        "nam", "back.grade", "back.load[0].supply", "belly.grade", "wanted.hiding",
        "handling.start",
    }  # fmt: skip
    assert "Did you mean “name”?" in str(found["nam"])


def test_a_misspelt_key_is_told_once():
    found = problems(loaded('"3 drops"').replace("per_100_g", "per_100g"))
    assert list(found) == ["whole.load[0].per_100g"]


def test_too_many_drops_are_refused_in_drops():
    refused = problems(loaded('"900 drops"'))["whole.load[0].per_100_g"]
    assert "is 900 drops; it must lie in 0 to 500 drops" in str(refused)


@pytest.mark.parametrize("typed", ["90", '"90 %"', '"90"'])
def test_per_cent_where_a_part_of_one_is_wanted_is_a_question(typed):
    asked = problems(f"{ONE_COLOUR}[wanted]\nhiding = {typed}\n")["wanted.hiding"]
    assert isinstance(asked, Ambiguous)
    assert [each.write for each in asked.readings] == ["0.9"]


def test_a_list_written_as_one_table_is_told_its_brackets():
    found = problems(loaded('"3 drops"').replace("[[whole.load]]", "[whole.load]"))
    assert list(found) == ["whole.load"]
    assert "[[whole.load]]" in found["whole.load"].remedy


def test_350_in_a_celsius_place_is_a_question():
    field = "handling.start"
    found = problems(f'{ONE_COLOUR}[handling]\nstart = "350 °C"\n')[field]
    assert isinstance(found, Ambiguous)
    assert [reading.write for reading in found.readings] == ["350 °F"]


@pytest.mark.parametrize(
    ("sides", "field", "remedy"),
    [
        ('[back]\ngrade = "soft"\n', "belly", "Add [belly], or call it [whole]"),
        ('[belly]\ngrade = "soft"\n', "back", "Add [back]"),
        ('[whole]\ngrade = "soft"\n[back]\ngrade = "soft"\n', "whole", "one of them"),
        ("", "", "[whole] for one colour"),
    ],
)
def test_a_recipe_has_one_side_or_two_that_belong_together(sides, field, remedy):
    found = problems(f'name = "x"\n{sides}')
    assert remedy in str(found[field])


def test_a_supply_stands_once_a_side():
    again = '[[whole.load]]\nsupply = "peat"\nper_100_g = "2 drops"\n'
    assert "more than once" in str(problems(loaded('"3 drops"') + again)["whole.load"])


def test_loadings_leave_room_for_the_plastisol():
    salt = '[[whole.load]]\nsupply = "salt"\nper_100_g = "55 g"\n'
    found = problems(loaded('"50 g"') + salt)
    assert isinstance(found["whole.load"], Imbalance)
    assert "105 g in every 100 g" in str(found["whole.load"])


def test_a_name_may_hold_markup_and_quotes_but_no_control_character():
    name = """<b onclick='x'>"#recipe" & Söhne</b>"""
    recipe = read_recipe(ONE_COLOUR.replace('"x"', "'''" + name + "'''"))
    assert recipe.name == name
    assert read_recipe(write_recipe(recipe)) == recipe
    assert "control character" in str(problems(ONE_COLOUR.replace("x", "\\u0007"))["name"])


def test_a_loading_typed_with_its_basis_reads_the_same():
    assert read_loading("9 drops per 100 g") == read_loading("9 drops") == (9.0, Measure.DROPS)


def test_a_loading_nobody_typed_is_written_from_its_amount():
    written = Loading(supply="Penny", amount=0.25, measure=Measure.GRAMS)
    assert loading_text(written) == "0.25 g"


# ---- there and back

names = (
    st.text(
        st.characters(exclude_categories=["Cc", "Cf", "Cs", "Co", "Cn"]), min_size=1, max_size=40
    )
    .map(str.strip)
    .filter(bool)
)
# Twelve decimals of a gram are kept; drops are kept whole, as floats.
drops = st.floats(0, 500, allow_subnormal=False).map(lambda x: round(x, 9))
grams = st.floats(0, 20).map(lambda x: round(x, 9))


@st.composite
def loadings(draw, supply):
    measure = draw(st.sampled_from(Measure))
    amount = draw(drops if measure is Measure.DROPS else grams)
    loading = Loading(supply=supply, amount=amount, measure=measure)
    return replace(loading, entered=draw(st.sampled_from(["", loading_text(loading)])))


@st.composite
def sides(draw, half):
    supplies = draw(st.lists(names, max_size=4, unique_by=str.casefold))
    grades = draw(st.lists(names, min_size=1, max_size=3, unique=True))
    cuts = sorted(draw(st.lists(st.integers(1, 999), min_size=2, max_size=2, unique=True)))
    parts = {
        1: [1000],
        2: [cuts[0], 1000 - cuts[0]],
        3: [cuts[0], cuts[1] - cuts[0], 1000 - cuts[1]],
    }
    shares = [part / 1000 for part in parts[len(grades)]]
    return Side(
        half=half,
        blend=tuple(GradeShare(grade=g, share=s) for g, s in zip(grades, shares, strict=True)),
        loadings=tuple(draw(loadings(supply)) for supply in supplies),
    )


@st.composite
def recipes(draw):
    halves = draw(st.sampled_from([(Half.WHOLE,), (Half.BACK, Half.BELLY)]))
    hiding = draw(st.none() | st.floats(0, 1))
    return Recipe(
        name=draw(names),
        version=draw(st.integers(1, 1_000_000)),
        note=draw(st.just("") | names | st.just('Two lines:\n  a "quoted" one\tand more')),
        sides=tuple(draw(sides(half)) for half in halves),
        wanted=Wanted() if hiding is None else Wanted(hiding=hiding, is_default=False),
        handling=Handling(
            start=draw(st.none() | st.floats(360, 500)), push=draw(st.none() | st.floats(0.3, 100))
        ),
    )


def as_written(recipe: Recipe) -> Recipe:
    """Return a recipe whose loadings all say how they were typed, as a file must."""
    return replace(
        recipe,
        sides=tuple(
            replace(
                side,
                loadings=tuple(
                    replace(each, entered=each.entered or loading_text(each))
                    for each in side.loadings
                ),
            )
            for side in recipe.sides
        ),
    )


@given(recipes())
def test_a_recipe_comes_back_exactly_as_it_was_written(recipe):
    assert read_recipe(write_recipe(recipe)) == as_written(recipe)
