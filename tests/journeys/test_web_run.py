"""A run through the web app: begun from a plan, told in events, kept once, looked at after."""

from __future__ import annotations

import re
import secrets
from datetime import UTC, datetime
from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from partline.interfaces.web import bench_help
from partline.interfaces.web.guards import LARGEST_QUEUE
from partline.services.runs import begin
from tests.journeys.visiting import AS_JSON, Site

Json = dict[str, Any]


def event(kind: str, cup: str | None = None, **data: Any) -> Json:
    at = datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    return {"id": secrets.token_hex(10).upper(), "kind": kind, "cup": cup, "at": at, "data": data}


@pytest.fixture
def code(site: Site) -> str:
    return begin(site.workshop, site.planned())


def tell(site: Site, code: str, *events: Any, **headers: str) -> Any:
    return site.post(
        f"/runs/{code}/events", {"device": "phone", "events": list(events)}, **headers
    )


def test_a_plan_offers_to_start_and_the_start_leads_to_the_screen(site):
    plan = site.planned()
    page = site.get(f"/plans/{plan}").text
    assert "Start the run" in page
    form = re.search(r'action="(/runs\?token=[^"]+)"', page)
    assert form is not None
    answer = site.client.post(form[1], data={"plan": plan, "moulds": "4"})
    assert answer.status_code == 303
    screen = site.get(answer.headers["location"])
    assert screen.status_code == 200
    assert 'id="first"' in screen.text
    code = answer.headers["location"].rpartition("/")[2]
    assert site.get(f"/runs/{code}/state").json()["moulds"] == 4


@pytest.mark.parametrize("moulds", ["0", "13", "many", "-1", "1.5"])
def test_a_number_of_moulds_that_cannot_be_is_refused_in_words(site, moulds):
    plan = site.planned()
    answer = site.client.post(f"/runs?token={site.token()}", data={"plan": plan, "moulds": moulds})
    assert answer.status_code == 422
    assert "Our fault" not in answer.text
    assert not site.workshop.runs.listed()


def test_a_run_of_no_plan_is_refused(site):
    answer = site.client.post(f"/runs?token={site.token()}", data={"plan": "AAAAAAAAAA"})
    assert answer.status_code == 404
    assert site.get("/runs/AAAAAAAAAA").status_code == 404
    assert site.get("/runs/AAAAAAAAAA/state", headers=AS_JSON).status_code == 404
    assert tell(site, "AAAAAAAAAA", event("stir")).status_code == 404


