"""From a recipe on a page to a card in the hand, as a browser would go."""

from __future__ import annotations

from base64 import b64decode
from dataclasses import replace
from io import BytesIO
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader

from partline.records.exchange import write_recipe
from partline.services.recipes import fields_of
from tests.process.shed import LESSONS, SHED, demo, lesson


def test_the_start_page_shows_what_the_workshop_holds(site):
    page = site.get("/")
    assert page.status_code == 200
    for words in ("Vessary Shed", "peat-over-chalk", "version 3", "reed-130", "fry-75"):
        assert words in page.text
    assert "Everything in it is invented" in page.text
    assert "local codes" in page.text


def test_an_empty_workshop_says_what_to_do_first(empty):
    page = empty.get("/").text
    assert "What to do first" in page
    assert "partline demo" in page


def test_the_editor_shows_every_amount_as_it_was_typed(site):
    page = site.get(f"/recipes/{site.id_of('recipes', 'peat-over-chalk')}?version=1").text
    for typed in ('value="3 drops"', 'value="0.25 g"', 'value="163 °C"', 'value="0.90"'):
        assert typed in page


def test_moving_an_amount_answers_with_pictures_numbers_and_cups(site):
    answer = site.post("/look", site.question(demo(1)))
    assert answer.status_code == 200
    told = answer.json()
    assert told["look"]["advice"][0]["to"] == 9
    assert told["plan"]["cup_a_g"] == 297.9
    assert told["plan_refusal"] == ""
    assert list(told["pictures"]) == ["back", "side", "belly", "turned"]
    picture = Image.open(BytesIO(b64decode(told["pictures"]["back"])))
    assert picture.width == 650  # 130 mm at 0.2 mm a pixel
    assert [each["station"] for each in told["sections"]] == [
        "nose", "belly", "waist", "neck", "tail",
    ]  # fmt: skip


def test_the_live_answer_is_the_command_lines_answer_but_for_its_draws(site):
    from partline.services.look import look_as_json, preview_look
    from tests.process.shed import mould, shelf

    live = site.post("/look", site.question(demo(1))).json()["look"]
    slow: Any = look_as_json(preview_look(demo(1), mould(), shelf()))
    for key in ("back_belly", "side"):
        assert live["distinctness"][key]["value"] == slow["distinctness"][key]["value"]
    values = [[station["back_hiding"] for station in each["stations"]] for each in (live, slow)]
    assert values[0] == values[1]


def test_more_peat_makes_the_live_back_hide_more(site):
    fields = [site.question(demo(n)) for n in (1, 3)]
    hiding = [
        site.post("/look", each).json()["look"]["halves"]["back"]["hiding"]["value"]
        for each in fields
    ]
    assert hiding[1] > hiding[0] + 0.1


@pytest.mark.parametrize("name", ["opaque-pair", "one-colour"])
def test_a_recipe_of_another_shelf_is_refused_beside_each_field(site, name):
    answer = site.post("/look", site.question(lesson(name)))
    assert answer.status_code == 422
    problems = answer.json()["error"]["problems"]
    assert all(each["field"] and each["remedy"] for each in problems)


def test_a_look_needs_no_bench(site):
    told = site.post("/look", site.question(demo(1), bench="")).json()
    assert told["plan"] is None
    assert "Choose a bench" in told["plan_refusal"]
    assert told["look"]["needed"][0]["now_in_cup"] is None


@pytest.mark.parametrize("count", ["", "0", "-3", "many", "4.5", "1e3", "99999999", "²", None, []])
def test_a_nonsense_count_leaves_the_look_and_says_why_there_are_no_cups(site, count):
    answer = site.post("/look", site.question(demo(1), count=count))
    assert answer.status_code == 200
    told = answer.json()
    assert told["plan"] is None
    assert "baits" in told["plan_refusal"]
    assert told["look"]["advice"]


