"""A chip measured in a real browser, from a photo; a check by keyboard on a phone."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from playwright.sync_api import FilePayload, Page, expect

from partline.materials.supply import Clarity
from tests.browser.conftest import Opens
from tests.browser.driving import PHONE, Server, Watch, serving
from tests.process.bottles import measured, true_optics
from tests.studies.photo_chips import chip_photo

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """Serve a demo workshop of this module's own: its bottles are changed."""
    with serving("demo", tmp_path_factory.mktemp("chips")) as server:
        yield server


def test_a_photo_fills_the_form_and_the_chip_is_tried_and_kept(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    true = measured(true_optics(np.random.default_rng(3), Clarity.PEARL), Clarity.PEARL)
    page.goto(f"{demo.address}shelf/chip?name=Chalk")
    expect(page.locator("#editor:not([inert])")).to_be_visible()
    chosen: FilePayload = {
        "name": "chip.jpg", "mimeType": "image/jpeg", "buffer": chip_photo(true),
    }  # fmt: skip
    page.get_by_label("Photo of the chip").set_input_files(chosen)
    expect(page.locator("#photo-said")).to_contain_text("Read, and the photo is kept")
    expect(page.get_by_label("Step 4 over black")).not_to_have_value("")
    page.get_by_label("Colour in it, in 100 g").fill("3 drips")
    page.get_by_role("button", name="See what it changes").click()
    expect(page.locator("[data-question]")).to_contain_text("cannot be read as a loading")
    page.get_by_label("Colour in it, in 100 g").fill("3 drops")
    page.get_by_role("button", name="See what it changes").click()
    expect(page.locator("#effect")).to_contain_text(
        "Evidence: 8 colours at 1 mm, 2 mm, 3 mm, 4 mm"
    )
    page.get_by_role("button", name="Keep this chip").click()
    expect(page.get_by_role("status").first).to_contain_text("Kept; the shelf is now version 2")
    expect(page.locator(".lead")).to_contain_text("8 colours off a stepped chip of lot R0211-C2")
    kept = page.get_by_role("link", name="photo", exact=True).get_attribute("href")
    assert (
        page.request.get(f"{demo.address}{(kept or '')[1:]}").headers["content-type"]
        == "image/jpeg"
    )


def test_what_was_typed_off_an_instrument_outlives_a_reload_until_it_is_kept(
    page: Page, demo: Server, watch: Watch
) -> None:
    page.goto(f"{demo.address}shelf/chip?name=Rind")
    expect(page.locator("#editor:not([inert])")).to_be_visible()
    page.get_by_label("Step 2 over black").fill("25 0 20")
    page.get_by_label("Step 2 measured with a calliper").check()
    page.reload()
    expect(page.locator("#editor:not([inert])")).to_be_visible()
    expect(page.get_by_label("Step 2 over black")).to_have_value("25 0 20")
    expect(page.get_by_label("Step 2 measured with a calliper")).to_be_checked()
    expect(page.locator("#said")).to_contain_text("stands here again")


def test_a_photo_of_nothing_is_refused_and_what_was_typed_stays(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    page.goto(f"{demo.address}shelf/chip?name=Soot")
    expect(page.locator("#editor:not([inert])")).to_be_visible()
    page.get_by_label("Step 1 over white").fill("30 1 2")
    chosen: FilePayload = {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"a text"}
    page.get_by_label("Photo of the chip").set_input_files(chosen)
    expect(page.locator("#photo-said")).to_contain_text("JPEG")
    expect(page.get_by_label("Step 1 over white")).to_have_value("30 1 2")


def test_a_thermometer_is_checked_by_keyboard_on_a_phone(opens: Opens, demo: Server) -> None:
    page = opens(PHONE, color_scheme="dark")
    page.goto(f"{demo.address}bench")
    page.get_by_role("link", name="Check thermometer, scale and oven").press("Enter")
    form = page.locator("[data-kind=thermometer]")
    expect(page.locator("[data-kind=thermometer]:not([inert])")).to_be_visible()
    form.get_by_label("It reads").fill("95.9, 95.6, 96.2, 95.8, 95.7 °C")
    form.get_by_label("Height above the sea").fill("20 m")
    page.keyboard.press("Enter")
    expect(form).to_contain_text("It reads 4 K low against rolling water")
    form.get_by_role("button", name="Keep it").press("Enter")
    expect(page.locator(".done-line")).to_contain_text("Kept as version 2")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
