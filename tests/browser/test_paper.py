"""A whole card typed in by keyboard alone, counted, and its time estimated."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from partline.services.workshop import open_at
from tests.browser.bench_driving import BenchServer, bench_serving
from tests.browser.driving import LAPTOP, PHONE

pytestmark = pytest.mark.browser

#: What a run's entry may cost a person, as the issue says. [s]
MOST = 90.0
#: A card filled in to the last blank: field, and what is pencilled there.
CARD: dict[str, str | bool | None] = {
    "day": "2026-03-01", "clock": "1930", "moulds": "2", "tare_a": "181.2", "tare_b": "179.9",
    "set_up": True, "weighed": True, "unit": None, "fused_a": "176 175", "fused_b": "174 174",
    "start_a": "163 163", "start_b": "162 162", "stop_a": "152 153", "stop_b": "151 152",
    "heats": "4", "shots": None, "push": "6", "bad": "3:1,4 7:2", "good": "41", "moulded": None,
    "wrong_short": True, "wrong_mixed": None, "wrong_swapped": None, "wrong_upside_down": None,
    "wrong_too_hot": None, "wrong_spill": None, "wrong_other": None,
    "note": "tail thin, last two shots cool", "close": None,
}  # fmt: skip


@dataclass
class Hands:
    """Keys pressed one by one, and the places where a person has to look at the card first.

    Notes
    -----
    The keystroke-level model: K = 0.28 s a key (average non-secretary typist), M = 1.35 s before
    each thing that is thought of; Card, Moran and Newell, Communications of the ACM 23 (1980)
    396–410, from memory. An M here for every field, the ones passed over too: there the card is
    looked at and found blank.
    """

    page: Page
    keys: int = 0
    looks: int = 0
    visited: list[str] = field(default_factory=list)

    def press(self, key: str) -> None:
        self.page.keyboard.press(key)
        self.keys += 1

    def write(self, text: str) -> None:
        for letter in text:
            self.press("Space" if letter == " " else letter)

    @property
    def seconds(self) -> float:
        return 0.28 * self.keys + 1.35 * self.looks

    def focused(self) -> str:
        name: str = self.page.evaluate("document.activeElement.name || ''")
        return name

    def fill(self, card: Mapping[str, str | bool | None]) -> None:
        """Go through the form from its first field, as the tab order has it."""
        for name, value in card.items():
            assert self.focused() == name, f"Tab led to {self.focused()}, not to {name}"
            self.visited.append(name)
            self.looks += 1
            if value is True:
                self.press("Space")
            elif value:
                self.write(str(value))
            if name != list(card)[-1]:
                self.press("Tab")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchServer]:
    with bench_serving(tmp_path_factory.mktemp("paper")) as server:
        yield server


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    opened = browser.new_context(viewport={"width": LAPTOP[0], "height": LAPTOP[1]})
    yield opened
    opened.close()


def opened_form(page: Page, bench: BenchServer) -> None:
    page.goto(f"{bench.address()}/plans/{bench.plan}/typed-in")
    expect(page.get_by_label("Day", exact=True)).to_be_focused()


def test_a_whole_card_is_typed_by_keyboard_in_under_ninety_seconds(
    bench: BenchServer, context: BrowserContext
) -> None:
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    opened_form(page, bench)
    hands = Hands(page)
    hands.fill(CARD)
    assert hands.visited == list(CARD)  # every field of the form, in the order of the card
    hands.press("Enter")
    page.wait_for_url(re.compile(r"/runs/\w{10}$"))
    expect(page.get_by_text("41 of 44 good").first).to_be_visible()
    assert hands.seconds < MOST, f"{hands.keys} keys, {hands.looks} looks"
    assert not faults
    code = page.url.rpartition("/")[2]
    with open_at(bench.folder) as workshop:
        events = workshop.runs.events(code)
    assert sum(event.kind == "reading" for event in events) == 12
    assert sum(event.kind == "shot" for event in events) == 11


def test_the_form_has_no_field_that_the_card_above_does_not_fill(
    bench: BenchServer, context: BrowserContext
) -> None:
    page = context.new_page()
    opened_form(page, bench)
    names = page.locator("form.paper input:not([type=hidden])").evaluate_all(
        "(inputs) => [...new Set(inputs.map((each) => each.name))]"
    )
    assert names == list(CARD)


def test_the_whole_form_is_on_one_screen(bench: BenchServer, context: BrowserContext) -> None:
    page = context.new_page()
    opened_form(page, bench)
    bottom = page.get_by_role("button", name="Keep the card").bounding_box()
    assert bottom is not None
    assert bottom["y"] + bottom["height"] <= LAPTOP[1]
    assert page.evaluate("scrollY") == 0


def test_a_question_is_answered_with_two_keys_and_nothing_typed_is_lost(
    bench: BenchServer, context: BrowserContext
) -> None:
    page = context.new_page()
    opened_form(page, bench)
    page.get_by_label("Start A", exact=True).fill("350")
    page.get_by_label("Note", exact=True).fill("kept")
    page.keyboard.press("Enter")
    start = page.get_by_label("Start A", exact=True)
    expect(start).to_be_focused()
    expect(start).to_have_value("350")
    expect(page.get_by_label("Note", exact=True)).to_have_value("kept")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(start).to_have_value("350 °F")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/runs/\w{10}$"))


def test_what_is_carried_over_says_so_until_it_is_changed(
    bench: BenchServer, context: BrowserContext
) -> None:
    page = context.new_page()
    opened_form(page, bench)
    expect(page.locator("#shots-carried")).to_have_text("carried over: the plan")
    page.get_by_label("Shots made", exact=True).fill("9")
    expect(page.locator("#shots-carried")).to_have_count(0)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [LAPTOP, PHONE], ids=["laptop", "phone"])
def test_the_form_can_be_used_by_everybody(
    bench: BenchServer, browser: Browser, scheme: str, size: tuple[int, int], tmp_path: Path
) -> None:
    viewport = {"width": size[0], "height": size[1]}
    context = browser.new_context(viewport=viewport, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    opened_form(page, bench)
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.screenshot(path=tmp_path / f"{scheme}-{size[0]}.png", full_page=True)
    context.close()
