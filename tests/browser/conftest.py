"""One browser, one demo workshop and one empty one for all; a fresh page for each test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.browser.driving import LAPTOP, Server, Watch, chromium, serving

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run",
]  # fmt: skip
Opens = Callable[..., Page]

expect.set_options(timeout=10_000)


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """Serve the demo workshop. Tests share it: each brings the recipe that it changes."""
    with serving("demo", tmp_path_factory.mktemp("demo")) as server:
        yield server


@pytest.fixture
def empty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """Serve a workshop that holds nothing."""
    with serving("serve", tmp_path_factory.mktemp("empty")) as server:
        yield server


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Start the system's browser.

    NOTE: for one module at a time. Playwright keeps an event loop running in this thread, in
    which no other room's test could run one of its own.
    """
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield started
        started.close()


@pytest.fixture
def watch(demo: Server) -> Watch:
    """What the test's pages do; a test that expects a refusal says so here."""
    return Watch(home=demo.address)


@pytest.fixture
def opens(browser: Browser, watch: Watch) -> Iterator[Opens]:
    """Open watched pages of any size and scheme."""
    contexts = []

    def opened(size: tuple[int, int] = LAPTOP, **options: Any) -> Page:
        viewport = {"width": size[0], "height": size[1]}
        context = browser.new_context(viewport=viewport, **options)  # type: ignore[arg-type]
        watch.over(context)
        contexts.append(context)
        return context.new_page()

    yield opened
    for context in contexts:
        context.close()
    watch.verify()


@pytest.fixture
def page(opens: Opens) -> Page:
    """Open a watched page of a laptop's size."""
    return opens()
