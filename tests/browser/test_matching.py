"""Matching in a real browser: picked, answered, kept; by keyboard, on a phone, checked by axe."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import Opens
from tests.browser.driving import FIRST_LOOK, LAPTOP, PHONE, Server, Watch, serving
from tests.browser.test_access import FOCUSED, NARROWEST, SMALL_TARGETS, TARGET

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """Serve a demo workshop of this module's own: it keeps new versions in it."""
    with serving("demo", tmp_path_factory.mktemp("matching")) as server:
        yield server


def ask(page: Page, demo: Server, back: str) -> None:
    """Ask for one colour of the demo's recipe and wait for the answer."""
    page.goto(f"{demo.address}match?recipe={demo.code_of('recipe', 'peat-over-chalk')}")
    page.get_by_label("Colour of the back", exact=True).fill(back)
    page.get_by_label("Cup A holds").fill("160 g")
    page.get_by_role("button", name="Find recipes").click()
    expect(page.get_by_role("status")).to_be_visible(timeout=FIRST_LOOK)


def test_from_the_recipe_to_a_picked_colour_to_a_new_version(page: Page, demo: Server) -> None:
    code = demo.recipe("to match")
    page.goto(f"{demo.address}recipes/{code}")
    page.get_by_role("link", name="Match a colour").click()
    expect(page.get_by_label("Recipe to start from")).to_have_value(code)
    expect(page.get_by_role("link", name="to match")).to_be_visible()
    page.get_by_label("Pick the colour: Colour of the back").fill("#4a2f10")
    expect(page.get_by_label("Colour of the back", exact=True)).to_have_value("#4a2f10")
    page.get_by_label("Match", exact=True).select_option("back")
    page.get_by_label("Cup A holds").fill("160 g")
    page.get_by_role("button", name="Find recipes").click()
    expect(page.get_by_role("status")).to_contain_text("each of these bottles")
    swatch = page.get_by_role("img", name="wanted").first
    expect(swatch).to_have_attribute("aria-label", re.compile(r"Lab .* predicted; ΔE00"))
    page.get_by_role("button", name="Take this as a new version (recipe 1)").click()
    expect(page).to_have_url(re.compile(rf"/recipes/{code}\?version=4"))
    expect(page.get_by_text("back matched to #4a2f10").first).to_be_visible()


def test_what_cannot_be_used_is_said_beside_its_field_and_stays_typed(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    page.goto(f"{demo.address}match")
    back = page.get_by_label("Colour of the back", exact=True)
    back.fill("mud")
    page.get_by_role("button", name="Find recipes").click()
    expect(back).to_have_value("mud")
    expect(back).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#back-question")).to_contain_text("“mud” is no colour")


def test_axe_finds_nothing_nothing_scrolls_sideways_and_thumbs_find_their_targets(
    opens: Opens, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    page, axe = opens(), Axe()
    for colour in ("Lab 22 18 34", "#d01818"):
        ask(page, demo, colour)
        page.locator("summary").click()
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            for width, height in (LAPTOP, PHONE):
                page.set_viewport_size({"width": width, "height": height})
                answer = axe.run(page, options={"resultTypes": ["violations"]})
                assert answer.response["passes"], "axe looked at nothing"
                assert [each["id"] for each in answer.response["violations"]] == []
        assert page.evaluate(SMALL_TARGETS, TARGET) == []
        page.set_viewport_size({"width": NARROWEST, "height": PHONE[1]})
        over = page.evaluate("() => document.documentElement.scrollWidth - window.innerWidth")
        assert over <= 0


def test_the_keyboard_alone_asks_and_sees_where_it_is(page: Page, demo: Server) -> None:
    page.goto(f"{demo.address}match")
    page.get_by_label("Colour of the back", exact=True).focus()
    page.keyboard.type("Lab 22 18 34")
    for _ in range(20):
        page.keyboard.press("Tab")
        here = page.evaluate(FOCUSED)
        assert here["ring"], f"{here['what']} shows no focus"
        if "Find recipes" in here["what"]:
            break
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("these bottles", timeout=FIRST_LOOK)