def test_saving_an_edit_makes_the_next_version_and_keeps_the_old(site):
    document = site.id_of("recipes", "peat-over-chalk")
    fields = fields_of(demo(3))
    fields["sides"][0]["loadings"][0]["per_100_g"] = "10 drops"
    saved = site.post("/recipes", {"id": document, "based_on": 3, "fields": fields})
    assert saved.json() == {"id": document, "number": 4}
    assert 'value="10 drops"' in site.get(f"/recipes/{document}").text
    assert 'value="9 drops"' in site.get(f"/recipes/{document}?version=3").text


def test_a_new_recipe_gets_a_code_of_its_own(site):
    fields = fields_of(replace(demo(1), name="a new one"))
    saved = site.post("/recipes", {"id": "", "based_on": 0, "fields": fields}).json()
    assert saved["number"] == 1
    assert "a new one" in site.get("/").text


def test_two_windows_do_not_overwrite_each_other(site):
    document = site.id_of("recipes", "peat-over-chalk")
    asked = {"id": document, "based_on": 3, "fields": fields_of(demo(1))}
    assert site.post("/recipes", asked).status_code == 200
    other = {**asked, "fields": fields_of(demo(2))}
    late = site.post("/recipes", other)
    assert late.status_code == 409
    error = late.json()["error"]
    assert error["kind"] == "EditedElsewhere"
    assert "version 4" in error["message"]
    assert [each.number for each in site.workshop.recipes.history(document)] == [4, 3, 2, 1]


def test_a_plan_has_a_page_and_a_card(site):
    code = site.planned()
    page = site.get(f"/plans/{code}")
    assert page.status_code == 200
    for words in ("162.1 g", "135.8 g", "11 shots", "2 melts", code):
        assert words in page.text
    for paper, width in (("a4", 595), ("letter", 612)):
        card = site.get(f"/plans/{code}/card.pdf?paper={paper}")
        assert card.headers["content-type"] == "application/pdf"
        first = PdfReader(BytesIO(card.content)).pages[0]
        assert float(first.mediabox.width) == pytest.approx(width, abs=1)  # whole points
        text = first.extract_text()
        assert "162.1" in text
        assert code in text.replace("\u200b", "").replace("-", "")


@pytest.mark.slow
def test_a_one_colour_recipe_goes_the_whole_way_with_one_cup(empty):
    for path in (
        LESSONS / "shelf.toml", SHED / "bench.toml", SHED / "moulds" / "reed-130.toml",
        LESSONS / "one-colour.toml",
    ):  # fmt: skip
        assert empty.upload("/documents", path.name, path.read_bytes()).status_code == 303
    told = empty.post("/look", empty.question(lesson("one-colour"))).json()
    assert told["look"]["distinctness"]["back_belly"] is None
    assert told["plan"]["cup_b_g"] is None
    document = empty.id_of("recipes", "one-colour")
    assert "Whole bait" in empty.get(f"/recipes/{document}").text
    asked = empty.question(lesson("one-colour"), recipe=document, version=1)
    code = empty.post("/plans", asked).json()["code"]
    page = empty.get(f"/plans/{code}").text
    assert "Cup A" in page
    assert "Cup B" not in page
    card = PdfReader(BytesIO(empty.get(f"/plans/{code}/card.pdf").content)).pages[0]
    assert "Cup B" not in card.extract_text()


def test_a_plan_stays_what_it_was_when_the_recipe_moves_on(site):
    code = site.planned()
    before = site.get(f"/plans/{code}").text
    document = site.id_of("recipes", "peat-over-chalk")
    fields = fields_of(demo(3))
    fields["sides"][0]["loadings"][0]["per_100_g"] = "20 drops"
    site.post("/recipes", {"id": document, "based_on": 3, "fields": fields})
    after = site.get(f"/plans/{code}").text
    assert "The recipe has changed since" in after
    assert "The recipe has changed since" not in before
    assert "15 <small>" in after  # drops of Peat in the first melt, as planned


def test_a_code_is_found_as_it_is_typed_from_paper(site):
    code = site.planned()
    typed = f"{code[:5].lower()}-{code[5:].lower()}"
    assert code in site.get(f"/plans/{typed}").text


def test_a_plan_of_an_old_version_is_of_that_version(site):
    code = site.planned(version=1)
    assert "peat-over-chalk, version 1" in site.get(f"/plans/{code}").text


