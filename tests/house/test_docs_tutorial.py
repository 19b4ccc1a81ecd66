"""The tutorial promises what the program then shows."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from partline.interfaces.web.pages.recipes import LIVE_DRAWS
from partline.services.look import look_as_json, preview_look
from partline.services.plan import plan_as_json, plan_pour
from tests.process.shed import bench, demo, mould, shelf

PAGE = (Path(__file__).parents[2] / "docs" / "tutorials" / "first-look-and-card.md").read_text(
    "utf-8"
)
EXPLANATION = (
    Path(__file__).parents[2] / "docs" / "explanation" / "how-the-amounts-are-computed.md"
).read_text("utf-8")


@cache
def live(version: int) -> Any:
    """The look as the editor asks for it."""
    return look_as_json(preview_look(demo(version), mould(), shelf(), draws=LIVE_DRAWS))


@cache
def plan() -> Any:
    return plan_as_json(plan_pour(demo(3), mould(), bench(), shelf(), good=40))


def shown(figure: dict[str, float], digits: int) -> str:
    value, low, high = (f"{figure[key]:.{digits}f}" for key in ("value", "low", "high"))
    return f"{value} {low}–{high}"


def test_the_first_look_says_what_the_tutorial_expects():
    look = live(1)
    for words, key in (("Back against belly", "back_belly"), ("Halves from the side", "side")):
        figure = look["distinctness"][key]
        assert f"| {words} | {figure['verdict']} |" in PAGE
        # Slabs stand in while the ready tables are being made anew; a maker never sees them.
        if look["picture"]["quality"] != "slab":
            assert f"| {words} | {figure['verdict']} | {shown(figure, 0)} |" in PAGE
    for half, seen in look["halves"].items():
        row = f"| The {half} half hides | {seen['verdict']} | {shown(seen['hiding'], 2)} |"
        assert row in PAGE
    assert look["advice"][0]["text"] in PAGE


def test_nine_drops_bring_what_the_tutorial_expects():
    look = live(3)
    tail = look["stations"][-1]
    assert look["advice"][0]["text"].strip() in PAGE
    assert f"it hides {look['halves']['back']['hiding']['value']:.2f}" in PAGE
    assert f"at the tail ({tail['back_hiding']:.2f})" in PAGE
    needed = next(each for each in look["needed"][0]["stations"] if each["station"] == "tail")
    assert f"would take {needed['per_100_g']:.0f} drops per 100 g" in PAGE
    assert look["halves"]["back"]["hiding"]["narrows"] in PAGE


def test_the_plan_has_the_amounts_that_the_pages_print():
    found = plan()
    for key in ("to_mould", "shots", "melts"):
        assert f"{found[key]} {key.replace('_', ' ')}" in PAGE
    assert f"{found['cup_a_g']} g a side" in PAGE
    for melt in found["melt_plan"]:
        for page in (PAGE, EXPLANATION):
            assert f"{melt['cup_a_g']} g" in page.replace("**", "")
        assert f"{melt['cup_a_hot_ml']:.0f} mL hot" in EXPLANATION
    ingredients = {each["supply"]: each for each in found["melt_plan"][0]["ingredients"]}
    peat = ingredients["Peat"]
    assert f"{peat['drops']} drops of Peat ({peat['drops_exact']:.1f}" in PAGE
    assert f"{ingredients['Chalk']['drops']} drops of Chalk" in PAGE
    low, high = found["melt_plan"][0]["cup_a_g_range"]
    assert f"{low} to {high} g" in EXPLANATION
    fit = found["fit"]
    assert f"{fit['syringe_ml']} mL hot of {fit['syringe_limit_ml']:.0f} mL" in EXPLANATION
    assert f"{fit['one_melt_hot_ml']:.0f} mL" in EXPLANATION
