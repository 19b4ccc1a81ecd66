"""Shelf, moulds and bench through forms: text in, next version out, every fault at its field."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import ndiff
from pathlib import Path
from typing import Any

import pytest

from partline.errors import Ambiguous, EditedElsewhere, InputError, Invalid, NotFound
from partline.process.cavity import profile
from partline.records.exchange import read_bench, read_mould, read_shelf
from partline.records.workshop import Workshop
from partline.services.bench_editing import bench_form, edited_bench, save_bench
from partline.services.mould_editing import (
    drawn_as_json,
    drawn_mould,
    edited_mould,
    mould_form,
    save_mould,
)
from partline.services.shelf_editing import (
    KINDS,
    edited_shelf,
    save_supply,
    supply_form,
    take_off,
    without_supply,
)
from partline.services.workshop import load_demo, open_at
from tests.process.shed import SHED

BENCH = (SHED / "bench.toml").read_text("utf-8")
FRY = (SHED / "moulds" / "fry-75.toml").read_text("utf-8")
REED = (SHED / "moulds" / "reed-130.toml").read_text("utf-8")
SHELF = (SHED / "shelf.toml").read_text("utf-8")


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    with open_at(tmp_path) as opened:
        load_demo(opened)
        yield opened


def shown(groups: list[dict[str, Any]]) -> dict[str, str]:
    """What a form's fields show, by key."""
    return {field["key"]: field["value"] for group in groups for field in group["fields"]}


def rows(text: str, key: str = "stations") -> list[dict[str, str]]:
    """A form's rows as the page sends them when nothing was touched."""
    return [
        {"was": str(place)} | {field["key"]: field["value"] for field in row}
        for place, row in enumerate(mould_form(text)["rows"][key])
    ]


def comments(text: str) -> list[str]:
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


# --- round trips -------------------------------------------------------------------------


def test_a_bench_sent_back_as_it_is_shown_stays_word_for_word():
    assert edited_bench(BENCH, shown(bench_form(BENCH))) == BENCH


@pytest.mark.parametrize("text", [FRY, REED], ids=["fry", "reed"])
def test_a_mould_sent_back_as_it_is_shown_stays_word_for_word(text):
    form = mould_form(text)
    given = shown(form["groups"]) | {key: rows(text, key) for key in ("stations", "outline")}
    assert edited_mould(text, given) == text


@pytest.mark.parametrize("name", [supply.name for supply in read_shelf(SHELF)])
def test_a_supply_sent_back_as_it_is_shown_stays_word_for_word(name):
    assert edited_shelf(SHELF, shown(supply_form(SHELF, name)["groups"]), name=name) == SHELF


def test_a_correction_keeps_every_comment_of_the_maker():
    after = edited_bench(BENCH, {"block.loss": "14 g", "reject_share": "9 %"})
    assert comments(after) == comments(BENCH)
    assert read_bench(after).block_loss.value == 0.014
    after = edited_shelf(SHELF, {"ceiling": "190 °C", "band_high": "331 °F"}, name="soft")
    assert comments(after) == comments(SHELF)
    assert read_shelf(after).grade("soft").ceiling == pytest.approx(463.15)
    assert read_shelf(after).grade("soft").band_high == pytest.approx(439.2611, abs=1e-4)


# --- rows --------------------------------------------------------------------------------


def test_a_station_put_between_others_leaves_them_as_they_were():
    new = {"was": "", "name": "shoulder", "position": "0.6", "shape": "elliptic",
           "width": "9 mm", "back_half": "3 mm", "belly_half": "3 mm"}  # fmt: skip
    listed = rows(FRY)
    after = read_mould(edited_mould(FRY, {"stations": [listed[0], new, *listed[1:]]}))
    assert [each.name for each in after.stations] == ["belly", "shoulder", "tail root", "tail"]
    before = read_mould(FRY).stations
    assert (after.stations[0], *after.stations[2:]) == before


