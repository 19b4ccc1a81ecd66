"""Every worked number of the demo workshop, from its files alone."""

from __future__ import annotations

import json

import pytest

from partline.process.appearance import sightings
from partline.services.look import look_as_json, preview_look
from partline.services.plan import plan_as_json, plan_pour
from tests.process.shed import bench, demo, lesson, mould, optics_of, shelf, without_flake


def planned(version: int = 3, good: int = 40):
    answer = plan_pour(demo(version), mould(), bench(), shelf(), good=good)
    return json.loads(json.dumps(plan_as_json(answer)))


def looked(version: int):
    return json.loads(json.dumps(look_as_json(preview_look(demo(version), mould(), shelf()))))


def test_forty_good_baits_are_forty_four_to_mould_and_eleven_shots():
    plan = planned()
    assert (plan["to_mould"], plan["shots"], plan["moulded"]) == (44, 11, 44)


def test_a_shot_takes_fifty_two_point_seven_grams():
    # 4 × 10.2 + 9.0 + 1.5 + 2 × 0.7, from the budget of a plan: all but the film, a shot.
    plan = planned()
    a_shot = (plan["budget_g"]["total"] - plan["budget_g"]["film"]) / plan["shots"]
    # Printed to 0.1 g, and 11 shots share the rounding of two totals to 0.1 g.
    assert a_shot == pytest.approx(52.7, abs=0.02)


def test_one_melt_would_stand_above_the_cups_limit():
    plan = planned()
    assert plan["fit"]["one_melt_hot_ml"] == pytest.approx(318, abs=0.5)  # printed to 1 mL
    assert plan["fit"]["cup_limit_ml"] == pytest.approx(300, abs=1e-9)
    # 293.9 g a side: 11 shots, a heel a draw, one film.
    one_melt = 11 * 52.7 / 2 + 4.0
    assert one_melt == pytest.approx(293.9, abs=0.05)
    assert one_melt / plan["fit"]["one_melt_hot_ml"] == pytest.approx(0.925, abs=0.002)


def test_two_melts_of_six_and_five_shots_fill_the_cups():
    plan = planned()
    assert [melt["shots"] for melt in plan["melt_plan"]] == [6, 5]
    assert [melt["cup_a_g"] for melt in plan["melt_plan"]] == [162.1, 135.8]
    assert [melt["cup_b_g"] for melt in plan["melt_plan"]] == [162.1, 135.8]
    assert (plan["melts"], plan["cup_a_g"], plan["cup_b_g"]) == (2, 297.9, 297.9)


def test_the_parts_of_the_plan_add_up_to_what_it_says_in_all():
    plan = planned()
    for cup in ("cup_a_g", "cup_b_g"):
        assert sum(melt[cup] for melt in plan["melt_plan"]) == pytest.approx(plan[cup], abs=1e-9)
    listed = sum(each["grams"] for each in plan["ingredients"])
    # Half a step a reading: four grades and four cups to 0.1 g, eight other lines to 0.01 g.
    assert listed == pytest.approx(plan["cup_a_g"] + plan["cup_b_g"], abs=8 * 0.05 + 8 * 0.005)


@pytest.mark.parametrize(
    ("version", "place", "difference", "back", "belly"),
    [
        # demo.md, "Tried with a slab solver, no flake, grey 0.4 below": within ΔE00 1.
        (1, "belly", 31, 0.59, 0.94),  # the page prints 0.95; 0.937 comes out, 0.013 below it
        (1, "tail", 11, 0.30, 0.74),
        (2, "belly", 60, 0.88, None),
        (2, "tail", 24, 0.54, None),
    ],
)
def test_the_slab_row_of_the_demo_page_comes_out(version, place, difference, back, belly):
    seen = sightings(optics_of(without_flake(demo(version))), mould().stations)
    at = [each.name for each in mould().stations].index(place)
    assert seen.back_belly[0, at] == pytest.approx(difference, abs=1.0)  # as the page says
    assert seen.back_hiding[0, at] == pytest.approx(back, abs=0.02)  # another solver, two digits
    if belly is not None:
        assert seen.belly_hiding[0, at] == pytest.approx(belly, abs=0.02)


def test_the_first_version_is_see_through_on_the_back_and_only_peat_is_to_be_tripled():
    look = looked(1)
    assert look["halves"]["back"]["verdict"] == "see-through"
    assert look["halves"]["belly"]["verdict"] == "hides"
    first = look["advice"][0]
    assert (first["supply"], first["from"], first["to"], first["factor"]) == ("Peat", 3, 9, 3)
    assert "leave everything else as it is" in first["text"]
    # Nothing else is to be changed now; what follows is to be accepted or thought of later.
    later = [each["action"] for each in look["advice"][1:]]
    assert set(later) <= {"accept, or raise further"}


@pytest.mark.parametrize("version", [2, 3])
def test_the_later_versions_hide_at_the_widest_place_and_stay_thin_at_the_tail(version):
    look = looked(version)
    assert look["halves"]["back"]["verdict"] == "hides"
    tail = next(each for each in look["stations"] if each["name"] == "tail")
    assert tail["back_verdict"] == "see-through"
    assert look["advice"][0]["action"] == "keep it"


def test_the_second_versions_start_is_said_to_be_above_the_label():
    assert any("171 °C is above" in note for note in planned(2)["notes"])
    assert not any("working band" in note for note in planned(3)["notes"])


def lesson_look(name: str):
    answer = preview_look(lesson(name), mould(), shelf("lessons"))
    return json.loads(json.dumps(look_as_json(answer)))


def test_green_over_clear_is_one_colour_from_above_and_two_from_the_side():
    look = lesson_look("green-over-clear")
    assert look["distinctness"]["back_belly"]["verdict"] in {"same", "barely"}
    assert look["distinctness"]["side"]["verdict"] == "strong"
    text = look["advice"][0]["text"]
    assert "look the same from above and below" in text
    assert "differ" in text
    assert "from the side" in text


def test_an_opaque_pair_is_distinct_from_every_side():
    look = lesson_look("opaque-pair")
    assert look["distinctness"]["back_belly"]["verdict"] == "strong"
    assert look["distinctness"]["side"]["verdict"] == "strong"
    # At every station, the tail included.
    for station in look["stations"]:
        assert station["back_belly_verdict"] in {"clear", "strong"}
        assert station["side_verdict"] in {"clear", "strong"}


def test_smoke_over_pearl_is_paler_where_it_is_thinner():
    seen = sightings(optics_of(lesson("smoke-over-pearl"), shelf("lessons")), mould().stations)
    by_thickness = sorted(range(5), key=lambda i: mould().stations[i].height)
    hiding = [seen.back_hiding[0, i] for i in by_thickness]
    assert hiding == sorted(hiding)
    notes = lesson_look("smoke-over-pearl")["notes"]
    assert any("shifts with the angle is not predicted" in note for note in notes)


def test_a_one_colour_plan_has_one_cup():
    answer = plan_pour(lesson("one-colour"), mould(), bench(), shelf("lessons"), good=40)
    plan = json.loads(json.dumps(plan_as_json(answer)))
    assert plan["cup_b_g"] is None
    assert {each["cup"] for each in plan["ingredients"]} == {"A"}
    assert all(melt["cup_b_g"] is None for melt in plan["melt_plan"])
    look = lesson_look("one-colour")
    assert look["distinctness"] == {"back_belly": None, "side": None}
    assert list(look["halves"]) == ["whole"]
    assert all(each["belly_hiding"] is None for each in look["stations"])
