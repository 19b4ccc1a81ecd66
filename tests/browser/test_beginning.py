"""From nothing to a printed card in at most 25 interactions, following the tutorial's words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.conftest import Opens
from tests.browser.driving import EXAMPLES, FIRST_LOOK, PHONE, Server, Watch

pytestmark = pytest.mark.browser

TUTORIAL = (
    Path(__file__).parents[2] / "docs" / "tutorials" / "your-first-card-in-ten-minutes.md"
).read_text("utf-8")
#: What the issue allows from an empty workshop to a card in the hand.
MOST = 25
#: A step of the tutorial: what to do, with which label, and what to say there.
STEP = re.compile(
    r"^\d+\. (?P<verb>Press|Choose|Fill|Pick|Bring) \*\*(?P<label>[^*]+)\*\*"
    r"(?:: `(?P<value>[^`]+)`)?",
    flags=re.MULTILINE,
)


@dataclass(frozen=True)
class Step:
    """One interaction."""

    verb: str
    label: str
    value: str


def steps(title: str) -> list[Step]:
    """The numbered steps under one of the tutorial's headings."""
    section = TUTORIAL.split(f"## {title}\n")[1].split("\n## ")[0]
    found = [Step(m["verb"], m["label"], m["value"] or "") for m in STEP.finditer(section)]
    numbered = re.findall(r"^\d+\. ", section, flags=re.MULTILINE)
    assert len(found) == len(numbered), "a step is written so that nobody can follow it"
    return found


def follow(page: Page, step: Step) -> bytes | None:
    """Do one step by its label; return the file that it printed, if it did."""
    match step.verb:
        case "Fill" | "Pick":
            page.get_by_label(step.label, exact=True).fill(step.value)
        case "Choose":
            field = page.get_by_label(step.label, exact=True)
            if step.value:
                field.select_option(label=step.value)
            else:
                field.check()
        case "Bring":
            page.get_by_label(step.label, exact=True).set_input_files(EXAMPLES / step.value)
        case "Press":
            link = page.get_by_role("link", name=step.label, exact=True)
            button = page.get_by_role("button", name=step.label, exact=True)
            target = link.or_(button)
            if ".pdf" in (address := target.get_attribute("href") or ""):
                return page.request.get(f"{page.url.partition('/plans')[0]}{address}").body()
            target.click(timeout=FIRST_LOOK)
    return None


def walk(page: Page, title: str) -> bytes:
    """Follow a chain of steps from the start page; count them; return the card."""
    chain = steps(title)
    assert 0 < len(chain) <= MOST, f"{len(chain)} interactions"
    cards = [card for step in chain if (card := follow(page, step))]
    assert len(cards) == 1, "the steps end with one card"
    return cards[0]


@pytest.fixture
def fresh(opens: Opens, watch: Watch, empty: Server) -> Page:
    watch.home = empty.address
    page = opens()
    page.goto(empty.address)
    return page


def read(card: bytes) -> str:
    assert card.startswith(b"%PDF")
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(card)).pages)


def test_an_empty_workshop_is_led_to_a_printed_card(fresh: Page) -> None:
    card = read(walk(fresh, "From nothing to a card"))
    expect(fresh.locator("h1")).to_contain_text("Plan ")
    expect(fresh.locator(".lead").first).to_contain_text("8 good baits in first mould")
    guesses = fresh.locator("section[aria-labelledby=guesses] tbody tr")
    expect(guesses.first).to_contain_text("your jug’s label")
    expect(guesses.first).to_contain_text("356 °F")
    assert guesses.count() >= 8
    for row in guesses.all():
        expect(row).to_contain_text("default")
    assert "a guess: read your jug" in card
    assert "347 °F" in card  # 175 °C, in what the maker reads
    assert "°C" not in card.replace("ΔE", "")


def test_every_answer_may_be_dont_know(fresh: Page) -> None:
    fresh.get_by_role("link", name="Make my first card").click()
    fresh.get_by_role("button", name="Make my card").click()
    expect(fresh.locator("h1")).to_contain_text("Plan ", timeout=FIRST_LOOK)
    expect(fresh.locator("#guesses")).to_be_visible()


def test_twenty_five_moulds_come_in_from_a_table_and_one_leads_to_a_card(fresh: Page) -> None:
    card = read(walk(fresh, "Twenty-five moulds from a table"))
    expect(fresh.locator(".lead").first).to_contain_text("8 good baits in fry-07")
    fresh.goto(f"{fresh.url.partition('/plans')[0]}/documents")
    assert fresh.locator("section[aria-labelledby=group-mould] tbody tr").count() == 25
    assert "fry-07" in card


def test_a_question_is_answered_by_pressing_its_reading(fresh: Page, watch: Watch) -> None:
    watch.allow(422)
    fresh.get_by_role("link", name="Make my first card").click()
    fresh.get_by_label("Cup, filled to the brim").fill("350")
    fresh.get_by_label("Weight of one bait").fill("0.35 oz")
    fresh.get_by_label("Bottle 1: name").fill("Mud")
    fresh.get_by_role("button", name="Make my card").click()
    expect(fresh.get_by_role("alert")).to_contain_text("2 answers need a look")
    expect(fresh.get_by_label("Bottle 1: name")).to_have_value("Mud")
    assert not Axe().run(fresh).response["violations"]
    fresh.get_by_role("button", name="350 mL").click()
    fresh.get_by_role("button", name="0.35 oz (weight)").click()
    fresh.get_by_role("button", name="Make my card").click()
    expect(fresh.locator("h1")).to_contain_text("Plan ", timeout=FIRST_LOOK)


def test_axe_finds_nothing_on_the_questions_or_on_their_plan(fresh: Page) -> None:
    found = []
    for step in steps("From nothing to a card")[:-1]:
        follow(fresh, step)
        if step.label not in ("Make my first card", "Make my card"):
            continue
        expect(fresh.locator("h1")).to_have_text(re.compile("Your first card|Plan "),
                                                 timeout=FIRST_LOOK)  # fmt: skip
        for scheme in ("light", "dark"):
            fresh.emulate_media(color_scheme=scheme)
            for width, height in ((1366, 820), PHONE):
                fresh.set_viewport_size({"width": width, "height": height})
                overflow = fresh.evaluate(
                    "document.documentElement.scrollWidth > document.documentElement.clientWidth"
                )
                assert not overflow, f"{step.label} scrolls sideways at {width}"
                answer = Axe().run(fresh).response
                found += [f"{step.label} {scheme} {width}: {each['id']} {node['target']}"
                          for each in answer["violations"] for node in each["nodes"]]  # fmt: skip
    assert not found, "\n".join(found)


def test_the_questions_are_answered_by_the_keyboard_alone(fresh: Page) -> None:
    fresh.goto(f"{fresh.url}begin")
    fresh.get_by_label("Cup, filled to the brim").focus()
    fresh.keyboard.type("350 mL")
    fresh.keyboard.press("Enter")
    expect(fresh.locator("h1")).to_contain_text("Plan ", timeout=FIRST_LOOK)
    fresh.wait_for_load_state()  # what the page still fetches must not meet a stopped server
