"""What changed between two versions, in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from partline.process.recipe import GradeShare, Handling, Loading, Measure, Wanted
from partline.services.comparing import changes, comparison_as_json
from tests.process.shed import demo, lesson, mould, shelf


def words(before, after) -> list[str]:
    return [each.words for each in changes(before, after)]


def test_the_demos_one_change_is_told_in_one_sentence():
    told = words(demo(1), demo(3))
    assert "Back: Peat from 3 drops per 100 g to 9 drops per 100 g." in told
    assert not [each for each in told if each.startswith("Belly")]


def test_the_same_recipe_has_no_changes():
    assert words(demo(1), demo(1)) == []


def test_every_part_of_a_recipe_is_compared():
    before = demo(1)
    back, belly = before.sides
    blend = (GradeShare(grade="soft", share=0.7), GradeShare(grade="medium", share=0.3))
    salt = Loading(supply="fine salt", amount=3, measure=Measure.GRAMS)
    after = replace(
        before,
        name="other",
        note="try salt",
        sides=(replace(back, blend=blend), replace(belly, loadings=(*belly.loadings[1:], salt))),
        wanted=Wanted(hiding=0.8, is_default=False),
        handling=Handling(start=435.15, push=4.0),
    )
    told = "\n".join(words(before, after))
    for part in (
        "Back: plastisol from soft to 70.0 % soft + 30.0 % medium.",
        "Belly: Chalk taken out (was 5 drops per 100 g).",
        "Belly: fine salt added, 3 g per 100 g.",
        "Wanted: hiding from 0.9 to 0.8.",
        "Handling: start from 163 °C to 162 °C.",
        "Handling: push time from 6.0 s to 4.0 s.",
        "“try salt”",
        "Name from peat-over-chalk to other.",
    ):
        assert part in told


def test_two_colours_to_one_is_told_side_by_side():
    told = "\n".join(words(demo(1), lesson("one-colour")))
    assert "Back: this side taken out" in told
    assert "Bait: this side added" in told


def test_both_looks_stand_beside_the_changes():
    told: Any = comparison_as_json(demo(1), demo(3), mould(), shelf(), draws=4)
    before, after = (told[key]["halves"]["back"]["hiding"] for key in ("before", "after"))
    assert after["value"] > before["value"]
    assert before["low"] < before["value"] < before["high"]
