"""A teacher's way through the web app: cards, wall, exercise, results."""

from __future__ import annotations

import re

import pytest

from partline.services.runs.paper import keep_card
from partline.services.workshop import load_demo, open_at
from partline.studies.exercise import spoiled_baits
from tests.journeys.visiting import Site
from tests.services.test_runs_paper import FULL


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    with open_at(tmp_path_factory.mktemp("class") / "shed") as workshop:
        load_demo(workshop)
        yield Site.over(workshop)


def begin(site: Site, **more: str):
    asked = {
        "recipe": site.id_of("recipes", "peat-over-chalk"),
        "mould": site.id_of("moulds", "reed-130"),
        "bench": site.id_of("benches", "Vessary Shed"),
        "count": "40",
        "groups": "2",
    }
    return site.client.post(f"/classes?token={site.token()}", data=asked | more)


def test_from_the_page_of_runs_to_the_results_of_two_groups(site):
    assert "For a class" in site.get("/runs").text
    assert "Cards for a new class" in site.get("/classes").text
    answer = begin(site)
    assert answer.status_code == 303
    place = answer.headers["location"]
    page = site.get(place).text
    plans = re.findall(r"/plans/(\w+)/typed-in", page)
    assert len(plans) == 2
    pdf = site.get(f"{place}/cards.pdf")
    assert pdf.headers["content-type"] == "application/pdf"
    for plan, good in zip(plans, ("41", "12"), strict=True):
        keep_card(site.workshop, plan, FULL | {"good": good})
    page = site.get(place).text
    assert "41 of 44" in page
    assert "Group 2 beside group 1" in page
    table = site.get(f"{place}/results.csv")
    assert table.headers["content-type"].startswith("text/csv")
    assert table.text.splitlines()[1].split(",")[2:4] == ["41", "44"]


def test_the_wall_prints_for_every_bench(site):
    bench = site.id_of("benches", "Vessary Shed")
    for paper in ("a4", "letter"):
        answer = site.get(f"/classes/wall/{bench}.pdf?paper={paper}")
        assert answer.content.startswith(b"%PDF")


def test_an_exercise_is_answered_and_explained(site):
    page = site.get("/classes/exercise/2").text
    assert "What was right" not in page
    given = {f"bait-{place}": bait.cause.value
             for place, bait in enumerate(spoiled_baits(2), start=1)}  # fmt: skip
    given["bait-3"] = ""
    answer = site.client.post(f"/classes/exercise/2?token={site.token()}", data=given)
    assert answer.text.count("You said so.") == 2
    assert "You did not say." in answer.text


@pytest.mark.parametrize(
    ("path", "status"),
    [("/classes/NOSUCH", 404), ("/classes/NOSUCH/cards.pdf", 404), ("/classes/exercise/-1", 422),
     ("/classes/exercise/one", 422), ("/classes/wall/NOSUCH.pdf", 404),
     ("/classes/exercise/1/sheet.pdf?paper=a9", 422)],
)  # fmt: skip
def test_nonsense_gets_a_sentence(site, path, status):
    answer = site.get(path)
    assert answer.status_code == status
    assert "Traceback" not in answer.text


@pytest.mark.parametrize("more", [{"groups": "many"}, {"groups": "0"}, {"count": "-3"}])
def test_a_class_nobody_can_mean_is_refused(site, more):
    before = site.get("/classes").text.count("card-link")
    assert begin(site, **more).status_code == 422
    assert site.get("/classes").text.count("card-link") == before


def test_what_cannot_be_planned_is_said_above_the_form_and_nothing_typed_is_lost(site):
    answer = begin(site, count="12", groups="99")
    assert answer.status_code == 422
    page = answer.text
    assert "99 groups were asked for; a class has 1 to 24." in page
    assert 'name="count" inputmode="numeric" value="12"' in page
    assert 'name="groups" inputmode="numeric" value="99"' in page
    mould = site.id_of("moulds", "reed-130")
    assert f'<option value="{mould}" selected>' in page
    assert "such as 8" in begin(site, groups="a few").text


def test_hot_plastic_is_cautioned_where_a_class_begins_and_where_it_is_run(site):
    place = begin(site).headers["location"]
    assert "Caution:" in site.get("/classes").text
    assert "Caution:" in site.get(place).text
    assert 'href="/classes"' in site.get(f"/bench/{site.id_of('benches', 'Vessary Shed')}").text
