"""The plan's page: every number opens where it comes from, and it prints by day and by night."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Opens
from tests.browser.driving import LAPTOP, Server

pytestmark = pytest.mark.browser


def open_newest(page: Page, demo: Server) -> None:
    page.goto(demo.address)
    page.locator('a[href^="/plans/"]').first.click()
    expect(page.locator("h1")).to_contain_text("Plan ")
    page.wait_for_load_state("load")


def test_a_number_of_a_plan_says_what_it_rests_on_and_what_would_narrow_it(
    page: Page, demo: Server
) -> None:
    open_newest(page, demo)
    expect(page.locator("main")).to_contain_text("Start at 163 °C. Push for 6 s.")
    page.locator(".cup-card .big .why").first.press("Enter")
    told = page.locator("#why")
    expect(told).to_contain_text("Grams in cup A, melt 1")
    expect(told).to_contain_text(re.compile(r"\d+\.\d g \(\d+\.\d–\d+\.\d"))
    expect(told.locator("#why-narrows")).to_contain_text("weighing")
    expect(told).to_contain_text("draws × heel + film")
    inputs = told.locator("#why-inputs")
    expect(inputs).to_contain_text("film a side a melt")
    expect(inputs).not_to_contain_text("strength")  # a colour's strength moves no gram
    page.keyboard.press("Escape")
    expect(page.locator(".cup-card .big .why").first).to_be_focused()


def test_a_page_read_by_night_prints_in_black_with_the_signs_of_the_cups(
    opens: Opens, demo: Server
) -> None:
    page = opens(LAPTOP, color_scheme="dark")
    open_newest(page, demo)
    page.emulate_media(media="print", color_scheme="dark")
    ink = page.locator("h1").evaluate("(title) => getComputedStyle(title).color")
    assert ink == "rgb(0, 0, 0)"
    for sign in page.locator(".cup-card .badge").all():
        assert sign.evaluate("(it) => getComputedStyle(it).printColorAdjust") == "exact"
    expect(page.get_by_role("button", name="Start the run")).to_be_hidden()
