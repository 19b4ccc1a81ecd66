"""Bottles entered, weighed and compared as text: what was there stays, what is wrong is said."""

from __future__ import annotations

from typing import Any

import pytest

from partline.errors import InputError, Invalid, NotFound
from partline.quantities.estimate import Origin
from partline.records.exchange import read_shelf
from partline.services.bottle_look import bottle_as_json
from partline.services.bottles import (
    bottle_named,
    compare_lots,
    enter_bottle,
    keep_drop,
    keep_strength,
    weigh_drops,
)
from partline.services.look import look_as_json, preview_look
from partline.services.plan import plan_as_json, plan_pour
from tests.process.bottles import hiding_of, patch_of
from tests.process.shed import SHED, bench, demo, mould

SHELF = (SHED / "shelf.toml").read_text("utf-8")
MUD = {
    "name": "Mud", "clarity": "clear", "patch": "#c9a46b", "patch_loading": "3 drops",
    "patch_thickness": "2 mm", "hiding": "0.62", "hiding_loading": "3 drops",
    "hiding_thickness": "2 mm",
}  # fmt: skip
FIFTY = {"count": "50", "net": "1.5 g"}


def test_a_bottle_is_entered_with_no_more_than_a_name_and_a_clarity():
    text = enter_bottle("", {"name": "Mud", "clarity": "opaque", "patch": " ", "hiding": ""})
    (mud,) = read_shelf(text).colourants
    assert (mud.name, mud.patch, mud.hiding, mud.is_measured) == ("Mud", None, None, False)
    assert mud.drop_mass.origin is Origin.DEFAULT


def test_entering_leaves_every_other_word_of_the_shelf_as_it_was():
    text = enter_bottle(SHELF, MUD)
    for line in SHELF.splitlines():
        assert line in text.splitlines(), line
    before, after = read_shelf(SHELF), read_shelf(text)
    assert after.colourants[:-1] == before.colourants
    assert (after.grades, after.flakes) == (before.grades, before.flakes)
    assert patch_of(after.colourants[-1]).srgb == (0xC9, 0xA4, 0x6B)


def test_what_is_known_of_a_bottle_is_added_to_piece_by_piece():
    text = enter_bottle("# my shelf\n", {"name": "Mud", "clarity": "clear"})
    text = enter_bottle(text, {"name": "mud", "patch": "#c9a46b"})
    text = enter_bottle(text, {"name": "Mud", "hiding": "62 %", "hiding_thickness": "2 mm"})
    text = enter_bottle(text, {"name": "Mud", "patch_loading": "3 drops"})
    assert text.startswith("# my shelf\n")
    (mud,) = read_shelf(text).colourants
    assert patch_of(mud).srgb == (0xC9, 0xA4, 0x6B)
    assert patch_of(mud).chip.drops == 3
    assert hiding_of(mud).value == pytest.approx(0.62)
    assert hiding_of(mud).chip.thickness == pytest.approx(2e-3)


def test_what_was_given_now_is_no_guess_any_longer():
    text = enter_bottle("", {"name": "Mud", "clarity": "clear", "patch": "#c9a46b"})
    guessed = text.rstrip() + '\nguesses = ["clarity", "patch"]\n'
    half = enter_bottle(guessed, {"name": "Mud", "patch": "#c9a46c"})
    assert read_shelf(half).colourants[0].guesses == ("clarity",)
    whole = enter_bottle(half, {"name": "Mud", "clarity": "pearl"})
    assert read_shelf(whole).colourants[0].guesses == ()


BAD = {
    "no name": ({"name": " "}, "name", "no name"),
    "no clarity": ({"clarity": ""}, "clarity", "missing"),
    "clarity misspelt": ({"clarity": "claer"}, "clarity", "clear"),
    "a colour in words": ({"patch": "brown"}, "patch", "#7a5a2b"),
    "more than all": ({"hiding": "160 %"}, "hiding", "0 to 1"),
    "hiding in words": ({"hiding": "lots"}, "hiding", "lots"),
    "no loading": ({"hiding_loading": "0 drops"}, "hiding_loading", "says nothing"),
    "a bare loading": ({"patch_loading": "3"}, "patch_loading", "3 drops per 100 g"),
    "a bare thickness": ({"patch_thickness": "2"}, "patch_thickness", "2 mm"),
    "a drop of 3 g": ({"drop": "3 g"}, "drop", "mg"),
    "unknown field": ({"hue": "red"}, "hue", "not known"),
    "dark, yet hiding little": ({"patch": "#402010", "hiding": "0.2"}, "hiding", "at least 0.9"),
}


@pytest.mark.parametrize(("fields", "field", "words"), BAD.values(), ids=BAD)
def test_what_cannot_be_is_a_sentence_beside_its_field(fields, field, words):
    with pytest.raises(InputError) as refused:
        enter_bottle("", MUD | fields)
    problems = refused.value.problems if isinstance(refused.value, Invalid) else (refused.value,)
    assert field in [problem.field for problem in problems]
    assert words in str(refused.value)


