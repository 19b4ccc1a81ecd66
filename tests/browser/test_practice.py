"""A practice run on a phone, from the list of runs to the score: looked at, entered, caught."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from partline.services.runcard import keep_plan
from partline.services.workshop import keep_text, open_at
from tests.browser.bench_driving import BenchServer, bench_serving, event
from tests.browser.conftest import Opens
from tests.browser.driving import PHONE, Watch

pytestmark = pytest.mark.browser

Json = dict[str, Any]
ONE_COLOUR = """name = "plain-peat"
version = 1
[whole]
grade = "soft"
[[whole.load]]
supply = "Peat"
per_100_g = "9 drops"
[wanted]
hiding = 0.90
[handling]
start = "163 °C"
push = "6 s"
"""
#: Hides the empty cup on the scale and a display in the other scale, and nothing else.
SEED = "3"
#: job.md, section 5: 20 mm, at the 160 CSS px to the inch of a phone. [px]
TARGET = 126


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchServer]:
    with bench_serving(tmp_path_factory.mktemp("practice") / "shed") as server:
        with open_at(server.folder) as workshop:
            recipe = keep_text(workshop, ONE_COLOUR)
            plan = keep_plan(
                workshop, recipe_id=recipe.document_id, recipe_version=recipe.number,
                mould_id=workshop.moulds.named("reed-130").version.document_id,
                bench_id=workshop.benches.named("Vessary Shed").version.document_id, good=4,
            )  # fmt: skip
        server.plan = plan.code
        yield server


@pytest.fixture
def watch(bench: BenchServer) -> Watch:
    return Watch(home=bench.address())


def begin(page: Page, bench: BenchServer) -> str:
    """Begin a practice run on the page that lists runs; return its code."""
    page.goto(f"{bench.address()}/runs")
    page.get_by_text("Practise a run, before a pretended bench").click()
    page.get_by_label("Plan").select_option(bench.plan)
    page.get_by_label("Moulds to practise with").fill("2")
    page.get_by_label("Time goes").select_option("4")
    page.get_by_label("Seed").fill(SEED)
    page.get_by_role("button", name="Practise this run (no hot plastic)").tap()
    expect(page.locator("#bar button").last).to_be_visible()
    return page.url.rpartition("/")[2]


def tap(place: Locator) -> None:
    place.tap()
    place.page.wait_for_timeout(100)


def look(page: Page) -> None:
    tap(page.locator("#bar").get_by_role("button", name="Look", exact=True))
    expect(page.get_by_role("button", name=re.compile(r"Display A"))).to_be_visible()


def keyed(page: Page, figure: str) -> None:
    """Enter a figure on the keypad that is open."""
    for sign in figure:
        page.locator("#panel").get_by_role("button", name="point" if sign == "." else sign,
                                           exact=True).tap()  # fmt: skip
    page.locator("#panel").get_by_role("button", name=re.compile("^Keep")).tap()


def weigh_cup(page: Page) -> None:
    """Enter what the scale shows, the empty cup with it where it is."""
    look(page)
    scale = page.locator("#panel").get_by_role("button", name=re.compile(r"scale, cup A"))
    figure = re.search(r"([\d.]+)", scale.inner_text())
    assert figure is not None
    scale.tap()
    keyed(page, figure[1])


def step(page: Page, state: Json) -> None:
    """Do what the screen says now."""
    control = state["screen"]["controls"][0]
    if (control.get("event") or {}).get("kind") == "weigh":
        weigh_cup(page)
    else:
        tap(page.locator("#controls button").first)


def settled(page: Page) -> None:
    """Wait until nothing waits in the browser's store."""
    page.wait_for_function(
        """() => Object.keys(localStorage).every((name) => !name.startsWith("partline-run-"))""",
        timeout=30_000,
    )


def test_a_practice_run_goes_from_the_list_to_the_score(bench: BenchServer, opens: Opens):
    """By hand as far as the oven; a whole run driven so is tests/journeys' business."""
    page = opens(PHONE, has_touch=True)
    code = begin(page, bench)
    expect(page.locator("#practice")).to_contain_text("Practice: nothing is hot")
    page.locator("#controls button").filter(has_text="Go on without").tap()
    settled(page)
    step(page, bench.state(code))  # the scale, with the empty cup on it
    tap(page.locator("#panel").get_by_role("button", name=re.compile("of plastic")))
    settled(page)
    step(page, bench.state(code))  # the oven
    settled(page)
    at = bench.state(code)["now"]  # the run's clock, which goes faster
    told = [
        event("shot", mould=1), event("finish"), event("open", mould=1),
        event("judge", good=3, moulded=4), event("close"),
    ]  # fmt: skip
    bench.tell(code, *({**each, "at": at} for each in told))
    page.goto(f"{bench.address()}/runs/{code}")
    page.get_by_role("link", name="How it went, against the truth").tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("How practice run")
    row = page.get_by_role("row").filter(has_text="The empty cup was on the scale")
    expect(row.locator("[data-label='Caught']")).to_have_text("yes")
    page_width = page.evaluate("document.documentElement.scrollWidth")
    assert page_width <= PHONE[0]


def test_what_is_looked_at_lies_below_the_timer_and_within_reach_of_a_glove(
    bench: BenchServer, opens: Opens
):
    page = opens(PHONE, has_touch=True)
    code = begin(page, bench)
    bench.tell(code)
    for key in range(9):  # the eight ticks and the set-up
        state = bench.state(code)
        if state["state"] != "planned":
            break
        assert key < 9
        tap(page.locator("#controls button").first)
        settled(page)
    look(page)
    panel = page.locator("#panel").bounding_box()
    digits = page.locator("#digits").bounding_box()
    assert panel is not None
    assert digits is not None
    assert panel["y"] + panel["height"] <= PHONE[1] + 0.5
    assert digits["y"] + digits["height"] <= panel["y"] + 0.5
    for button in page.locator("#panel button").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= TARGET - 0.5
        assert box["width"] >= TARGET - 0.5
    size = page.evaluate("[document.documentElement.scrollHeight, innerHeight]")
    assert size[0] <= size[1]
