"""Whether the shelf holds what a recipe asks for."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from partline.process.recipe import GradeShare, Half, Loading, Measure, Recipe, Side
from partline.process.recipe_check import check_against_shelf
from partline.records.exchange import read_recipe, read_shelf

SHED = Path(__file__).parents[2] / "examples" / "vessary-shed"
SHELF = read_shelf((SHED / "shelf.toml").read_text("utf-8"))


def one_sided(*loadings: Loading, grades: tuple[str, ...] = ("soft",)) -> Recipe:
    blend = tuple(GradeShare(grade=grade, share=1 / len(grades)) for grade in grades)
    return Recipe(name="x", sides=(Side(half=Half.WHOLE, blend=blend, loadings=loadings),))


@pytest.mark.parametrize("path", sorted((SHED / "recipes").glob("*.toml")), ids=lambda p: p.name)
def test_the_demo_shelf_holds_everything_the_demo_recipes_ask_for(path):
    assert check_against_shelf(read_recipe(path.read_text("utf-8")), SHELF) == ()


def test_an_unknown_colourant_is_named_with_its_field_and_the_nearest():
    recipe = read_recipe((SHED / "recipes" / "peat-over-chalk-1.toml").read_text("utf-8"))
    back = recipe.sides[0]
    peet = replace(back.loadings[0], supply="Peet")
    wrong = replace(recipe, sides=(replace(back, loadings=(peet,)), recipe.sides[1]))
    (problem,) = check_against_shelf(wrong, SHELF)
    assert problem.field == "back.load[0].supply"
    assert "Peat" in problem.remedy


def test_an_unknown_grade_is_named():
    (problem,) = check_against_shelf(one_sided(grades=("firm",)), SHELF)
    assert problem.field == "whole.grade"


def test_a_colourant_is_no_grade_of_a_blend():
    (problem,) = check_against_shelf(one_sided(grades=("soft", "Peat")), SHELF)
    assert problem.field == "whole.blend.Peat"


def test_a_grade_is_no_loading():
    loading = Loading(supply="medium", amount=10, measure=Measure.GRAMS)
    (problem,) = check_against_shelf(one_sided(loading), SHELF)
    assert "blend" in problem.remedy


def test_flake_is_not_counted_in_drops():
    loading = Loading(supply="Penny", amount=3, measure=Measure.DROPS, entered="3 drops")
    (problem,) = check_against_shelf(one_sided(loading), SHELF)
    assert problem.field == "whole.load[0].per_100_g"
    assert problem.given == "3 drops"
