"""Shelf, moulds and bench through their pages, as a browser would ask."""

from __future__ import annotations

import os
import re
import signal
from pathlib import Path

import httpx
import pytest

from partline.services.workshop import open_at
from tests.browser.driving import serving

PAGES = ("/shelf", "/shelf/supply?name=Peat", "/shelf/supply?kind=flake", "/moulds",
         "/moulds/new", "/bench/new")  # fmt: skip


def addresses(site):
    mould = site.id_of("moulds", "fry-75")
    bench = site.id_of("benches", "Vessary Shed")
    return (*PAGES, f"/moulds/{mould}", f"/bench/{bench}")


def test_every_page_of_the_workshop_stands_and_is_reached_from_every_other(site):
    for address in addresses(site):
        page = site.get(address)
        assert page.status_code == 200, address
        for link in ("/shelf", "/moulds", "/bench"):
            assert f'href="{link}"' in page.text
        assert not re.search(r"<script(?![^>]*\bsrc=)|\sstyle=|\son\w+=\"", page.text)


def test_the_pages_of_an_empty_workshop_say_what_to_do_first(empty):
    assert "Begin with a grade" in empty.get("/shelf").text
    assert "A scale and a calliper are enough" in empty.get("/moulds").text
    led = empty.get("/bench")
    assert (led.status_code, led.headers["location"]) == (303, "/bench/new")


def test_the_shelf_shows_each_supply_with_its_range_lot_and_whether_its_sheet_is_noted(site):
    page = site.get("/shelf").text
    for words in ("Plastisol grades", "R0211-C1", "28.6–31.4, measured", "never in the microwave",
                  "folder 1, sheet 1", "not noted"):  # fmt: skip
        assert words in page


def test_a_jar_on_the_scale_says_what_is_left(site):
    fields = {"gross": "412 g", "tare": "35 g", "price": "18.50", "price_amount": "1 kg"}
    asked = {"name": "Peat", "kind": "colourant", "based_on": 1, "fields": fields}
    saved = site.post("/shelf/supplies", asked)
    assert saved.json()["number"] == 2
    page = site.get("/shelf?saved=2").text
    assert "377.0 g" in page
    assert "18.50 ¤/kg" in page
    assert "Saved as version 2: Peat: edited." in page


def test_a_refusal_names_every_field_with_its_readings(site):
    fields = {"tare": "412 g", "gross": "35 g", "drop": "30", "price": "9"}
    asked = {"name": "Peat", "kind": "", "based_on": 1, "fields": fields}
    answer = site.post("/shelf/supplies", asked)
    assert answer.status_code == 422
    problems = {each["field"]: each for each in answer.json()["error"]["problems"]}
    assert set(problems) == {"tare", "drop", "price_amount"}
    assert [each["write"] for each in problems["drop"]["readings"]] == ["30 mg"]
    assert site.workshop.shelves.named("shelf").version.number == 1


def test_a_mould_is_drawn_as_it_is_typed_and_nothing_is_kept(site):
    mould = site.id_of("moulds", "fry-75")
    asked = {"id": mould, "based_on": 1, "fields": {"length": "90 mm"}}
    answer = site.post("/moulds/sketch", asked).json()
    assert set(answer["views"]) == {"back", "side"}
    assert "90 mm long" in answer["views"]["side"]
    assert answer["told"]["length_mm"] == 90
    assert site.workshop.moulds.named("fry-75").version.number == 1


def test_a_mould_is_entered_by_weighing_one_shot(empty):
    worked = empty.post("/moulds/weigh", {
        "how": "shot", "shot": "56.2 g", "sprue": "9.0 g", "cavities": "4",
    }).json()["fields"]  # fmt: skip
    station = {"was": "", "name": "belly", "position": "0.4", "shape": "round", "width": "11 mm",
               "back_half": "5.5 mm", "belly_half": "5.5 mm"}  # fmt: skip
    fields = worked | {"name": "reed", "length": "130 mm", "stations": [station]}
    saved = empty.post("/moulds", {"id": "", "based_on": 0, "fields": fields})
    assert saved.status_code == 200, saved.text
    page = empty.get(f"/moulds/{saved.json()['id']}?saved=1").text
    assert "Saved as version 1." in page
    assert "11.8 ± 0.015 g, n = 4" in page
    listed = empty.get("/moulds").text
    assert "measured" in listed
    assert "none yet" in listed  # of the BOTTOM mark


