"""From an empty bench to a printed card, in a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import Opens
from tests.browser.driving import EXAMPLES, Server, Watch, open_editor

pytestmark = pytest.mark.browser

MOULD = EXAMPLES / "vessary-shed/moulds/reed-130.toml"


def test_a_plan_leads_to_a_card_on_either_paper(page: Page, demo: Server) -> None:
    open_editor(page, demo, demo.recipe("planned"))
    page.get_by_role("button", name="Make the plan and the card").click()
    expect(page.locator("h1")).to_contain_text("Plan ")
    expect(page.locator(".lead").first).to_contain_text(
        "40 good baits in reed-130: 44 to mould, 11 shots, 2 melts."
    )
    expect(page.locator(".cup-card .big").first).to_contain_text("162.1 g")
    widths = set()
    for paper in ("A4", "Letter"):
        address = page.get_by_role("link", name=f"Card on {paper}").get_attribute("href")
        card = page.request.get(f"{demo.address.rstrip('/')}{address}")
        assert card.status == 200
        assert card.headers["content-type"] == "application/pdf"
        assert card.body().startswith(b"%PDF")
        widths.add(len(card.body()))
    assert len(widths) == 2, "both papers gave the same file"


def bring_in(page: Page, name: str, content: bytes) -> None:
    page.get_by_label("A recipe, mould, bench or shelf file").set_input_files(
        {"name": name, "mimeType": "text/plain", "buffer": content}
    )
    page.get_by_role("button", name="Bring in").click()


def test_a_good_mould_file_is_kept_and_read_back(page: Page, demo: Server) -> None:
    page.goto(f"{demo.address}documents")
    text = MOULD.read_text().replace('name = "reed-130"', 'name = "reed-b"')
    bring_in(page, "reed-b.toml", text.encode())
    expect(page.locator("h1")).to_contain_text("reed-b")
    tail = page.get_by_role("row", name="tail")
    expect(tail.locator("td")).to_have_text(["100", "round", "3.6", "1.8", "1.8"])


def test_a_faulty_or_foreign_file_is_refused_in_sentences_and_nothing_is_kept(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422, 413)
    page.goto(f"{demo.address}documents")
    listed = page.locator("section[aria-labelledby=group-mould] tbody tr").count()
    broken = MOULD.read_text().replace('name = "reed-130"', 'name = "broken"')
    bring_in(page, "broken.toml", broken.replace('width = "3.6 mm"', 'width = "-3 mm"').encode())
    refusal = page.get_by_role("alert")
    expect(refusal).to_contain_text("Nothing was kept from that file")
    expect(refusal).to_contain_text("stations[4].width")
    expect(refusal).to_contain_text("-3 mm")
    bring_in(page, "picture.toml", b"\x89PNG\r\n\x1a\n\x00\x00")
    expect(refusal).to_contain_text("picture.toml")
    bring_in(page, "letter.toml", b"Dear friend,\nhere is my mould.\n")
    expect(refusal).to_contain_text("Nothing was kept from that file")
    assert page.locator("section[aria-labelledby=group-mould] tbody tr").count() == listed
    expect(page.get_by_text("broken", exact=True)).to_have_count(0)


def test_an_empty_workshop_says_what_to_do_first_until_a_look_is_there(
    browser_page_of_empty: Page, empty: Server
) -> None:
    page = browser_page_of_empty
    page.goto(empty.address)
    expect(page.get_by_role("heading", name="What to do first")).to_be_visible()
    assert not Axe().run(page).response["violations"]
    page.goto(f"{empty.address}recipes/new")
    expect(page.locator("main")).to_contain_text("There is no shelf yet")
    assert not Axe().run(page).response["violations"]

    upload(page, empty, EXAMPLES / "vessary-shed/shelf.toml")
    page.goto(f"{empty.address}recipes/new")
    expect(page.locator("main")).to_contain_text("There is no mould yet")
    expect(page.locator("main")).to_contain_text("There is no bench yet")
    expect(page.locator("#views")).to_be_hidden()
    assert not Axe().run(page).response["violations"]
    page.get_by_label("Recipe", exact=True).fill("first")
    page.get_by_role("button", name="Save as version 1").click()
    expect(page.locator(".version")).to_have_text("version 1")

    upload(page, empty, MOULD)
    page.goto(empty.address)
    page.get_by_role("link", name="first").click()
    expect(page.locator("#headline")).to_contain_text("Back against belly")
    expect(page.locator("#cups")).to_contain_text("Choose a bench")


def upload(page: Page, server: Server, path: Path) -> None:
    page.goto(f"{server.address}documents")
    bring_in(page, path.name, path.read_bytes())
    expect(page.locator("h1 small")).to_contain_text("version 1")


@pytest.fixture
def browser_page_of_empty(opens: Opens, watch: Watch, empty: Server) -> Page:
    watch.home = empty.address
    return opens()
