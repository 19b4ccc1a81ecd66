"""Matching on the page: asked, answered, taken as a new version; what cannot be used is said."""

from __future__ import annotations

import html
import re
from urllib.parse import urlencode

import pytest

from tests.process.shed import SHED

BOTTLES = ("Peat", "Chalk", "Rind", "Soot")


def address(site, only=BOTTLES, **more):
    asked = {
        "asked": "yes",
        "recipe": site.id_of("recipes", "peat-over-chalk"),
        "mould": site.id_of("moulds", "reed-130"),
        **more,
    }
    return f"/match?{urlencode([*asked.items(), *(('only', each) for each in only)])}"


def hidden(page: str, name: str, place: int = 0) -> str:
    """Content of a hidden field of the page's forms."""
    return html.unescape(re.findall(rf'name="{name}" value="([^"]*)"', page)[place])


def test_the_recipe_page_leads_here(site):
    code = site.id_of("recipes", "peat-over-chalk")
    page = site.get(f"/recipes/{code}").text
    assert f'href="/match?recipe={code}@3">Match a colour<' in page
    assert "Match a colour" not in site.get("/recipes/new").text


def test_the_form_is_there_before_anything_is_asked(site):
    page = site.get("/match")
    assert page.status_code == 200
    for words in ("Colour of the back", "Colour of the belly", "Bottles to choose from",
                  "Peat", "Find recipes", "only as good as the screen"):  # fmt: skip
        assert words in page.text
    assert "in reed-130</h2>" not in page.text
    assert not re.search(r"<script(?![^>]*\bsrc=)|\sstyle=|\son\w+=\"", page.text)


def test_an_answer_shows_wanted_beside_predicted_in_words_too(site):
    page = site.get(address(site, back="Lab 22 20 34", cup_back="160 g"))
    assert page.status_code == 200
    for words in ("Within reach of these bottles.", "cup A · 160 g", "predicted Lab", "ΔE00",
                  "wanted Lab 22 20 34", "drops Peat", "Take this as a new version"):  # fmt: skip
        assert words in page.text
    assert not re.search(r"<script(?![^>]*\bsrc=)|\sstyle=|\son\w+=\"", page.text)


def test_a_recipe_is_taken_as_a_new_version_and_flake_stays_in_it(site):
    page = site.get(address(site, back="Lab 22 20 34", cup_back="160 g")).text
    form = {name: hidden(page, name, place) for name, place in
            (("recipe", -1), ("based_on", 0), ("fields", 0), ("note", 0))}  # fmt: skip
    kept = site.client.post(f"/match/keep?token={site.token()}", data=form)
    assert kept.status_code == 303
    assert kept.headers["location"].endswith("?version=4")
    version = site.workshop.recipes.named("peat-over-chalk")
    assert version.version.number == 4
    assert "matched to Lab 22 20 34" in version.version.note
    assert version.content.sides[0].loadings[-1].supply == "Penny"
    again = site.client.post(f"/match/keep?token={site.token()}", data=form)
    assert again.status_code == 409  # somebody saved in the meantime: nothing is overwritten
    assert site.workshop.recipes.named("peat-over-chalk").version.number == 4


def test_keeping_needs_the_pages_token_and_a_recipe_that_can_be_read(site):
    assert site.client.post("/match/keep", data={"fields": "{}"}).status_code == 403
    goal = f"/match/keep?token={site.token()}"
    code = site.id_of("recipes", "peat-over-chalk")
    for fields in ("", "no json", "[]", "3", "{}", '{"sides": 3}'):
        sent = {"recipe": code, "based_on": "3", "fields": fields}
        assert site.client.post(goal, data=sent).status_code == 422
    assert site.client.post(goal, data={"fields": "{}", "based_on": "x"}).status_code == 422
    assert site.workshop.recipes.named("peat-over-chalk").version.number == 3


def test_out_of_reach_is_said_with_the_bottle_that_would_help(site):
    page = site.get(address(site, back="#d01818")).text
    assert "Out of reach of these bottles." in page
    assert "One bottle that would help: " in page


def test_an_unticked_bottle_is_left_alone(site):
    code = site.id_of("recipes", "peat-over-chalk")
    page = site.get(address(site, ("Peat", "Chalk", "Soot"), like=f"{code}@3", side="belly")).text
    assert "Rind <small>" in page  # the box is there, unticked
    assert "drops Rind" not in page
    assert 'value="Rind" checked' not in page


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"back": "mud"}, "“mud” is no colour"),
        ({"back": "#6b5a33", "cup_back": "160"}, "160 g"),
        ({"back": "#6b5a33", "most_colourants": "99"}, "the search takes 1 to 6"),
        ({"back": "#6b5a33", "most_drops": "none"}, "is no number of drops"),
        ({}, "Nothing says what the bait should look like"),
        ({"back": "#6b5a33", "recipe": "NOWHERE"}, "NOWHERE"),
        ({"back": "#6b5a33", "mould": "NOWHERE"}, "NOWHERE"),
        ({"back": "<script>alert(1)</script>"}, "&lt;script&gt;"),
    ],
)
def test_what_cannot_be_used_is_said_and_what_was_typed_stays(site, more, says):
    page = site.get(address(site, **more))
    assert page.status_code == 422
    assert says in page.text
    assert "<script>alert" not in page.text
    if "back" in more and "<" not in more["back"]:
        assert f'value="{more["back"]}"' in page.text


def test_no_bottle_ticked_is_a_sentence(site):
    page = site.get(address(site, (), back="#6b5a33"))
    assert page.status_code == 422
    assert "No bottle is ticked" in page.text


def test_an_empty_workshop_says_what_it_needs_first(empty):
    page = empty.get("/match?asked=yes&back=%236b5a33")
    assert page.status_code == 200
    assert "It needs a recipe, a mould and a shelf first" in page.text


def test_an_older_version_stays_the_one_that_is_matched(site):
    code = site.id_of("recipes", "peat-over-chalk")
    page = site.get(f"/match?recipe={code}@1").text
    assert f'<option value="{code}@1" selected>peat-over-chalk, version 1</option>' in page
    assert f'href="/recipes/{code}?version=1"' in page


def test_a_new_lots_drops_are_found_from_the_shelf_as_it_was(site):
    code = site.id_of("recipes", "peat-over-chalk")
    assert "That look was poured from" not in site.get("/match").text
    text = (SHED / "shelf.toml").read_text("utf-8")
    twice = text.replace("height = 0.07, place = 400", "height = 0.14, place = 400")
    assert twice != text
    assert site.upload("/documents", "shelf.toml", twice.encode()).status_code == 303
    assert "That look was poured from" in site.get("/match").text
    asked = {"like": f"{code}@3", "side": "back", "cup_back": "200 g"}
    old = site.get(address(site, ("Peat",), like_shelf="1", **asked)).text
    new = site.get(address(site, ("Peat",), **asked)).text
    counted = [int(re.findall(r"<strong>(\d+)</strong> drops Peat", page)[0])
               for page in (old, new)]  # fmt: skip
    assert counted[0] == pytest.approx(9, abs=1)  # 18 drops of the old lot, twice as strong now
    assert counted[1] == pytest.approx(18, abs=1)
    assert site.get(address(site, like_shelf="99", **asked)).status_code == 422
    assert site.get(address(site, like_shelf="x", **asked)).status_code == 422
