"""`partline look`, `plan`, `card`, `shelf`: what is promised, as text and as JSON."""

from __future__ import annotations

import contextlib
import json
import sys
from io import BytesIO, TextIOWrapper
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from partline.interfaces.cli import main
from tests.process.shed import LESSONS, SHED, demo_path

REED = SHED / "moulds" / "reed-130.toml"
BENCH = SHED / "bench.toml"
BANNED = ("bleed", " top ", "bottom half")


def look_words(version: int = 1) -> list[object]:
    return ["look", demo_path(version), "--mould", REED]


def plan_words(version: int = 3, count: object = 40) -> list[object]:
    return ["plan", demo_path(version), "--mould", REED, "--bench", BENCH, "--count", count]


def test_look_prints_the_keys_that_the_issue_promises(run):
    ran = run(*look_words(), "--json")
    assert (ran.status, ran.err) == (0, "")
    look = ran.json
    for key in ("back_belly", "side"):
        assert {"value", "low", "high", "verdict"} <= set(look["distinctness"][key])
    assert {
        "name", "half_thickness_mm", "back_hiding", "belly_hiding", "see_through",
    } <= set(look["stations"][0])  # fmt: skip
    assert [each["name"] for each in look["stations"]] == [
        "nose", "belly", "waist", "neck", "tail",
    ]  # fmt: skip
    assert look["advice"][0]["to"] == 9
    assert look["picture"]["provisional"] is True
    assert look["origins"]


def test_plan_prints_the_keys_that_the_issue_promises(run):
    ran = run(*plan_words(), "--json")
    assert (ran.status, ran.err) == (0, "")
    plan = ran.json
    assert (plan["shots"], plan["melts"]) == (11, 2)
    assert (plan["cup_a_g"], plan["cup_b_g"]) == (297.9, 297.9)
    assert [melt["cup_a_g"] for melt in plan["melt_plan"]] == [162.1, 135.8]
    assert {"supply", "grams", "drops", "cup"} <= set(plan["ingredients"][0])


def test_the_look_is_told_in_sentences_too(run):
    ran = run(*look_words())
    assert ran.status == 0
    for words in (
        "peat-over-chalk, version 1, in reed-130",
        "The back hides 0.73",
        "see-through",
        "Raise Peat from 3 to 9 drops",
        "provisional",
    ):
        assert words in ran.out
    assert not any(word in ran.out.lower() for word in BANNED)


def test_the_look_is_told_station_by_station(run):
    told, words = run(*look_words(), "--json").json, run(*look_words()).out
    tail = told["stations"][-1]
    low, high = tail["back_see_through_range"]
    assert f"{tail['back_see_through']:.1f} ({low:.1f}–{high:.1f})" in words
    for need in told["needed"]:
        tail = need["stations"][-1]
        low, high = tail["per_100_g_range"]
        # 33 (27–41), not 33.1 (27.1–40.5): its range deserves no tenth of a drop.
        assert tail["per_100_g_decimals"] == 0
        assert f"{tail['per_100_g']:.0f} ({low:.0f}–{high:.0f})" in words
    assert "Most is needed at: tail" in words
    assert max(map(len, words.split("Advice")[0].splitlines())) <= 80  # a plain terminal's width


def test_a_drop_that_was_never_weighed_shows_in_the_grams(run):
    words = ["plan", LESSONS / "green-over-clear.toml", "--mould", REED, "--bench", BENCH]
    fern = next(
        each for each in run(*words, "--count", 40, "--json").json["ingredients"]
        if each["supply"] == "Fern"
    )  # fmt: skip
    low, high = fern["grams_range"]
    # 30 mg, 18 to 42: the label's drop is a guess of ±40 %.
    assert (low, high) == pytest.approx((0.6 * fern["grams"], 1.4 * fern["grams"]), abs=0.01)
    assert f"({low:g}–{high:g} g)" in run(*words, "--count", 40).out


def test_the_plan_is_told_in_sentences_too(run):
    ran = run(*plan_words())
    for words in ("44 to mould", "11 shots", "Cup A: 162.1 g", "drops", "! Your local codes"):
        assert words in ran.out
    assert not any(word in ran.out.lower() for word in BANNED)


def test_a_one_colour_recipe_needs_no_second_cup(run):
    words = [LESSONS / "one-colour.toml", "--mould", REED]
    ran = run("plan", *words, "--bench", BENCH, "--count", 10)
    assert ran.status == 0
    assert "Cup A" in ran.out
    assert "Cup B" not in ran.out
    assert run("look", *words).status == 0


VIEWS = ("back", "belly", "side", "turned")