def test_stations_on_one_line_can_be_edited_too():
    head, _, _ = FRY.partition("[[stations]]")
    text = head + (
        'stations = [{ name = "belly", position = 0.4, shape = "round", width = "9 mm", '
        'back_half = "4.5 mm", belly_half = "4.5 mm" }]  # one is enough\n'
    )
    listed = rows(text)
    assert edited_mould(text, {"stations": listed}) == text
    tail = listed[0] | {"was": "", "name": "tail", "position": "1", "width": "3 mm",
                        "back_half": "1.5 mm", "belly_half": "1.5 mm"}  # fmt: skip
    after = read_mould(edited_mould(text, {"stations": [*listed, tail]}))
    assert [each.name for each in after.stations] == ["belly", "tail"]


KEEL = """0 mm, 4.2 mm
3.1, 3.4 mm
5 mm 0.5 mm
4 mm, -2 mm
0 mm, −5 mm"""


def with_outline(points: str) -> dict[str, Any]:
    """The form of the little fish with an outline typed into its belly."""
    listed = rows(FRY)
    listed[0] |= {"shape": "outline", "points": points, "width": "", "back_half": "",
                  "belly_half": ""}  # fmt: skip
    return {"stations": listed}


def test_points_typed_a_line_each_become_an_outline_and_are_shown_so_again():
    text = edited_mould(FRY, with_outline(KEEL))
    station = read_mould(text).stations[0]
    assert [(each.across, each.up) for each in station.points] == [
        (0, 0.0042), (0.0031, 0.0034), (0.005, 0.0005), (0.004, -0.002), (0, -0.005),
    ]  # fmt: skip
    assert (station.width, station.height) == pytest.approx((0.010, 0.0092))
    shown_again = rows(text)[0]["points"]
    assert shown_again.splitlines()[:2] == ["0 mm, 4.2 mm", "3.1 mm, 3.4 mm"]
    assert edited_mould(text, {"stations": rows(text)}) == text
    assert comments(text) == comments(FRY)


def test_an_outline_is_drawn_while_it_is_typed():
    drawn = drawn_mould(FRY, with_outline(KEEL))
    assert drawn.mould.stations[0].points
    assert drawn_as_json(drawn)["stations"][0]["points_mm"][1] == [3.1, 3.4]


def test_a_question_about_a_point_offers_nothing_that_would_replace_all_points():
    with pytest.raises(Invalid) as refusal:
        drawn_mould(FRY, with_outline(KEEL.replace("3.1, 3.4 mm", "3.1, 3.4")))
    details = [each.as_dict() for each in refusal.value.problems]
    assert [each["field"] for each in details] == [
        "stations[0].points[1].across", "stations[0].points[1].up",
    ]  # fmt: skip
    assert [each.get("readings", []) for each in details] == [[], []]
    assert "Write “3.1 mm”" in str(details[0]["message"])


@pytest.mark.parametrize("line", ["3.1 mm", "wide", "3,1 mm, 3.4 mm", "3.1 mm, up"])
def test_a_line_that_is_no_point_is_refused_as_that_point(line):
    with pytest.raises(Invalid) as refusal:
        drawn_mould(FRY, with_outline(KEEL.replace("3.1, 3.4 mm", line)))
    problems = refusal.value.problems
    assert {each.field.rpartition(".")[0] for each in problems} == {"stations[0].points[1]"}
    assert "Point 2 of “belly”" in str(problems[0])


def test_a_station_made_round_again_without_its_points_has_its_sizes_back():
    text = edited_mould(FRY, with_outline(KEEL))
    listed = rows(text)
    listed[0] |= {"shape": "round", "points": "", "width": "9 mm", "back_half": "4.5 mm",
                  "belly_half": "4.5 mm"}  # fmt: skip
    after = read_mould(edited_mould(text, {"stations": listed})).stations[0]
    assert (after.width, after.points) == (0.009, ())


def test_a_station_measured_anew_is_no_guess_any_longer():
    text = FRY.replace('name = "belly"', 'name = "belly"\norigin = "default"\ndoubt = "25 %"')
    listed = rows(text)
    assert edited_mould(text, {"stations": listed}) == text
    listed[0]["width"] = "12 mm"
    station = read_mould(edited_mould(text, {"stations": listed})).stations[0]
    assert (station.doubt, station.origin.value) == (0.0, "entered")