def test_an_event_is_kept_once_however_often_it_comes(site, code):
    stir = event("stir")
    answers = [tell(site, code, stir) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [200, 200, 200]
    assert all(answer.json()["kept"] == [stir["id"]] for answer in answers)
    assert answers[-1].json()["state"]["number"] == 1


def test_what_cannot_be_read_is_named_and_the_rest_is_kept(site, code):
    good, bad = event("stir"), event("stir") | {"kind": "dance"}
    answer = tell(site, code, bad, good, "no event at all")
    assert answer.status_code == 422
    told = answer.json()
    assert told["kept"] == [good["id"]]
    assert [each["id"] for each in told["problems"]] == [bad["id"], None]
    assert told["state"]["number"] == 1


@pytest.mark.parametrize("body", [{}, {"events": "all"}, {"events": [{}] * 501}, []])
def test_a_body_that_is_no_queue_is_refused_and_nothing_is_kept(site, code, body):
    answer = site.post(f"/runs/{code}/events", body)
    assert answer.status_code == 422
    assert "error" in answer.json()
    assert site.workshop.runs.events(code) == ()


def test_a_queue_of_five_hundred_long_events_is_taken_in_one_go(site, code):
    events = [event("note", text="x" * 800) for _ in range(500)]
    answer = tell(site, code, *events)
    assert answer.status_code == 200
    assert answer.json()["kept"] == [each["id"] for each in events]


def test_a_queue_beyond_all_measure_is_turned_away_in_words(site, code):
    answer = tell(site, code, event("note", text="x" * LARGEST_QUEUE))
    assert answer.status_code == 413
    assert "send fewer events at a time" in answer.text


def test_a_page_older_than_the_program_is_turned_away_and_can_fetch_the_new_token(site, code):
    old = {"X-Partline-Token": "from before the restart"}
    assert tell(site, code, event("stir"), **old).status_code == 403
    fresh = site.get(f"/runs/{code}/token")
    assert fresh.headers["cache-control"] == "no-store"
    assert fresh.headers["cross-origin-resource-policy"] == "same-origin"
    assert fresh.json() == {"token": site.token()}
    answer = tell(site, code, event("stir"), **{"X-Partline-Token": fresh.json()["token"]})
    assert answer.status_code == 200


def test_another_sites_page_cannot_tell_events_even_with_the_token(site, code):
    answer = tell(site, code, event("stir"), **{"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403
    assert site.workshop.runs.events(code) == ()


def test_the_answer_says_its_own_time_and_how_long_it_took(site, code):
    before = datetime.now(UTC)
    state = site.get(f"/runs/{code}/state").json()
    after = datetime.now(UTC)
    stamp = datetime.fromisoformat(state["now"])
    # Stamps are cut to milliseconds.
    assert before.timestamp() - 0.001 <= stamp.timestamp() <= after.timestamp()
    assert 0 <= state["took_s"] <= (after - before).total_seconds()


def test_a_photo_of_the_run_is_kept_and_what_is_none_is_refused(site, code):
    picture = BytesIO()
    Image.new("RGB", (8, 8), "white").save(picture, "PNG")
    headers = {"X-Partline-Token": site.token(), **AS_JSON}
    address = f"/runs/{code}/photos?name=cups.png"
    answer = site.client.post(address, content=picture.getvalue(), headers=headers)
    assert answer.status_code == 200, answer.text
    shown = site.get(f"/photos/{answer.json()['photo']}")
    assert shown.content == picture.getvalue()
    assert site.client.post(address, content=b"no photo", headers=headers).status_code == 422


def test_the_list_says_what_to_do_first_then_shows_the_runs(site, empty):
    assert "Choose a recipe" in empty.get("/runs").text
    plan = site.planned()
    assert f"/plans/{plan}" in site.get("/runs").text
    code = begin(site.workshop, plan)
    listed = site.get("/runs").text
    assert f'href="/runs/{code}"' in listed
    assert "peat-over-chalk, version 3" in listed
    assert "reed-130" in listed


def test_after_the_run_its_record_shows_what_was_struck_out_beside_what_stands(site, code):
    shot, other = event("shot", mould=1), event("shot", mould=1)
    struck = event("correction", of=shot["id"], void=True)
    timed = event("correction", of=other["id"], data={"mould": 1, "push_s": 6.2})
    told = tell(
        site, code, event("set_up", missing=[]), event("draw"), shot, struck, other, timed,
        event("finish"), event("judge", good=3, moulded=4, text=""), event("close"),
    )  # fmt: skip
    assert told.status_code == 200, told.text
    page = site.get(f"/runs/{code}").text
    assert "<s>Shot into mould 1</s>" in page
    assert "struck out" in page
    assert "pushed in 6.2 s" in page
    assert "3 of 4 good" in page
    assert 'id="first"' not in page
    assert 'id="first"' in site.get(f"/runs/{code}?screen=bench").text


def test_help_defers_to_codes_sheet_and_emergency_services_in_every_topic(site, code):
    page = site.get(f"/runs/{code}").text
    assert {each.topic for each in bench_help.HELP} == {"spill", "burn", "fumes"}
    for each in bench_help.HELP:
        words = " ".join(each.steps)
        assert "emergency number" in words
        assert "local codes" in words
        assert "supplier’s safety sheet" in words.replace("'", "’")
        assert " safe " not in words
        assert f'data-help="{each.topic}"' in page
