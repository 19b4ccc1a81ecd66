"""What the web app turns away, and that every answer carries its guards."""

from __future__ import annotations

import re

import pytest

from partline.services.recipes import fields_of
from tests.journeys.visiting import AS_JSON, HERE
from tests.process.shed import SHED, demo

HEADERS = {
    "content-security-policy": "default-src 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=()",
}


def guarded(answer) -> bool:
    return all(answer.headers.get(name, "").startswith(value) for name, value in HEADERS.items())


@pytest.mark.parametrize(
    "address",
    [
        "/", "/documents", "/recipes/new", "/recipes/new?colours=1", "/keeping/export",
        "/static/style.css", "/static/recipe.js", "/static/no-such.js", "/no-such-page",
        "/plans/AAAAAAAAAA", "/documents/mould/none", "/recipes", "/static/",
        "/recipes/new?colours=many",
    ],
)  # fmt: skip
def test_every_answer_carries_the_guards(site, address):
    answer = site.get(address)
    assert guarded(answer), answer.headers
    assert answer.status_code < 500


def test_refusals_and_faults_carry_the_guards_too(site, monkeypatch):
    assert guarded(site.client.post("/look", json={}))
    assert guarded(site.get("/", headers={"Host": "evil.example"}))
    assert guarded(site.post("/look", {}))
    assert guarded(site.client.ask("DELETE", "/"))

    def broken_inside(*_: object, **__: object) -> None:
        raise ZeroDivisionError("inside")

    monkeypatch.setattr("partline.interfaces.web.pages.start.render", broken_inside)
    fault = site.get("/")
    assert fault.status_code == 500
    assert "This is our fault" in fault.text
    assert "ZeroDivisionError" not in fault.text
    assert guarded(fault)


def test_pages_hold_no_script_or_style_of_their_own(site):
    code = site.planned()
    for address in ("/", "/documents", "/recipes/new", f"/plans/{code}"):
        page = site.get(address).text
        assert not re.search(r"<script(?![^>]*\bsrc=)", page)
        assert "<style" not in page
        assert not re.search(r"\sstyle=", page)
        assert not re.search(r"\son\w+=", page)
        assert not re.search(r"(?:src|href|action)=\"(?:https?:)?//", page)


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "10.0.0.5:8437", ""])
def test_another_sites_name_for_this_machine_is_refused(site, host):
    answer = site.get("/", headers={"Host": host})
    assert answer.status_code == 400
    assert "open the address that it printed" in answer.text
    assert "Vessary" not in answer.text


@pytest.mark.parametrize("host", ["127.0.0.1:8437", "localhost:8437", "localhost"])
def test_this_machines_own_names_are_served(site, host):
    assert site.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "address", ["/look", "/recipes", "/plans", "/documents", "/keeping/import"]
)
@pytest.mark.parametrize("origin", ["cross-site", "same-site"])
def test_another_site_cannot_change_anything_even_with_the_token(site, address, origin):
    answer = site.client.post(
        f"{address}?token={site.token()}",
        json=site.question(demo(1)),
        headers={"X-Partline-Token": site.token(), "Sec-Fetch-Site": origin},
    )
    assert answer.status_code == 403
    assert "another site" in answer.text


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "http://127.0.0.1.evil.example", "null"]
)
def test_a_browser_that_names_another_origin_alone_is_refused_too(site, origin):
    answer = site.client.post(
        f"/look?token={site.token()}", json=site.question(demo(1)), headers={"Origin": origin}
    )
    assert answer.status_code == 403
    assert "another site" in answer.text


def test_a_form_of_our_own_pages_names_our_origin(site):
    answer = site.client.post(
        f"/look?token={site.token()}", json=site.question(demo(1)), headers={"Origin": HERE}
    )
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "address", ["/look", "/recipes", "/plans", "/documents", "/keeping/import"]
)
@pytest.mark.parametrize("token", ["", "wrong", "ä"])
def test_without_the_pages_token_nothing_is_changed(site, address, token):
    answer = site.client.post(
        address, json={"token": token}, headers={"X-Partline-Token": token.encode()}
    )
    assert answer.status_code == 403
    assert "Reload" in answer.text


def test_the_right_token_in_a_form_is_taken(site):
    content = (SHED / "bench.toml").read_bytes()
    assert site.upload("/documents", "bench.toml", content).status_code == 303