GUESSED = FRY.replace('name = "belly"', 'name = "belly"\norigin = "default"\ndoubt = "25 %"')


def test_a_guess_and_its_doubt_are_shown_and_a_doubt_can_be_typed_with_the_sizes():
    listed = rows(GUESSED)
    assert (listed[0]["origin"], listed[0]["doubt"]) == ("default", "25 %")
    assert (listed[1]["origin"], listed[1]["doubt"]) == ("", "")
    listed[0] |= {"width": "12 mm", "origin": "", "doubt": "3 %"}
    station = read_mould(edited_mould(GUESSED, {"stations": listed})).stations[0]
    assert (station.origin.value, station.doubt) == ("entered", 0.03)
    listed = rows(GUESSED)
    listed[0]["doubt"] = "20 %"  # the sizes are the same guess, with another doubt
    station = read_mould(edited_mould(GUESSED, {"stations": listed})).stations[0]
    assert (station.origin.value, station.doubt) == ("default", 0.2)


TRACED = {"origin": "measured", "doubt": "3.1 %", "traced": "PH0T0000000A"}


def test_a_traced_station_keeps_its_origin_its_doubt_and_names_its_photo():
    listed = rows(GUESSED)
    listed[0] |= {"width": "12 mm"} | TRACED
    text = edited_mould(GUESSED, {"stations": listed})
    station = read_mould(text).stations[0]
    assert (station.origin.value, station.doubt) == ("measured", 0.031)
    assert 'origin = "measured" # traced in photo PH0T0000000A' in text
    # Traced again with the same doubt in another photo, then typed over by hand.
    listed = rows(text)
    listed[0] |= {"width": "12.4 mm"} | TRACED | {"traced": "PH0T0000000B"}
    again = edited_mould(text, {"stations": listed})
    assert read_mould(again).stations[0].doubt == 0.031
    assert "PH0T0000000B" in again
    assert "PH0T0000000A" not in again
    listed = rows(again)
    listed[0] |= {"width": "13 mm"}
    typed = edited_mould(again, {"stations": listed})
    assert read_mould(typed).stations[0].origin.value == "entered"
    assert "traced" not in typed


@pytest.mark.parametrize("traced", ["yes", "PH0T\n[x]\na=1", "#", "P" * 13])
def test_what_is_no_photos_code_is_never_written_into_the_file(traced):
    listed = rows(FRY)
    listed[0] |= {"width": "12 mm"} | TRACED | {"traced": traced}
    assert "traced" not in edited_mould(FRY, {"stations": listed})


def test_guessed_places_of_stations_are_told_until_one_is_moved_or_all_are_checked():
    text = 'guesses = ["stations"]\n' + FRY
    assert mould_form(text)["places_are_guessed"]
    listed = rows(text)
    listed[0]["width"] = "12 mm"
    assert mould_form(edited_mould(text, {"stations": listed}))["places_are_guessed"]
    listed[0]["position"] = "0.45"
    for given in ({"stations": listed}, {"checked": ["stations"]}):
        assert read_mould(edited_mould(text, given)).guesses == ()


def test_what_was_typed_or_checked_is_taken_off_the_list_of_guesses():
    text = 'guesses = ["vessel.capacity", "room", "syringes.capacity"]\n' + BENCH
    after = edited_bench(text, {"room": "25 °C", "checked": ["syringes.capacity"]})
    assert read_bench(after).guesses == ("vessel.capacity",)
    (cups,) = (group for group in bench_form(after) if group["title"] == "Cups")
    assert [field["key"] for field in cups["fields"] if field["is_guess"]] == ["vessel.capacity"]
    assert "guesses" not in edited_bench(after, {"checked": ["vessel.capacity"]})


