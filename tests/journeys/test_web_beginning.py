"""The first questions, a table of moulds, a spoon, two versions: as a browser would go."""

from __future__ import annotations

from pathlib import Path

import pytest

TABLE = (Path(__file__).parents[2] / "examples" / "tables" / "moulds.csv").read_bytes()


def send(site, address: str, fields: dict[str, str]):
    """As a form does it."""
    return site.client.post(f"{address}?token={site.token()}", data=fields)


def test_the_empty_start_page_offers_the_questions_first(empty):
    page = empty.get("/").text
    assert page.index('href="/begin"') < page.index('href="/documents"', page.index("<main"))


def test_nothing_answered_leads_to_a_plan_that_marks_its_guesses(empty):
    answer = send(empty, "/begin", {"colours": ""})
    assert answer.status_code == 303
    page = empty.get(answer.headers["location"]).text
    assert "read your jug’s label before any heat" in page
    assert "Guesses in this plan" in page
    card = empty.get(answer.headers["location"] + "/card.pdf")
    assert card.content.startswith(b"%PDF")


def test_a_question_keeps_what_was_typed_and_keeps_no_document(empty):
    answer = send(empty, "/begin", {"cup": "½ cup", "bait_mass": "10 g", "bottle1_name": "Mud"})
    assert answer.status_code == 422
    for words in ("½ cup", 'value="10 g"', 'value="Mud"', "If it is your vessel"):
        assert words in answer.text
    assert empty.workshop.moulds.listed() == ()
    assert empty.workshop.shelves.listed() == ()


def test_a_cup_too_small_for_one_shot_is_said_beside_the_cup(empty):
    answer = send(empty, "/begin", {"cup": "30 mL", "cavities": "8", "bait_mass": "20 g"})
    assert answer.status_code == 422
    assert 'id="cup-question"' in answer.text
    assert "or more" in answer.text  # the nearest that would do


def test_script_in_an_answer_stays_text(empty):
    answer = send(empty, "/begin", {"bottle1_name": "<script>x</script>", "cup": "350"})
    assert "<script>x" not in answer.text


def test_a_table_brings_in_every_mould_or_none(empty):
    kept = empty.upload("/begin/moulds", "moulds.csv", TABLE)
    assert kept.status_code == 303
    assert len(empty.workshop.moulds.listed()) == 25
    assert "25 moulds are kept" in empty.get(kept.headers["location"]).text
    again = empty.upload("/begin/moulds", "moulds.csv", TABLE)
    assert again.status_code == 422
    assert "already" in again.text
    assert len(empty.workshop.moulds.listed()) == 25


def test_a_fault_in_one_row_keeps_no_row(empty):
    broken = TABLE.replace(b"fry-09,4", b"fry-09,0")
    assert broken != TABLE
    answer = empty.upload("/begin/moulds", "moulds.csv", broken)
    assert answer.status_code == 422
    assert "row 10, cavities" in answer.text
    assert empty.workshop.moulds.listed() == ()


@pytest.mark.parametrize("content", [b"", b"\x89PNG\r\n\x00\xff", b"hello"])
def test_what_is_no_table_is_refused_in_a_sentence(empty, content):
    answer = empty.upload("/begin/moulds", "picture.png", content)
    assert answer.status_code == 422
    assert "Nothing was kept from that table" in answer.text


def test_two_versions_stand_side_by_side(site):
    code = site.id_of("recipes", "peat-over-chalk")
    page = site.get(f"/recipes/{code}/compare?from=1&to=3")
    assert page.status_code == 200
    assert "Back: Peat from 3 drops per 100 g to 9 drops per 100 g." in page.text
    assert page.text.count("picture.png") == 6
    assert "see-through" in page.text
    assert site.get(f"/recipes/{code}/compare?from=1&to=9").status_code == 404


def test_versions_without_a_mould_are_compared_in_words(empty):
    for drops in (3, 9):
        load = f'{{supply = "a", per_100_g = "{drops} drops"}}'
        text = f'name = "x"\n[whole]\ngrade = "g"\nload = [{load}]\n'
        empty.upload("/documents", "x.toml", text.encode())
    page = empty.get(f"/recipes/{empty.id_of('recipes', 'x')}/compare?from=1&to=2").text
    assert "Bait: a from 3 drops per 100 g to 9 drops per 100 g." in page
    assert "No pictures" in page


def test_a_versions_reason_stands_in_its_history(site):
    code = site.id_of("recipes", "peat-over-chalk")
    fields = site.question(site.workshop.recipes.get(code).content)["fields"]
    site.post("/recipes", {"id": code, "based_on": 3, "fields": fields,
                           "version_note": "less salt"})  # fmt: skip
    assert "less salt" in site.get(f"/recipes/{code}").text


def test_one_spoon_on_the_scale_is_kept_and_shown(site):
    weighing = {"supply": "Penny", "count": "1", "spoon": "US tsp", "weighed": "1.9 g"}
    answer = send(site, "/spoons", weighing | {"based_on": "1"})
    assert answer.status_code == 303
    assert "measured, n = 1" in site.get("/spoons").text
    refused = send(site, "/spoons", weighing | {"based_on": "1", "weighed": "190 g"})
    assert refused.status_code == 422
    assert "tare" in refused.text
    elsewhere = send(site, "/spoons", weighing | {"based_on": "1"})
    assert "Nothing was overwritten" in elsewhere.text


def test_spoons_of_an_empty_workshop_say_what_is_missing(empty):
    assert "no powder on the shelf" in empty.get("/spoons").text


def test_shares_are_worked_out_by_resin(site):
    asked = {"first": "soft", "second": "medium", "resin": "16 %"}
    assert site.post("/blend", asked).json()["shares"] == ["66.7 %", "33.3 %"]
    refused = site.post("/blend", asked | {"resin": "25 %"})
    assert refused.status_code == 422
    assert "Nearest is medium alone, 18 %" in refused.json()["error"]["message"]


def test_one_plastisol_twice_in_a_blend_is_refused(site):
    code = site.id_of("recipes", "peat-over-chalk")
    asked = site.question(site.workshop.recipes.get(code).content)
    asked["fields"]["sides"][0]["blend"] = [{"grade": "soft", "share": "50 %"}] * 2
    answer = site.post("/look", asked)
    assert answer.status_code == 422
    assert answer.json()["error"]["field"] == "back.blend"


def test_two_bottles_for_one_side_are_asked_about_beside_the_second(empty):
    both = {"bottle1_name": "a", "bottle1_half": "back", "bottle2_name": "b",
            "bottle2_half": "back"}  # fmt: skip
    answer = send(empty, "/begin", both)
    assert answer.status_code == 422
    assert 'id="bottle2_half-question"' in answer.text
    assert empty.workshop.recipes.listed() == ()


def test_a_tick_that_nobody_has_set_is_marked_on_the_bench_as_a_guess(empty):
    def page(scale: str) -> str:
        send(empty, "/begin", {"scale": scale})
        bench = empty.workshop.benches.listed()[-1]
        return empty.get(f"/bench/{bench.document_id}").text

    assert 'data-checked="fahrenheit"' in page("")
    assert 'data-checked="fahrenheit"' not in page("°F")
