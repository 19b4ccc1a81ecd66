"""A run driven on a phone through everything that happens at a bench: each tap is there once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.browser.bench_driving import (
    NAME,
    BenchServer,
    bench_serving,
    event,
    open_bench,
    seconds_off,
)
from tests.browser.conftest import FLAGS
from tests.browser.driving import PHONE, chromium

pytestmark = pytest.mark.browser

#: Issue 5: timers right within this. [s]
RIGHT = 0.5
#: This device's clock is wrong by so much in the journey. [ms]
WRONG_CLOCK = 37_000
#: A device whose clock is wrong, and can be made to jump as one does that slept.
SKEWED = f"""(() => {{
  const real = Date.now.bind(Date);
  window.trueNow = real;
  window.asleep = 0;
  Date.now = () => real() + {WRONG_CLOCK} + window.asleep;
}})();"""


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchServer]:
    with bench_serving(tmp_path_factory.mktemp("bench") / "shed") as server:
        yield server


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Start a browser that takes the bench's name for this machine."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=chromium(),
            args=[*FLAGS, f"--host-resolver-rules=MAP {NAME} 127.0.0.1"],
        )
        yield started
        started.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    size = {"width": PHONE[0], "height": PHONE[1]}
    context = browser.new_context(viewport=size, has_touch=True)  # type: ignore[arg-type]
    yield context
    context.close()


def quick(page: Page, label: str) -> None:
    page.locator("#bar").get_by_role("button", name=label, exact=True).tap()
    page.wait_for_timeout(750)  # a glove that bounces is held off for 0.7 s


def all_sent(page: Page) -> None:
    """Wait until nothing waits in the browser's store."""
    page.wait_for_function(
        """() => Object.keys(localStorage).every((name) => !name.startsWith("partline-run-"))""",
        timeout=30_000,
    )


def read_as_forecast(page: Page, cup: str) -> None:
    quick(page, f"Read {cup}")
    page.locator("#panel .keep").tap()


@pytest.mark.parametrize("host", ["127.0.0.1", NAME])
def test_every_tap_is_there_once_through_reload_sleep_kill_and_a_dropped_network(
    bench: BenchServer, phone: BrowserContext, host: str
) -> None:
    code = bench.begin()
    bench.heat(code)
    before = len(bench.told(code))
    page = phone.new_page()
    page.add_init_script(SKEWED)
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    open_bench(page, bench, code, host)
    assert page.evaluate("window.isSecureContext") is (host != NAME)

    def on_time() -> None:
        page.wait_for_timeout(300)
        big = bench.state(code)["screen"]["big"]
        assert big["kind"] == "until"
        assert abs(seconds_off(page, big["at"])) < RIGHT

    on_time()
    quick(page, "Stirred")
    all_sent(page)
    page.reload()
    on_time()
    read_as_forecast(page, "A")
    all_sent(page)

    # As after a sleep: this device's clock is 21 s further at once.
    page.evaluate("window.asleep = 21_000")
    away = re.compile(r"You were away 0:2\d; A is now about 1\d\d °C")
    expect(page.locator("#panel .text")).to_have_text(away)
    page.keyboard.press("Escape")
    on_time()

    bench.kill()
    quick(page, "Stirred")
    read_as_forecast(page, "B")
    expect(page.locator("#link")).to_contain_text("2 waiting to be sent")
    bench.start()  # its token is a new one
    all_sent(page)
    on_time()

    phone.set_offline(True)
    for _ in range(3):
        quick(page, "Stirred")
    expect(page.locator("#link")).to_contain_text("3 waiting to be sent")
    assert len(bench.told(code)) == before + 4
    phone.set_offline(False)
    all_sent(page)
    expect(page.locator("#link")).to_be_empty()
    on_time()

    told = bench.told(code)
    assert len(told) == len(set(told)) == before + 7
    assert not faults


def test_a_page_frozen_for_twenty_seconds_says_how_long_and_asks_what_happened(
    bench: BenchServer, phone: BrowserContext
) -> None:
    code = bench.begin()
    bench.heat(code, event("draw"))
    page = phone.new_page()
    open_bench(page, bench, code)
    assert bench.state(code)["state"] == "shooting"
    devtools = phone.new_cdp_session(page)
    page.wait_for_timeout(2500)
    devtools.send("Debugger.enable")
    devtools.send("Debugger.pause")  # nothing of the page runs, as in a frozen tab
    page.wait_for_timeout(21_000)
    devtools.send("Debugger.resume")
    panel = page.locator("#panel")
    expect(panel).to_contain_text(re.compile(r"You were away 0:2[0-4]; A is now about \d+ °C"))
    for answer in ("Finished", "Stopped", "Reheat"):
        expect(panel.get_by_role("button", name=re.compile(answer))).to_be_visible()
    expect(page.locator("#number")).to_be_visible()
    panel.get_by_role("button", name=re.compile("Stopped")).tap()
    all_sent(page)
    assert any("Gone on" in entry["text"] for entry in bench.state(code)["log"])