def test_a_mould_is_drawn_while_its_name_and_weighing_are_still_blank():
    blank = {"length": "75 mm", "stations": [row | {"was": ""} for row in rows(FRY)]}
    drawn = drawn_mould("", blank)
    told = drawn_as_json(drawn)
    whole = profile(read_mould(FRY)).volume * 1e6
    assert told["volume_by_shape_ml"] == pytest.approx(whole, abs=0.005)  # shown in hundredths
    assert told["volume_by_weighing_ml"] is None
    assert not any("weighing" in note for note in told["notes"])


# --- refusals ----------------------------------------------------------------------------


def refused(workshop: Workshop, stations: list[dict[str, str]], **more: str) -> dict[str, str]:
    """Every fault of an edited mould by its field, none without a remedy; nothing is kept."""
    kept = workshop.moulds.named("fry-75").version
    with pytest.raises(Invalid) as caught:
        save_mould(workshop, {"stations": stations, **more},
                   document_id=kept.document_id, based_on=kept.number)  # fmt: skip
    assert workshop.moulds.named("fry-75").version.number == kept.number
    assert all(problem.remedy for problem in caught.value.problems)
    return {problem.field: str(problem) for problem in caught.value.problems}


@pytest.mark.parametrize("size", ["0 mm", "-3 mm", "0.01 mm", "11 in", "11", "1,5 mm", "wide"])
def test_an_impossible_size_is_refused_with_its_place(workshop, size):
    listed = rows(FRY)
    listed[0]["width"] = size
    assert "stations[0].width" in refused(workshop, listed)


def test_a_number_without_a_unit_is_asked_about_with_its_readings(workshop):
    listed = rows(FRY)
    listed[0]["width"] = "2"
    kept = workshop.moulds.named("fry-75").version
    with pytest.raises(Invalid) as caught:
        save_mould(workshop, {"stations": listed}, document_id=kept.document_id, based_on=1)
    (problem,) = caught.value.problems
    assert isinstance(problem, Ambiguous)
    assert [each.write for each in problem.readings] == ["2 mm", "2 in"]


def test_a_tail_thicker_than_the_body_is_asked_about(workshop):
    listed = rows(FRY)
    listed[-1] |= {"back_half": "9 mm", "belly_half": "9 mm"}
    assert "thicker than" in refused(workshop, listed)["stations[2].back_half"]


def test_a_round_body_that_is_not_is_asked_which_field_is_meant(workshop):
    listed = rows(FRY)
    listed[0]["shape"] = "round"
    with pytest.raises(Invalid) as caught:
        drawn_mould(FRY, {"stations": listed})
    (problem,) = caught.value.problems
    assert isinstance(problem, Ambiguous)
    assert [(each.write, each.field) for each in problem.readings] == [
        ("8 mm", "stations[0].width"),
        ("elliptic", "stations[0].shape"),
    ]


def test_a_form_never_speaks_of_lines_in_a_file(workshop):
    with pytest.raises(Invalid) as caught:
        save_bench(workshop, {"name": "new"}, document_id="", based_on=0)
    problems = caught.value.problems
    assert {"room", "vessel", "block"} <= {problem.field.partition(".")[0] for problem in problems}
    assert not [each for each in problems if "line" in str(each) or "quotes" in str(each)]


def test_tare_above_gross_is_refused_at_the_empty_jar(workshop):
    with pytest.raises(Invalid) as caught:
        save_supply(workshop, {"gross": "35 g", "tare": "412 g"}, name="Peat", kind="", based_on=1)
    (problem,) = caught.value.problems
    assert problem.field == "tare"
    assert "Weigh the empty jar again" in problem.remedy


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_supply_of_any_kind_is_refused_at_its_name(workshop, kind):
    with pytest.raises(Invalid) as caught:
        save_supply(workshop, {}, name="", kind=kind, based_on=1)
    assert "name" in {problem.field for problem in caught.value.problems}


# --- the shelf ---------------------------------------------------------------------------