def test_look_writes_a_picture_for_every_side_and_one_turned(run, tmp_path):
    folder = tmp_path / "new" / "pictures"
    ran = run(*look_words(), "--picture", folder, "--json")
    assert ran.status == 0
    written = sorted(path.name for path in folder.iterdir())
    assert written == [f"{view}.png" for view in VIEWS]
    assert len(ran.json["picture"]["files"]) == 4
    assert ran.json["scene"]["in"] == "air"
    assert ran.json["scene"]["turn_degrees"] == 45
    with Image.open(folder / "back.png") as image:
        assert image.width > 1000  # 130 mm at 0.2 mm a pixel, twice enlarged


def corner(path: Path) -> tuple[int, ...]:
    """What lies beside the bait."""
    with Image.open(path) as image:
        return tuple(np.asarray(image.convert("RGB"))[0, 0].tolist())


def test_look_takes_a_card_a_light_and_a_turn(run, tmp_path):
    for card in ("pale", "grey", "dark"):
        words = ("--card", card, "--light", "lamp", "--turn", "120", "--gloss")
        ran = run(*look_words(), "--picture", tmp_path / card, *words, "--json")
        assert ran.status == 0
        scene = ran.json["scene"]
        assert (scene["card"], scene["light"], scene["turn_degrees"], scene["gloss"]) == (
            card, "lamp", 120, True,
        )  # fmt: skip
    seen = [corner(tmp_path / card / "back.png")[0] for card in ("pale", "grey", "dark")]
    assert seen == sorted(seen, reverse=True)
    assert seen[0] > seen[1] + 40 > seen[2] + 80


def test_a_look_in_a_lake_tells_the_differences_and_the_line_as_seen_there(run):
    water = ("--in", "lake", "--lake", "tea-stained", "--secchi", "1.5 m", "--depth", "2 m")
    told, answer = run(*look_words(), *water).out, run(*look_words(), *water, "--json").json
    seen = answer["scene"]["back_belly"]["value"]
    assert seen < answer["distinctness"]["back_belly"]["value"] / 1.5
    where = "in this water, 2 m deep, seen from 0.5 m"
    assert f"{where}: back against belly ΔE00 {seen:.1f} (" in told
    assert "By light alone the line looks" in told


def test_look_shows_a_bait_in_a_lake_twice_and_says_how_it_stands_out(run, tmp_path):
    water = ("--in", "lake", "--lake", "tea-stained", "--secchi", "1 m", "--depth", "50 cm")
    ran = run(*look_words(), "--picture", tmp_path, *water, "--json")
    assert ran.status == 0
    scene = ran.json["scene"]
    assert (scene["in"], scene["card"], scene["depth_m"]) == ("water", None, 0.5)
    assert any("nothing is said of what a fish sees" in each for each in scene["notes"])
    assert {path.name for path in tmp_path.glob("*.png")} == {
        f"{view}{eye}.png" for view in VIEWS for eye in ("", "-unadapted")
    }
    used, cast = corner(tmp_path / "back.png"), corner(tmp_path / "back-unadapted.png")
    # Tea-stained water is brown to an eye that has not got used to it.
    assert cast[0] - cast[2] > used[0] - used[2] + 20


def test_a_look_in_water_is_told_in_sentences_too(run):
    ran = run(*look_words(), "--in", "sea", "--sea", "3C", "--depth", "2 m", "--distance", "1 m")
    assert ran.status == 0
    assert "nothing is said of what a fish sees" in ran.out
    assert not any(word in ran.out.lower() for word in BANNED)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--card", "plaid"), "pale, dark, grey"),
        (("--light", "moon"), "daylight, overcast"),
        (("--in", "soup"), "air, lake, sea"),
        (("--turn", "400"), "0 to 360"),
        (("--in", "lake", "--depth", "-1 m"), "depth"),
        (("--in", "lake", "--secchi", "0.3 m", "--depth", "60 m"), "no light is left"),
    ],
)
def test_a_scene_that_cannot_be_is_refused_in_a_sentence(run, words, said):
    ran = run(*look_words(), *words)
    assert ran.status == 2
    assert said in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.slow
@pytest.mark.parametrize(("paper", "width"), [("a4", 595), ("letter", 612)])
def test_card_writes_a_pdf_of_the_paper_asked(run, tmp_path, paper, width):
    output = tmp_path / "card.pdf"
    ran = run("card", *plan_words()[1:], "-o", output, "--paper", paper, "--json")
    assert (ran.status, ran.err) == (0, "")
    assert ran.json == {"card": str(output), "bytes": output.stat().st_size, "paper": paper}
    reader = PdfReader(BytesIO(output.read_bytes()))
    assert float(reader.pages[0].mediabox.width) == pytest.approx(width, abs=1)  # whole points
    assert "162.1" in reader.pages[0].extract_text()