BAD = {
    "negative drops": ("recipes/peat-over-chalk-1.toml", '"3 drops"', '"-3 drops"', "-3"),
    "350 in °C": ("recipes/peat-over-chalk-1.toml", '"163 °C"', '"350 °C"', "350 °F"),
    "no width": ("moulds/fry-75.toml", 'width = "11 mm"\n', "", "stations[0].width"),
    "broken TOML": ("bench.toml", 'room = "22 °C"', "room = 22 °C", "Line 3"),
}


@pytest.mark.parametrize("fault", BAD)
def test_a_bad_file_is_refused_on_the_page_with_the_reason_and_nothing_is_kept(site, fault):
    name, old, new, words = BAD[fault]
    text = (SHED / name).read_text("utf-8")
    assert old in text
    answer = site.upload("/documents", "bad.toml", text.replace(old, new, 1).encode())
    assert answer.status_code == 422
    assert "Nothing was kept from that file" in answer.text
    assert words in answer.text
    assert site.workshop.recipes.named("peat-over-chalk").version.number == 3


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"\x00" * 100, b"hello"])
def test_what_is_no_document_is_refused(site, content):
    answer = site.upload("/documents", "odd.bin", content)
    assert answer.status_code == 422
    assert "Nothing was kept from that file" in answer.text


def test_a_form_without_a_file_is_refused_with_a_sentence(site):
    answer = site.client.post(f"/documents?token={site.token()}", data={"other": "x"})
    assert answer.status_code == 422
    assert "<h1>" in answer.text
    assert "detail" not in answer.text


@pytest.mark.parametrize("size", [300_000, 5_000_000])
def test_a_file_too_large_is_refused_with_its_limit(site, size):
    answer = site.upload("/documents", "large.toml", b"#" * size)
    assert answer.status_code == 413
    assert "300 kB" in answer.text