NEW = {
    "grade": {"resin_share": "12 %", "density": "1.01 g/mL", "band_low": "150 °C",
              "band_high": "165 °C", "target": "175 °C", "ceiling": "185 °C"},
    "softener": {}, "hardener": {}, "scent": {}, "salt": {"grain": "50 µm"},
    "colourant": {"clarity": "clear", "patch.colour": "#7a5a2b", "heat_tender": "yes"},
    "flake": {"size": "0.4 mm", "thickness": "25 µm", "face": "0.6", "metal": "yes",
              "shape": "bar"},
}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_a_supply_of_every_kind_can_be_added_to_the_shelf_and_to_an_empty_one(kind):
    for text in (SHELF, ""):
        after = edited_shelf(text, {"name": "thing", **NEW[kind]}, kind=kind)
        added = [line[2:] for line in ndiff(text.splitlines(), after.splitlines())
                 if line[:2] == "+ "]  # fmt: skip
        taken = [line for line in ndiff(text.splitlines(), after.splitlines()) if line[:2] == "- "]
        assert not taken
        assert 'name = "thing"' in added
        assert read_shelf(after).find("thing").name == "thing"
        form = supply_form(after, "thing")
        assert form["kind"] == kind
        values = shown(form["groups"])
        assert all(values[key] == value for key, value in NEW[kind].items())


def test_a_flakes_whole_spectrum_is_never_offered_as_one_number():
    assert "face" not in shown(supply_form(SHELF, "Penny")["groups"])
    assert shown(supply_form(SHELF, "Ink")["groups"])["face"] == "0.04"
    after = edited_shelf(SHELF, {"face": "0.5"}, name="Penny")
    assert read_shelf(after) == read_shelf(SHELF)


def test_a_patch_in_its_short_form_takes_what_the_chip_was():
    text = '[[colourant]]\nname = "Mud"\nclarity = "clear"\npatch = "#7a5a2b"\nhiding = 0.6\n'
    after = edited_shelf(text, {"patch.thickness": "2 mm", "hiding.loading": "3 drops"},
                         name="Mud")  # fmt: skip
    (mud,) = read_shelf(after).colourants
    assert mud.patch is not None
    assert (mud.patch.srgb, mud.patch.chip.thickness) == ((122, 90, 43), 0.002)
    assert mud.hiding is not None
    assert (mud.hiding.value, mud.hiding.chip.drops) == (0.6, 3)


def test_what_is_taken_off_stays_in_the_older_version(workshop):
    kept = workshop.shelves.named("shelf").version
    assert take_off(workshop, name="soot", based_on=kept.number).number == 2
    assert "Soot" not in [each.name for each in workshop.shelves.named("shelf").content]
    old = workshop.shelves.get(kept.document_id, 1).content
    assert "Soot" in [each.name for each in old]


def test_two_supplies_of_one_name_are_refused_at_the_name(workshop):
    with pytest.raises(Invalid) as caught:
        save_supply(workshop, {"name": "PEAT"}, name="", kind="scent", based_on=1)
    assert [problem.field for problem in caught.value.problems] == ["name"]


def test_a_supply_that_is_not_there_is_said_so(workshop):
    with pytest.raises(NotFound):
        supply_form(SHELF, "nothing")
    with pytest.raises(NotFound):
        supply_form(SHELF, kind="boat")
    with pytest.raises(NotFound):
        edited_shelf(SHELF, {}, kind="boat")
    with pytest.raises(Invalid, match="any longer"):
        without_supply(SHELF, "nothing")


# --- versions ----------------------------------------------------------------------------


def test_a_form_that_changes_nothing_makes_no_version(workshop):
    kept = workshop.benches.named("Vessary Shed").version
    saved = save_bench(workshop, shown(bench_form(BENCH)),
                       document_id=kept.document_id, based_on=1)  # fmt: skip
    assert saved.number == 1