def test_shelf_lists_every_supply_with_its_lot(run):
    ran = run("shelf", SHED / "shelf.toml")
    assert ran.status == 0
    assert "Rind (colourant, lot R0417-A3): fluorescent" in ran.out
    assert "heat-tender" in ran.out
    assert "Penny (flake): copper 0.4 mm, metal" in ran.out
    listed = run("shelf", SHED / "shelf.toml", "--json").json["supplies"]
    peat = next(each for each in listed if each["name"] == "Peat")
    assert (peat["drop_mg"]["value"], peat["drop_mg"]["origin"]) == (30.0, "measured")


@pytest.mark.parametrize(
    "name", ["bench.toml", "shelf.toml", "moulds/reed-130.toml", "moulds/fry-75.toml"]
)
def test_check_says_what_a_good_file_holds(run, name):
    ran = run("check", SHED / name)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.strip()
    assert run("check", SHED / name, "--json").json["ok"] is True


def test_check_looks_a_recipes_supplies_up_on_the_shelf_beside_it(run):
    ran = run("check", demo_path(1), "--json")
    assert ran.json == {
        "ok": True,
        "kind": "recipe",
        "summary": "Recipe “peat-over-chalk”, two-colour, version 1.",
        "remarks": [],
    }


def test_check_says_how_much_a_mould_holds_by_its_shape(run):
    assert "10.0 mL a bait" in run("check", REED).out


def test_names_of_what_is_kept_serve_as_well_as_files(run, tmp_path):
    folder = tmp_path / "shed"
    from partline.services.workshop import load_demo, open_at

    with open_at(folder) as workshop:
        load_demo(workshop)
    kept = ["--mould", "reed-130", "--workshop", folder, "--json"]
    first = run("look", "peat-over-chalk@1", *kept).json
    newest = run("look", "peat-over-chalk", *kept).json
    assert (first["recipe"]["version"], newest["recipe"]["version"]) == (1, 3)
    by_file = run(*look_words(), "--json").json
    assert first["distinctness"] == by_file["distinctness"]
    plan = run("plan", "peat-over-chalk@3", "--bench", "Vessary Shed", "--count", 40, *kept).json
    assert plan["cup_a_g"] == 297.9
    told = run("shelf", "--workshop", folder).out
    assert told.count("\n") == 20  # ten supplies, and under each what stands there of it
    assert "748 g left (747–749); 3.20 ¤/kg; hazard sheet: not noted" in told


def test_a_workshop_goes_out_and_into_an_empty_one(run, tmp_path):
    from partline.services.workshop import load_demo, open_at

    with open_at(tmp_path / "one") as workshop:
        load_demo(workshop)
    archive = tmp_path / "all.zip"
    assert run("export", archive, "--workshop", tmp_path / "one").status == 0
    assert run("import", archive, "--workshop", tmp_path / "two").status == 0
    looks = [
        run("look", "peat-over-chalk@1", "--mould", "reed-130", "--workshop", folder, "--json")
        for folder in (tmp_path / "one", tmp_path / "two")
    ]
    assert looks[0].out == looks[1].out
    again = run("import", archive, "--workshop", tmp_path / "two")
    assert again.status == 2
    assert "not empty" in again.err


def test_json_is_json_and_nothing_else(run):
    for words in (look_words(), plan_words()):
        ran = run(*words, "--json")
        assert json.loads(ran.out, parse_constant=lambda name: pytest.fail(name))


def test_the_makers_own_folder_is_left_alone_when_files_are_named(run, tmp_path):
    run(*look_words())
    run(*plan_words())
    assert not (tmp_path / "home").exists()


@pytest.mark.parametrize("as_json", [False, True])
def test_a_terminal_that_knows_few_letters_still_gets_the_answer(monkeypatch, as_json):
    narrow = TextIOWrapper(BytesIO(), encoding="ascii")
    words = [*plan_words(), *(["--json"] if as_json else [])]
    monkeypatch.setattr(sys, "argv", ["partline", *map(str, words)])
    monkeypatch.setattr(sys, "stdout", narrow)
    with contextlib.suppress(SystemExit):
        main()
    narrow.flush()
    said = narrow.buffer.getvalue().decode("ascii")
    if not as_json:
        assert "! Your local codes" in said  # the last lines too
    else:
        assert "°C" in json.dumps(json.loads(said), ensure_ascii=False)
