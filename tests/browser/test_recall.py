"""Good runs in a browser: pinned by keyboard, searched, read by axe light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from partline.services.runs.paper import keep_card
from partline.services.workshop import open_at
from tests.browser.driving import LAPTOP, PHONE, Server, Watch, serving
from tests.browser.test_access import NARROWEST, SMALL_TARGETS, TARGET
from tests.services.kept_plan import planned
from tests.services.test_runs_paper import FULL

pytestmark = pytest.mark.browser

HOT = {"day": "2026-03-02", "start_a": "171 170", "push": "2.5", "bad": "", "good": "12"}


@pytest.fixture(scope="module")
def runs(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, str, str]]:
    folder: Path = tmp_path_factory.mktemp("recall") / "shed"
    plan = planned(folder)
    with open_at(folder) as workshop:
        good, bad = (keep_card(workshop, plan, FULL | each) for each in ({}, HOT))
    with serving("serve", folder) as server:
        yield server, good, bad


@pytest.fixture
def seen(browser: Browser, runs: tuple[Server, str, str]) -> Iterator[Page]:
    watch = Watch(home=runs[0].address)
    watch.allow(422)
    context = browser.new_context(viewport={"width": LAPTOP[0], "height": LAPTOP[1]})
    watch.over(context)
    yield context.new_page()
    context.close()
    watch.verify()


def test_a_good_run_is_pinned_by_keyboard_found_and_read_by_everybody(
    seen: Page, runs: tuple[Server, str, str]
) -> None:
    server, good, bad = runs
    seen.goto(f"{server.address}runs/{good}")
    seen.get_by_label("Why it is a good one").focus()
    seen.keyboard.type("tail crisp")
    seen.keyboard.press("Enter")
    expect(seen.get_by_text("Pinned as a good run: tail crisp")).to_be_visible(timeout=60_000)
    seen.goto(f"{server.address}runs")
    seen.get_by_label("Find runs where").fill("start < 165 °C")
    seen.keyboard.press("Enter")
    expect(seen.get_by_role("status")).to_contain_text("1 run where start < 165 °C")
    found, wide, small = [], [], []
    for address in (f"runs/{bad}", f"runs/{good}", "runs?where=start+%3C+165+C", "runs?where=x"):
        seen.goto(f"{server.address}{address}")
        for summary in seen.locator("main details > summary").all():
            summary.click()
        for scheme in ("light", "dark"):
            seen.emulate_media(color_scheme=scheme)
            answer = Axe().run(seen, options={"resultTypes": ["violations"]})
            assert answer.response["passes"], "axe looked at nothing"
            found += [
                f"{address} {scheme}: {each['id']} {node['target']}"
                for each in answer.response["violations"]
                for node in each["nodes"]
            ]
        seen.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
        small += [f"{address}: {each}" for each in seen.evaluate(SMALL_TARGETS, TARGET)]
        seen.set_viewport_size({"width": NARROWEST, "height": PHONE[1]})
        over = seen.evaluate("() => document.documentElement.scrollWidth - window.innerWidth")
        wide += [f"{address}: {over} px too wide"] if over > 0 else []
        seen.set_viewport_size({"width": LAPTOP[0], "height": LAPTOP[1]})
    assert not found, "\n".join(found)
    assert not wide, "\n".join(wide)
    assert not small, "\n".join(small)