async def streamed(size: int):
    """A body of unknown length, as a script may send one."""
    yield b'--x\r\nContent-Disposition: form-data; name="file"; filename="a"\r\n\r\n'
    for _ in range(size // 50_000):
        yield b" " * 50_000


@pytest.mark.parametrize("address", ["/look", "/documents"])
def test_a_body_that_hides_its_length_is_counted_as_it_comes(site, address):
    answer = site.client.post(
        address,
        content=streamed(1_000_000),
        headers={
            "X-Partline-Token": site.token(),
            "Content-Type": "application/json"
            if address == "/look"
            else "multipart/form-data; boundary=x",
        },
    )
    assert answer.status_code == 413
    assert "300 kB" in answer.text
    assert guarded(answer)


@pytest.mark.parametrize("length", [b"-1", b"abc", b"\xb2", b"1" * 30])
def test_a_nonsense_length_is_refused(site, length):
    answer = site.client.post(
        "/look",
        content=b"{}",
        headers={"X-Partline-Token": site.token(), "Content-Length": length},
    )
    assert answer.status_code == 413


def test_an_unknown_plan_is_a_sentence_on_a_page(site):
    answer = site.get("/plans/ZZZZZZZZZZ")
    assert answer.status_code == 404
    assert "No plan has the code" in answer.text
    assert "ZZZZZZZZZZ" in answer.text
    assert site.get("/plans/ZZZZZZZZZZ/card.pdf").status_code == 404


def test_a_code_with_markup_is_shown_as_it_is(site):
    answer = site.get("/plans/%3Cscript%3Ealert(1)%3C%2Fscript%3E")
    assert answer.status_code == 404
    assert "<script>alert" not in answer.text


def test_a_page_that_is_not_there_says_so(site):
    answer = site.get("/no-such-page")
    assert answer.status_code == 404
    assert "There is no such page." in answer.text
    as_json = site.get("/no-such-page", headers=AS_JSON)
    assert as_json.json()["error"]["message"] == "There is no such page."


@pytest.mark.parametrize(
    "address",
    [
        "/recipes/none", "/documents/mould/none", "/documents/boat/none", "/documents/boat",
        "/documents/mould/none/file", "/recipes/none/picture.png",
    ],
)  # fmt: skip
def test_what_is_not_kept_is_not_found(site, address):
    answer = site.get(address)
    assert answer.status_code == 404
    assert "<h1>" in answer.text


@pytest.mark.parametrize("version", ["0", "-1", "99", "999999999999999999999", "many", "1.5", ""])
def test_a_version_that_is_not_there_is_a_sentence(site, version):
    document = site.id_of("recipes", "peat-over-chalk")
    answer = site.get(f"/recipes/{document}?version={version}")
    assert answer.status_code in (404, 422)
    assert "<h1>" in answer.text


def test_an_unknown_paper_is_a_sentence(site):
    answer = site.get(f"/plans/{site.planned()}/card.pdf?paper=a0")
    assert answer.status_code == 422
    assert "a4 or letter" in answer.text


@pytest.mark.parametrize(
    "count", ["", "0", "-3", "many", "4.5", "1e3", "99999", "²", None, [], {}]
)
def test_a_plan_of_a_nonsense_number_of_baits_is_refused_beside_its_field(site, count):
    asked = site.question(demo(1), recipe=site.id_of("recipes", "peat-over-chalk"), version=1)
    answer = site.post("/plans", asked | {"count": count})
    assert answer.status_code == 422
    assert answer.json()["error"]["field"] == "count"
    assert site.workshop.plans.listed() == ()


@pytest.mark.parametrize("version", ["many", None, [], 1.5, -1, 10**30])
def test_a_plan_of_a_nonsense_version_is_refused_and_is_not_our_fault(site, version):
    asked = site.question(demo(1), recipe=site.id_of("recipes", "peat-over-chalk"))
    answer = site.post("/plans", asked | {"version": version})
    assert answer.status_code in (404, 422)
    assert answer.json()["error"]["message"]


@pytest.mark.parametrize("based_on", ["many", None, [], {}, 10**30])
def test_a_save_based_on_nonsense_is_refused_and_is_not_our_fault(site, based_on):
    document = site.id_of("recipes", "peat-over-chalk")
    asked = {"id": document, "based_on": based_on, "fields": fields_of(demo(1))}
    answer = site.post("/recipes", asked)
    assert answer.status_code in (409, 422)
    assert site.workshop.recipes.named("peat-over-chalk").version.number == 3


@pytest.mark.parametrize("address", ["/look", "/recipes"])
@pytest.mark.parametrize(
    "fields", [None, [], "text", 3, {"sides": 3}, {"sides": [None]}, {"name": {}}], ids=str
)
def test_a_malformed_form_is_refused_and_is_not_our_fault(site, address, fields):
    asked = site.question(demo(1)) | {"fields": fields}
    answer = site.post(address, asked)
    assert answer.status_code == 422
    assert answer.json()["error"]["message"]


@pytest.mark.parametrize("body", [b"", b"{", b"[1]", b"\xff", b"null", b'"x"'])
@pytest.mark.parametrize("address", ["/look", "/recipes", "/plans"])
def test_a_body_that_is_no_form_is_refused_with_a_sentence(site, address, body):
    answer = site.client.post(
        address,
        content=body,
        headers={"X-Partline-Token": site.token(), "Content-Type": "application/json", **AS_JSON},
    )
    assert answer.status_code in (400, 422)
    assert answer.json()["error"]["message"]


def test_a_fault_in_a_form_names_its_field(site):
    fields = fields_of(demo(1)) | {"start": "350 °C"}
    answer = site.post("/look", site.question(demo(1)) | {"fields": fields})
    assert answer.status_code == 422
    problem = answer.json()["error"]["problems"][0]
    assert problem["field"] == "handling.start"
    assert {each["write"] for each in problem["readings"]} == {"350 °F"}


@pytest.mark.parametrize("content", [b"", b"PK", b"not a zip at all", b"\x00" * 5000])
def test_what_is_no_archive_is_refused_and_the_empty_workshop_stays_usable(empty, content):
    answer = empty.upload("/keeping/import", "odd.zip", content)
    assert 400 <= answer.status_code < 500
    assert "<h1>" in answer.text
    assert empty.get("/").status_code == 200
    path = SHED / "bench.toml"
    assert empty.upload("/documents", path.name, path.read_bytes()).status_code == 303


def test_the_program_documents_itself_to_nobody(site):
    for address in ("/docs", "/redoc", "/openapi.json"):
        assert site.get(address).status_code == 404


def test_a_refused_form_leads_back_to_its_page_and_to_none_of_another_site(site):
    address = f"/classes/exercise/-1?token={site.token()}"
    ours = site.client.post(address, headers={"Referer": f"{HERE}/classes/exercise/1"})
    assert ours.status_code == 422
    assert 'href="/classes/exercise/1">Back to where you were' in ours.text
    for page in ("http://evil.example/classes", f"{HERE}.evil.example/classes", ""):
        answer = site.client.post(address, headers={"Referer": page})
        assert "Back to where you were" not in answer.text
