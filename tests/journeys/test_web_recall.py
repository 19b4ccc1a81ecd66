"""Good runs through the web app: pinned, set aside, compared, searched."""

from __future__ import annotations

import re

import pytest

from partline.services.runs import begin
from partline.services.runs.paper import keep_card
from tests.journeys.visiting import Site
from tests.services.test_runs_paper import FULL

HOT = {"day": "2026-03-02", "start_a": "171 170", "start_b": "165 165", "push": "2.5",
       "bad": "", "good": "12"}  # fmt: skip


@pytest.fixture
def good(site: Site) -> str:
    return keep_card(site.workshop, site.planned(), FULL)


@pytest.fixture
def bad(site: Site, good: str) -> str:
    plan = site.workshop.runs.get(good).plan_code
    return keep_card(site.workshop, plan, FULL | HOT)


def submit(site: Site, address: str, **fields: str):
    return site.client.post(f"{address}?token={site.token()}", data=fields)


def pin(site: Site, code: str, said: str = "yes"):
    return submit(site, f"/runs/{code}/pin", pinned=said, text="tail crisp")


def test_a_run_is_pinned_and_taken_off_on_its_record(site, good):
    page = site.get(f"/runs/{good}").text
    form = re.search(rf'action="(/runs/{good}/pin\?token=[^"]+)"', page)
    assert form is not None
    assert "Pin as a good run" in page
    answer = site.client.post(form[1], data={"pinned": "yes", "text": "tail crisp"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/runs/{good}")
    page = site.get(f"/runs/{good}").text
    assert "Pinned as a good run: tail crisp" in page
    assert "Take the pin off" in page
    assert pin(site, good, "no").status_code == 303
    assert "Pin taken off" in site.get(f"/runs/{good}").text


@pytest.mark.parametrize("address", ["pin", "aside"])
def test_a_pin_needs_the_pages_token_and_a_run(site, good, address):
    before = site.workshop.runs.events(good)
    assert site.client.post(f"/runs/{good}/{address}", data={"pinned": "yes"}).status_code == 403
    assert submit(site, f"/runs/AAAAAAAAAA/{address}", pinned="yes").status_code == 404
    assert site.workshop.runs.events(good) == before


def test_the_record_says_whether_it_may_be_luck_and_what_changed_since(site, good, bad):
    before = site.get(f"/runs/{bad}").text
    assert "No earlier good run is pinned for reed-130" in before
    assert f"run {good}, 41 of 44 good" in before
    pin(site, good)
    page = site.get(f"/runs/{bad}").text
    assert "12 of 44 good: the true share is between" in page
    assert "baits of one shot are 0.5 alike" in page
    assert f"Since run {good} (41 of 44 good)" in page
    for words in ("<th scope=\"row\">Push</th>", "6.0 s", "2.5 s", "163 °C", "171 °C",
                  "This run is worse"):  # fmt: skip
        assert words in page
    assert "By 11 shots judged apart" in site.get(f"/runs/{good}").text


def test_a_run_that_is_set_aside_says_so_and_comes_back(site, good):
    assert submit(site, f"/runs/{good}/aside", aside="yes", why="power cut").status_code == 303
    page = site.get(f"/runs/{good}").text
    assert "Set aside: power cut" in page
    assert "Set aside: nothing is learned from it" in page
    assert submit(site, f"/runs/{good}/aside", aside="no").status_code == 303
    assert (
        "nothing is learned from it, and nothing goes back to it.</p>"
        not in (site.get(f"/runs/{good}").text.partition("<details>")[0])
    )


def test_what_is_typed_with_a_pin_is_shown_as_text(site, good):
    submit(site, f"/runs/{good}/pin", pinned="yes", text="<script>alert(1)</script>" + "x" * 5000)
    page = site.get(f"/runs/{good}").text
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page


def test_the_list_shows_pinned_runs_first(site, good, bad):
    pin(site, good)
    page = site.get("/runs").text
    assert page.index(f'href="/runs/{good}"') < page.index(f'href="/runs/{bad}"')
    assert "<small>pinned</small>" in page


def test_runs_are_found_by_what_they_were(site, good, bad):
    ask = [("where", "start < 165 °C"), ("where", "belly colourant = Chalk"), ("where", "")]
    page = site.get("/runs", params=ask).text
    assert "1 run where start &lt; 165 °C and belly colourant = Chalk." in page
    assert f'href="/runs/{good}"' in page
    assert f'href="/runs/{bad}"' not in page
    assert 'value="start &lt; 165 °C"' in page
    unread = begin(site.workshop, site.planned())
    page = site.get("/runs", params={"where": "start < 165 °C"}).text
    assert f'Not known of 1 more: <a href="/runs/{unread}">' in page


@pytest.mark.parametrize("nonsense", ["dance = 3", "start", "start < 160", "<script>", "x" * 500])
def test_a_search_that_cannot_be_read_says_so_beside_what_was_typed(site, good, nonsense):
    answer = site.get("/runs", params={"where": nonsense})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert "Our fault" not in answer.text
    assert "<script>" not in answer.text
    assert f'href="/runs/{good}"' in answer.text


def test_a_search_that_finds_nothing_and_a_workshop_without_runs_say_what_to_do(site, good):
    assert "None of the runs fits." in site.get("/runs", params={"where": "good > 1000"}).text


def test_an_empty_workshop_has_no_search(empty):
    page = empty.get("/runs").text
    assert 'role="search"' not in page
    assert "None yet." in page


def test_a_plan_is_compared_with_the_last_good_run(site, good):
    plan = site.workshop.runs.get(good).plan_code
    assert "Against the last good run" not in site.get(f"/plans/{plan}").text
    pin(site, good)
    assert "nothing changed in what is planned" in site.get(f"/plans/{plan}").text
    other = site.planned(version=1)
    page = site.get(f"/plans/{other}").text
    assert "Peat, back" in page
    assert "9 drops per 100 g" in page
    assert "3 drops per 100 g" in page


def test_a_practice_run_is_not_compared_with_real_ones(site, good):
    plan = site.workshop.runs.get(good).plan_code
    pin(site, good)
    code = begin(site.workshop, plan, practice={"seed": 1})
    site.post(f"/runs/{code}/events", {"device": "phone", "events": [
        {"id": "A" * 20, "kind": "judge", "cup": None, "at": "2026-03-01T18:30:00Z",
         "data": {"good": 3, "moulded": 4}}]})  # fmt: skip
    page = site.get(f"/runs/{code}").text
    assert "What changed since" not in page
    assert "Pin as a good run" not in page
