"""The verdict's page: looks are answered with a press, counted once, and told back."""

from __future__ import annotations

import re
from typing import Any

import pytest

from partline.interfaces.web import create_app
from tests.journeys.visiting import Client, Site
from tests.services.bench_hand import Hand, at_the_bench
from tests.services.test_verdicts import poured


@pytest.fixture
def hand(tmp_path, monkeypatch):
    with at_the_bench(tmp_path, monkeypatch, version=1) as hand:
        poured(hand, 163.0, 162.0, 6.0)
        yield hand


def site(hand: Hand) -> Site:
    return Site(client=Client(create_app(hand.workshop)), workshop=hand.workshop)


def keep(place: Site, code: str, **answers: str) -> Any:
    address = f"/runs/{code}/verdict?token={place.token()}"
    return place.client.post(address, data=answers)


def test_answers_are_kept_as_events_and_the_verdict_follows(hand):
    place = site(hand)
    page = place.get(f"/runs/{hand.code}/verdict").text
    assert "Nothing has been looked at yet." in page
    assert "Look next" in page
    kept = keep(
        place, hand.code, changes="yes", tail_worse="yes", sprue_crisp="yes", ring="unseen"
    )
    assert kept.status_code == 303
    page = place.get(f"/runs/{hand.code}/verdict").text
    assert "See-through" in page
    assert "Peat from 3 to 9 drops" in page
    assert re.search(r'name="changes" value="yes" checked', page)
    assert [event.kind for event in hand.workshop.runs.events(hand.code)][-3:] == ["look"] * 3


def test_nonsense_changes_nothing(hand):
    place = site(hand)
    number = hand.state["number"]
    assert keep(place, hand.code, changes="maybe").status_code == 303
    assert keep(place, hand.code, smell="yes").status_code == 404
    assert hand.state["number"] == number
    assert place.get("/runs/0000000000/verdict").status_code == 404
    assert place.client.post(f"/runs/{hand.code}/verdict", data={}).status_code == 403


def test_what_it_was_after_all_is_kept_and_taken_back(hand):
    place = site(hand)
    address = f"/runs/{hand.code}/cause?token={place.token()}"
    assert place.client.post(address, data={"cause": "wrap-round"}).status_code == 303
    page = place.get(f"/runs/{hand.code}/verdict").text
    assert '<option value="wrap-round" selected>' in page
    assert "No other run of yours stands behind this verdict yet." in page
    assert place.client.post(address, data={"cause": "weather"}).status_code == 404
    assert place.client.post(address, data={"cause": ""}).status_code == 303
    assert "selected" not in place.get(f"/runs/{hand.code}/verdict").text