def test_a_tap_survives_the_page_that_was_closed_before_it_was_sent(
    bench: BenchServer, phone: BrowserContext
) -> None:
    code = bench.begin()
    bench.heat(code)
    before = len(bench.told(code))
    page = phone.new_page()
    open_bench(page, bench, code)
    phone.set_offline(True)
    quick(page, "Stirred")
    page.close()
    phone.set_offline(False)
    first, second = phone.new_page(), phone.new_page()  # two tabs send one queue
    for tab in (first, second):
        open_bench(tab, bench, code)
    all_sent(first)
    first.wait_for_timeout(500)
    assert len(bench.told(code)) == before + 1


def test_two_phones_on_one_run_see_one_another(bench: BenchServer, browser: Browser) -> None:
    code = bench.begin()
    bench.heat(code, event("draw"))
    pages = []
    for _ in range(2):
        size = {"width": PHONE[0], "height": PHONE[1]}
        context = browser.new_context(viewport=size, has_touch=True)  # type: ignore[arg-type]
        pages.append(context.new_page())
        open_bench(pages[-1], bench, code)
    quick(pages[0], "Shot")
    all_sent(pages[0])
    pages[1].evaluate("dispatchEvent(new Event('online'))")
    expect(pages[1].locator("#where")).to_contain_text("shots 1 of 11")
    for page in pages:
        page.context.close()


def test_a_shot_can_be_taken_back_for_five_seconds_and_both_stay_on_record(
    bench: BenchServer, phone: BrowserContext
) -> None:
    code = bench.begin()
    bench.heat(code, event("draw"))
    page = phone.new_page()
    open_bench(page, bench, code)
    quick(page, "Shot")
    undo = page.get_by_role("button", name=re.compile("Undo shot"))
    expect(undo).to_be_visible()
    undo.tap()
    all_sent(page)
    state = bench.state(code)
    assert state["shots"]["done"] == 0
    assert any(entry["is_void"] and "hot" in entry["text"] for entry in state["log"])
    quick(page, "Shot")
    expect(undo).to_be_visible()
    expect(undo).to_be_hidden(timeout=6000)
    assert bench.state(code)["shots"]["done"] == 1


def test_the_photo_is_kept_and_its_event_points_at_it(
    bench: BenchServer, phone: BrowserContext, tmp_path: Path
) -> None:
    code = bench.begin()
    page = phone.new_page()
    open_bench(page, bench, code)
    picture = tmp_path / "cups.png"
    page.screenshot(path=picture)
    phone.set_offline(True)
    page.locator("#camera").set_input_files(picture)
    expect(page.locator("#link")).to_contain_text("photo waits")
    phone.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_function(
        "async (code) => (await (await fetch(`/runs/${code}/state`)).json()).log"
        ".some((each) => each.text.toLowerCase().includes('photo'))",
        arg=code,
    )


def test_without_a_network_the_oven_still_counts_and_a_kept_step_is_not_taken_twice(
    bench: BenchServer, phone: BrowserContext
) -> None:
    code = bench.begin()
    weighed = [event("weigh", cup, entered="162.1 g", grams=162.1) for cup in ("A", "B")]
    page = phone.new_page()
    open_bench(page, bench, code)
    phone.set_offline(True)
    first = page.locator("#controls button").first
    first.tap()
    expect(first).to_contain_text("kept, waiting to be sent")
    expect(first).to_have_attribute("aria-disabled", "true")
    first.tap(force=True)
    page.wait_for_timeout(800)
    first.tap(force=True)
    expect(page.locator("#link")).to_contain_text("1 waiting to be sent")
    phone.set_offline(False)
    all_sent(page)
    assert len(bench.told(code)) == 1

    bench.tell(code, event("set_up", missing=[]), *weighed)
    page.evaluate("dispatchEvent(new Event('online'))")
    oven = page.get_by_role("button", name=re.compile(r"^Oven on: \d+ s"))
    expect(oven).to_be_visible()
    phone.set_offline(True)
    oven.tap()
    expect(page.locator("#title")).to_contain_text("In the oven")
    expect(page.locator("#number")).to_have_text(re.compile(r"^\d:\d\d$"))
    phone.set_offline(False)
    all_sent(page)
    big = bench.state(code)["screen"]["big"]
    assert abs(seconds_off(page, big["at"])) < RIGHT