def test_a_weighed_drop_is_kept_with_its_range_and_the_grams_follow():
    drop = weigh_drops(FIFTY)
    text = keep_drop(SHELF, "peat", drop)
    peat = bottle_named(text, "Peat")
    assert peat.drop_mass.value == pytest.approx(30e-6)
    assert peat.drop_mass.low == pytest.approx(28.59e-6, abs=0.02e-6)  # rounded outwards
    assert (peat.drop_mass.origin, peat.drop_mass.count) == (Origin.MEASURED, 50)

    def grams(shelf_text: str) -> float:
        plan: Any = plan_as_json(
            plan_pour(demo(3), mould(), bench(), read_shelf(shelf_text), good=40)
        )
        return sum(
            ingredient["grams"]
            for melt in plan["melt_plan"]
            for ingredient in melt["ingredients"]
            if ingredient["supply"] == "Peat"
        )

    heavier = keep_drop(SHELF, "Peat", weigh_drops({"count": "50", "net": "2.0 g"}))
    # 40 mg for 30 mg: a third more of it in every cup, for as many drops; shown to 0.01 g.
    assert grams(heavier) / grams(text) == pytest.approx(4 / 3, rel=0.02)


def test_gross_less_tare_is_what_the_drops_weigh():
    both = weigh_drops({"count": "50", "gross": "31.5 g", "tare": "30 g", "step": "0.01 g"})
    net = weigh_drops({"count": "50", "net": "1.5 g", "step": "0.01 g"})
    assert both.value == pytest.approx(net.value, rel=1e-9)
    assert both.high - both.value == pytest.approx(0.141e-6, rel=0.01)  # a tenth of 1.41 mg


WEIGHINGS = {
    "50 drops of 150 g": ({"count": "50", "net": "150 g"}, "net", "5 to 100 mg"),
    "tare above gross": (
        {"count": "50", "gross": "3 g", "tare": "4 g"},
        "tare",
        "nothing is left",
    ),
    "tare as gross": ({"count": "50", "gross": "3 g", "tare": "3 g"}, "tare", "nothing is left"),
    "no weight": ({"count": "50"}, "gross", "missing"),
    "no count": ({"net": "1.5 g"}, "count", "missing"),
    "half a drop": ({"count": "50.5", "net": "1.5 g"}, "count", "whole number"),
    "minus": ({"count": "-50", "net": "1.5 g"}, "count", "1 to 10000"),
    "no unit": ({"count": "50", "net": "1.5"}, "net", "1.5 g"),
    "both": ({"count": "50", "net": "1.5 g", "tare": "3 g"}, "net", "or gross and tare"),
    "a step of nothing": ({"count": "50", "net": "1.5 g", "step": "0 g"}, "step", "g"),
}


@pytest.mark.parametrize(("fields", "field", "words"), WEIGHINGS.values(), ids=WEIGHINGS)
def test_what_is_no_weighing_is_a_sentence_beside_its_field(fields, field, words):
    with pytest.raises(InputError) as refused:
        weigh_drops(fields)
    problems = refused.value.problems if isinstance(refused.value, Invalid) else (refused.value,)
    assert field in [problem.field for problem in problems]
    assert words in str(refused.value)


def test_a_new_lot_is_kept_with_its_strength_and_code():
    text = enter_bottle("", MUD)
    ratio = compare_lots(bottle_named(text, "Mud"), {"old_hiding": "0.62", "new_hiding": "0.50"})
    assert ratio.high < 1.0  # it hides a fifth less of the card
    kept = bottle_named(keep_strength(text, "Mud", ratio, "R0501-A1"), "Mud")
    assert kept.lot == "R0501-A1"
    assert kept.strength.value == pytest.approx(ratio.value, abs=1e-3)
    again = compare_lots(kept, {"old_drops": "9", "new_drops": "7"})
    assert again.value == pytest.approx(9 / 7)


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"old_drops": "9"}, "new_drops"),
        ({"old_hiding": "0.5"}, "new_hiding"),
        ({"old_hiding": "0.5", "new_hiding": "1.5"}, "new_hiding"),
        ({"old_hiding": "0.5", "new_hiding": "0.4", "loading": "3"}, "loading"),
        ({}, "old_hiding"),
    ],
)
def test_lots_that_cannot_be_compared_are_refused_beside_the_field(fields, field):
    with pytest.raises(Invalid) as refused:
        compare_lots(bottle_named(SHELF, "Peat"), fields)
    assert field in [problem.field for problem in refused.value.problems]


def test_a_bottle_that_is_not_there_is_said_with_those_that_are():
    with pytest.raises(NotFound, match="Peat"):
        keep_drop(SHELF, "Pete", weigh_drops(FIFTY))


def test_a_bottle_is_told_with_ranges_that_narrow_as_it_gets_known():
    def width(fields: dict[str, str]) -> float:
        answer = bottle_as_json(bottle_named(enter_bottle("", fields), "Mud"))
        hiding = answer["chips"][1]["hiding"]
        assert hiding["low"] <= hiding["value"] <= hiding["high"]
        assert hiding["narrows"]
        return hiding["high"] - hiding["low"]

    nothing = width({"name": "Mud", "clarity": "clear"})
    assert nothing > 3 * width(MUD)
    peat = bottle_as_json(bottle_named(SHELF, "Peat"))
    assert peat["is_measured"]
    assert peat["notes"] == []


def test_a_look_says_where_a_guessed_bottle_comes_from():
    text = enter_bottle(SHELF, MUD | {"name": "Peat2"}).replace('name = "Peat"', 'name = "Peat1"')
    shelf = read_shelf(text.replace('name = "Peat2"', 'name = "Peat"'))
    answer: Any = look_as_json(preview_look(demo(1), mould(), shelf))
    (constants,) = [
        each for each in answer["origins"] if each["name"] == "Peat: optical constants"
    ]
    assert constants["origin"] == "default"
    assert "a chip and a hiding reading" in constants["source"]
    assert constants["narrows"] == "measured spectra of Peat"
    assert any("never measured" in note for note in answer["notes"])