def test_the_second_of_two_editors_is_told_and_then_follows_without_undoing_the_first(workshop):
    kept = workshop.benches.named("Vessary Shed").version
    first = {"document_id": kept.document_id, "based_on": 1}
    save_bench(workshop, {"block.loss": "14 g"}, **first)
    with pytest.raises(EditedElsewhere) as caught:
        save_bench(workshop, {"room": "25 °C"}, **first)
    assert caught.value.newest == 2
    saved = save_bench(workshop, {"room": "25 °C"}, document_id=kept.document_id, based_on=2)
    bench = workshop.benches.get(saved.document_id).content
    assert (bench.block_loss.value, round(bench.room, 2)) == (0.014, 298.15)


@pytest.mark.parametrize(
    "given", [[], "x", {"stations": "x"}, {"stations": ["x"]}, {"length": 4}, {"name": "x" * 9999},
              {"stations": [{}] * 99}],
)  # fmt: skip
def test_what_no_page_of_ours_sends_is_refused_not_a_fault(workshop, given):
    with pytest.raises(InputError):
        save_mould(workshop, given, document_id="", based_on=0)


def test_eleven_inches_typed_as_millimetres_are_asked_about_at_the_length(workshop):
    given = {"name": "long", "cavities": "4", "length": "11 mm", "bait_mass": "20 g",
             "sprue_mass": "9 g", "stations": [
                 {"name": "belly", "position": "0.35", "shape": "round", "width": "10 mm",
                  "back_half": "5 mm", "belly_half": "5 mm"}]}  # fmt: skip
    with pytest.raises(Invalid) as refusal:
        save_mould(workshop, given, document_id="", based_on=0)
    (asked,) = refusal.value.problems
    assert isinstance(asked, Ambiguous)
    assert asked.field == "length"
    assert "11 in" in [reading.write for reading in asked.readings]
    save_mould(workshop, given | {"length": "11 in"}, document_id="", based_on=0)


def test_a_bait_is_drawn_at_any_length_while_its_weight_is_still_blank():
    station = {"name": "tail", "position": "1", "shape": "round", "width": "4 mm",
               "back_half": "2 mm", "belly_half": "2 mm"}  # fmt: skip
    assert not drawn_mould("", {"length": "11 mm", "stations": [station]}).is_weighed


def test_a_new_bench_asks_for_each_field_by_its_label_and_for_nothing_else(workshop):
    with pytest.raises(Invalid) as refusal:
        save_bench(
            workshop, {"name": "mine", "vessel.capacity": "500"}, document_id="", based_on=0
        )
    told = {each.field: str(each) for each in refusal.value.problems}
    assert told["block.loss"] == "“Block, both sides, a shot” is missing. Fill it in."
    assert told["vessel.capacity"].startswith("“Holds, to the brim”: “500” has no unit.")
    assert not {"vessel", "syringes", "block"} & set(told)


def test_what_is_unknown_of_an_oven_or_a_thermometer_is_a_marked_guess():
    text = edited_bench(BENCH, {"oven.share": "", "thermometer.absolute": ""})
    bench = read_bench(text)
    assert bench.oven is not None
    assert bench.oven.share.origin.is_guess
    assert (bench.oven.share.low, bench.oven.share.high) == (0.3, 0.5)
    assert bench.guesses == ("thermometer.absolute",)
    known = read_bench(edited_bench(text, {"thermometer.absolute": "3 °C", "oven.share": "45 %"}))
    assert known.guesses == ()
    assert known.oven is not None
    assert not known.oven.share.origin.is_guess


def test_an_oven_and_a_thermometer_of_which_nothing_is_said_stay_away():
    fields = {field["key"] for group in bench_form(BENCH) for field in group["fields"]}
    blank = {key: "" for key in fields if key.startswith(("oven.", "thermometer."))}
    bench = read_bench(edited_bench(BENCH, blank))
    assert bench.oven is None
    assert bench.thermometer is None


def test_an_outline_against_its_stations_is_told_while_it_is_typed():
    """What is sent without what was given is taken for a field that is still blank."""
    given = {"outline": [{"position": "0", "diameter": "0 mm"},
                         {"position": "1", "diameter": "3 mm"}]}  # fmt: skip
    with pytest.raises(Invalid) as refusal:
        drawn_mould(REED, given)
    assert all(each.given for each in refusal.value.problems)