def test_a_good_file_is_brought_in_and_a_second_one_of_its_name_is_its_next_version(site):
    text = (SHED / "moulds" / "fry-75.toml").read_text("utf-8")
    kept = site.upload("/documents", "fry.toml", text.replace("4.1 g", "4.2 g").encode())
    assert kept.status_code == 303
    page = site.get(kept.headers["location"]).text
    assert "version 2" in page
    assert "4.2 g" in page
    assert "from fry.toml" in page


def test_an_empty_workshop_is_filled_by_files_alone(empty):
    files = [
        SHED / "shelf.toml",
        SHED / "bench.toml",
        SHED / "moulds" / "reed-130.toml",
        SHED / "recipes" / "peat-over-chalk-3.toml",
    ]
    for path in files:
        assert empty.upload("/documents", path.name, path.read_bytes()).status_code == 303
    assert empty.post("/look", empty.question(demo(3))).json()["plan"]["cup_a_g"] == 297.9


def test_a_kept_file_is_taken_out_word_for_word(site):
    document = site.id_of("moulds", "reed-130")
    taken = site.get(f"/documents/mould/{document}/file")
    assert taken.content == (SHED / "moulds" / "reed-130.toml").read_bytes()
    assert "attachment" in taken.headers["content-disposition"]


@pytest.mark.slow
def test_the_whole_workshop_moves_to_an_empty_one_and_answers_the_same(site, empty):
    code = site.planned()
    asked = site.question(demo(1))
    before = site.post("/look", asked).json()
    archive = site.get("/keeping/export")
    assert archive.headers["content-type"] == "application/zip"
    brought = empty.upload("/keeping/import", "workshop.zip", archive.content)
    assert brought.status_code == 303
    assert empty.post("/look", asked).json() == before  # the codes of mould and bench too
    page = empty.get(f"/plans/{code}")
    assert "162.1 g" in page.text
    card = PdfReader(BytesIO(empty.get(f"/plans/{code}/card.pdf").content)).pages[0]
    assert "162.1" in card.extract_text()
    assert "Vessary Shed" in empty.get("/").text


def test_an_archive_is_never_poured_into_a_full_workshop(site):
    archive = site.get("/keeping/export").content
    refused = site.upload("/keeping/import", "workshop.zip", archive)
    assert refused.status_code == 409
    assert "not empty" in refused.text
    assert len(site.workshop.recipes.history(site.id_of("recipes", "peat-over-chalk"))) == 3


MARKUP = '<img src=x onerror="alert(1)"> & \'"'


def test_a_name_with_markup_is_shown_as_it_is_and_never_runs(site):
    text = write_recipe(replace(demo(1), name=MARKUP, note=MARKUP))
    kept = site.upload("/documents", f"{MARKUP}.toml", text.encode())
    assert kept.status_code == 303
    document = site.id_of("recipes", MARKUP)
    plan = site.post("/plans", {
        "recipe": document, "version": 1, "count": "40",
        "mould": site.id_of("moulds", "reed-130"),
        "bench": site.id_of("benches", "Vessary Shed"),
    }).json()["code"]  # fmt: skip
    for address in (
        "/", "/documents", kept.headers["location"], f"/recipes/{document}", f"/plans/{plan}",
    ):  # fmt: skip
        page = site.get(address).text
        assert "<img src=x" not in page
        assert "&lt;img src=x" in page
    card = PdfReader(BytesIO(site.get(f"/plans/{plan}/card.pdf").content)).pages[0]
    assert "<img" in card.extract_text().replace("\u200b", "")


def test_a_stations_name_with_markup_is_drawn_as_words(site):
    text = (SHED / "moulds" / "fry-75.toml").read_text("utf-8")
    odd = text.replace('"tail root"', "'<script>alert(1)</script>'")
    odd = odd.replace('"fry-75"', '"odd"')
    assert site.upload("/documents", "odd.toml", odd.encode()).status_code == 303
    asked = site.question(demo(1), mould=site.id_of("moulds", "odd"))
    sections = site.post("/look", asked).json()["sections"]
    assert all("<script" not in each["svg"] for each in sections)