@pytest.mark.slow
def test_a_corrected_bench_shows_the_kept_plans_old_and_new(site):
    code = site.planned()
    bench = site.id_of("benches", "Vessary Shed")
    assert "Plans made before" not in site.get(f"/bench/{bench}").text
    asked = {"id": bench, "based_on": 1, "fields": {"block.loss": "14 g"}}
    assert site.post("/bench", asked).json()["number"] == 2
    page = site.get(f"/bench/{bench}").text
    assert "Plans made before this version" in page
    assert re.search(rf"{code}.*297\.9 → <strong>\d+\.\d</strong> g", page, re.DOTALL)
    assert "162.1 g" in site.get(f"/plans/{code}").text  # the plan stays as it was made
    # Used everywhere: the editor's cups follow the corrected bench at once.
    from tests.process.shed import demo

    now = site.post("/look", site.question(demo(3))).json()["plan"]["cup_a_g"]
    assert f"<strong>{now:.1f}</strong>" in page


def test_two_editors_of_one_mould_the_second_is_told_and_nothing_is_overwritten(site):
    mould = site.id_of("moulds", "fry-75")
    first = {"id": mould, "based_on": 1, "fields": {"gate": "4 mm"}}
    assert site.post("/moulds", first).status_code == 200
    second = site.post("/moulds", first | {"fields": {"gate": "6 mm"}})
    assert second.status_code == 409
    assert second.json()["error"]["newest"] == 2
    assert site.workshop.moulds.named("fry-75").content.gate == 0.004


@pytest.mark.parametrize("address", ["/shelf/supplies", "/shelf/taken-off", "/moulds",
                                     "/moulds/sketch", "/moulds/weigh", "/bench"])  # fmt: skip
@pytest.mark.parametrize("body", [{}, {"fields": []}, {"fields": {"name": 4}, "based_on": "x"}])
def test_what_no_page_of_ours_sends_is_refused_and_never_a_fault(site, address, body):
    assert site.post(address, body).status_code in (404, 422)


@pytest.mark.parametrize(
    "address",
    [
        "/moulds/none",
        "/bench/none",
        "/shelf/supply",
        "/shelf/supply?name=none",
        "/shelf/supply?kind=boat",
    ],
)
def test_what_is_not_there_is_said_so(site, address):
    assert site.get(address).status_code == 404


MARKUP = '<img src=x onerror="alert(1)"> & \'"'


def test_names_with_markup_are_shown_as_they_are(site):
    asked = {"name": "Peat", "based_on": 1, "kind": "", "fields": {"name": MARKUP, "lot": MARKUP}}
    assert site.post("/shelf/supplies", asked).status_code == 200
    mould = site.id_of("moulds", "fry-75")
    asked = {"id": mould, "based_on": 1, "fields": {"name": MARKUP, "bottom_mark": MARKUP}}
    assert site.post("/moulds", asked).status_code == 200
    pages = [site.get(f"/moulds/{mould}"), site.get("/moulds"), site.get("/shelf"),
             site.get("/shelf/supply", params={"name": MARKUP})]  # fmt: skip
    for page in pages:
        assert page.status_code == 200
        assert "<img" not in page.text


@pytest.mark.slow
def test_what_the_page_called_saved_survives_the_program_being_killed(tmp_path: Path):
    from partline.records.exchange import read_file
    from tests.process.shed import SHED

    folder = tmp_path / "killed"
    with serving("serve", folder) as server:
        page = server.upload("bench.toml", read_file(SHED / "bench.toml"))
        code = page.rpartition("/")[2]
        saved = httpx.post(
            f"{server.address}bench",
            json={"id": code, "based_on": 1, "fields": {"block.loss": "14 g"}},
            headers={"X-Partline-Token": server.token, "Accept": "application/json"},
        )
        assert saved.json()["number"] == 2
        os.kill(server.process, signal.SIGKILL)
    with open_at(folder) as workshop:
        kept = workshop.benches.get(code)
        assert kept.version.number == 2
        assert kept.content.block_loss.value == 0.014
