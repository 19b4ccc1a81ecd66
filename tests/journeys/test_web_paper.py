"""A card typed in through the web app: one form, asked about where it must be, one run."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest

from partline.services.beginning import begin, read_answers
from tests.journeys.visiting import Site
from tests.services.test_runs_paper import FULL


@pytest.fixture
def plan(site: Site) -> str:
    return site.planned()


def send(site: Site, plan: str, fields: dict[str, str]) -> Any:
    return site.client.post(f"/plans/{plan}/typed-in?token={site.token()}", data=fields)


def shown(page: str) -> dict[str, str]:
    """Every field of the form as a browser would send it."""
    found = {}
    for tag in re.findall(r"<input [^>]+>", page):
        attributes = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if "name" not in attributes:
            continue
        is_choice = attributes.get("type") in ("checkbox", "radio")
        if not is_choice or re.search(r"\schecked\b", tag):
            found[attributes["name"]] = html.unescape(attributes.get("value", ""))
    return found


def test_the_plan_leads_to_the_form_and_the_form_to_the_run(site, plan):
    assert f'href="/plans/{plan}/typed-in"' in site.get(f"/plans/{plan}").text
    page = site.get(f"/plans/{plan}/typed-in")
    assert page.status_code == 200
    answer = send(site, plan, shown(page.text) | FULL)
    assert answer.status_code == 303
    record = site.get(answer.headers["location"]).text
    assert "Typed in from the card. Times between are not known" in record
    assert "41 of 44 good" in record
    assert answer.headers["location"].rpartition("/")[2] in site.get("/runs").text


def test_what_is_carried_over_is_marked_and_the_rest_is_blank(site, plan):
    page = site.get(f"/plans/{plan}/typed-in").text
    fields = shown(page)
    assert (fields["shots"], fields["was_shots"], fields["unit"]) == ("11", "11", "C")
    assert "carried over: the plan" in page
    assert "carried over: today" in page
    blanks = ("clock", "start_a", "stop_b", "heats", "good", "moulded", "note", "bad")
    assert {fields[name] for name in blanks} == {""}


def test_the_second_cards_moulds_and_push_come_from_the_first(site, plan):
    send(site, plan, FULL | {"moulds": "3", "push": "5.5"})
    page = site.get(f"/plans/{plan}/typed-in").text
    assert (shown(page)["moulds"], shown(page)["push"]) == ("3", "5.5")
    assert len(re.findall(r"carried over: run \w{10}", page)) == 2


def test_what_was_typed_survives_a_refusal_and_the_question_stands_beside_its_field(site, plan):
    typed = {key: value for key, value in FULL.items() if key != "set_up"}
    typed |= {"start_a": "350 163", "good": "99", "note": 'tail "thin" <b>'}
    answer = send(site, plan, typed)
    assert answer.status_code == 422
    page = answer.text
    for field, value in typed.items():
        assert shown(page)[field] == value, field
    assert "set_up" not in shown(page)
    assert 'data-for="start_a" data-write="350 °F 163"' in page
    assert 'id="good-question"' in page
    assert "<b>" not in page
    assert re.search(r'id="start_a"[^>]*aria-invalid="true"[^>]*autofocus', page)
    assert site.workshop.runs.listed() == ()


def test_a_form_sent_twice_is_one_run(site, plan):
    fields = shown(site.get(f"/plans/{plan}/typed-in").text) | FULL
    first, second = send(site, plan, fields), send(site, plan, fields)
    assert first.headers["location"] == second.headers["location"]
    assert len(site.workshop.runs.listed()) == 1


@pytest.mark.parametrize("fields", [{}, {"once": "x", "unit": "K", "shots": "9" * 400}])
def test_nothing_that_a_form_can_send_is_a_fault_of_ours(site, plan, fields):
    answer = send(site, plan, fields)
    assert answer.status_code in (303, 422)
    assert "Our fault" not in answer.text


def test_a_card_of_one_colour_has_one_cup(site):
    plan = begin(site.workshop, read_answers({"colours": "1"})).code
    page = site.get(f"/plans/{plan}/typed-in").text
    assert "Start A" in page
    assert "Start B" not in page
    answer = send(site, plan, {"unit": "F", "start_a": "325", "start_b": "x", "shots": "1"})
    assert answer.status_code == 303
    # (325 − 32)/1.8 = 162.8 °C, said as this bench reads it.
    assert "Read cup A: 163 °C" in site.get(f"{answer.headers['location']}/state").text


def test_a_card_of_no_plan_is_not_there(site):
    assert site.get("/plans/AAAAAAAAAA/typed-in").status_code == 404
    assert send(site, "AAAAAAAAAA", FULL).status_code == 404


def test_another_page_cannot_keep_a_card(site, plan):
    assert site.client.post(f"/plans/{plan}/typed-in", data=FULL).status_code == 403
    assert site.workshop.runs.listed() == ()
