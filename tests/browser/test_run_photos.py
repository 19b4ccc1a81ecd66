"""Photos of a run in a real browser: sent, pointed at by finger and by keys, told to the run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import FilePayload, Page, expect

from partline.services.photo_measure import Subject
from partline.services.run_photos import shown_as, take_photo
from partline.services.workshop import open_at
from partline.studies.photo_card import Pocket
from tests.browser.conftest import Opens
from tests.browser.driving import LAPTOP, PHONE, Server, Watch, serving
from tests.services.photo_hand import with_photos
from tests.studies.photo_slices import middle_of, of_nothing, slices

pytestmark = pytest.mark.browser

EVERYTHING = {"resultTypes": ["violations"]}
#: Of the made-up photo. [pixel]
WIDTH = 2200


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Keep a run that was poured a week ago, with a figure of the day in it."""
    folder = tmp_path_factory.mktemp("photos")
    with with_photos(folder) as hand:
        hand.pour(7.5)
        hand.says("sprue", 0, line_width_mm=(0.4, 0.5, 0.6))
        code = hand.code
    return folder / "shed", code


@pytest.fixture(scope="module")
def demo(shed: tuple[Path, str]) -> Iterator[Server]:
    """Serve that workshop."""
    with serving("serve", shed[0]) as server:
        yield server


@pytest.fixture
def address(demo: Server, shed: tuple[Path, str]) -> str:
    """Address of the run's photos."""
    return f"{demo.address}runs/{shed[1]}/photos"


def send(page: Page, content: bytes, subject: str = "sprue slice") -> None:
    page.get_by_role("radio", name=subject).check()
    chosen: FilePayload = {"name": "sprue.jpg", "mimeType": "image/jpeg", "buffer": content}
    page.locator("#bait-choose").set_input_files(chosen)


def pictures_are_there(page: Page) -> None:
    page.evaluate("""async () => {
      for (const image of document.images) image.loading = "eager";
      await Promise.all([...document.images].map((image) => image.decode().catch(() => {})));
    }""")


def test_a_photo_is_sent_pointed_at_by_tap_and_by_keys_and_told(
    page: Page, address: str, shed: tuple[Path, str], watch: Watch
) -> None:
    folder, code = shed
    watch.allow(404, 422)  # the figure of the day has no photo behind it; a tap beside is refused
    photo = slices(0.6, 2.4)
    page.goto(address)
    send(page, photo)
    expect(page.get_by_text("Tell the run: no").first).to_be_visible(timeout=30_000)
    page.locator(".photo-cards a").first.click()
    step = page.locator("#point-step")
    expect(step).to_contain_text("No point set")
    sheet = page.locator("#point-sheet")
    box = sheet.locator("img").bounding_box()
    assert box is not None
    shown = box["width"] / WIDTH
    x, y = middle_of(photo, Pocket.SPRUE)
    sheet.click(position={"x": x * shown, "y": y * shown})
    expect(step).to_contain_text("One point")
    page.get_by_role("button", name="Measure").click()
    expect(page.get_by_text("where you pointed")).to_be_visible(timeout=30_000)
    expect(step).to_contain_text("No point set")  # the page is there anew, and listens
    # By keys alone: a cross is moved into nothing, and what stood stands.
    page.locator("#point-stage").focus()
    page.keyboard.press("Enter")
    for _ in range(5):
        page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    expect(step).to_contain_text("One point")
    page.get_by_role("button", name="Measure").click()
    expect(page.locator("#point-problem")).to_contain_text("What stood before stands.")
    page.locator("#point-stage").focus()
    page.keyboard.press("Backspace")
    expect(step).to_contain_text("No point set")
    page.goto(address)
    page.get_by_role("button", name="Tell the run: no").first.click()
    expect(page.get_by_text("Told to the run.")).to_be_visible()
    with open_at(folder) as workshop:
        last = workshop.runs.events(code)[-1]
    assert (last.data["look"], last.data["seen"]) == ("sprue_crisp", False)


def test_a_refused_photo_is_kept_by_a_press_and_nothing_that_was_typed_is_lost(
    page: Page, address: str, watch: Watch
) -> None:
    watch.allow(404, 422)
    page.goto(address)
    page.get_by_label("Which baits").fill("cavity 2")
    send(page, of_nothing(), "belly slice")
    problem = page.locator("#bait-problem")
    expect(problem).to_contain_text("No photo card was found", timeout=30_000)
    expect(problem).to_contain_text("Nothing was kept of it yet.")
    assert page.get_by_label("Which baits").input_value() == "cavity 2"
    page.get_by_role("button", name="Keep it anyway, unmeasured").click()
    kept = page.locator(".photo-cards li").first
    expect(kept).to_contain_text("Belly slice, day 7, cavity 2", timeout=30_000)
    expect(kept).to_contain_text("No photo card was found")


def test_axe_finds_nothing_on_the_pages_of_photos_light_or_dark_phone_or_laptop(
    page: Page, demo: Server, address: str, shed: tuple[Path, str], watch: Watch
) -> None:
    watch.allow(404, 422)
    folder, code = shed
    with open_at(folder) as workshop:
        take_photo(workshop, code, slices(0.6, 2.4), shown_as(Subject.SLICE))
    axe, found = Axe(), []
    page.goto(address)
    one = page.locator(".photo-cards a").first.get_attribute("href")
    assert one is not None
    for each in (address, f"{demo.address}{one.removeprefix('/')}", f"{demo.address}defects"):
        page.goto(each)
        pictures_are_there(page)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            for width, height in (LAPTOP, PHONE):
                page.set_viewport_size({"width": width, "height": height})
                answer = axe.run(page, options=EVERYTHING).response
                assert answer["passes"], "axe looked at nothing"
                found += [
                    f"{each} {scheme} {width}: {hit['id']} {node['target']}"
                    for hit in answer["violations"]
                    for node in hit["nodes"]
                ]
                over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
                assert over <= 0, f"{each} {width}: {over} px too wide"
    assert not found, "\n".join(found)


def test_thumbs_find_their_targets(opens: Opens, address: str, watch: Watch) -> None:
    watch.allow(404)
    page = opens(PHONE, has_touch=True)
    page.goto(address)
    small = page.evaluate(SMALL)
    assert small == []


#: WCAG 2.5.5 asks for 44 CSS pixels where a thumb points.
SMALL = """() => [...document.querySelectorAll("button, input, select, summary")]
  .filter((each) => each.checkVisibility())
  .map((each) => (each.matches("[type=radio]") ? each.closest("label") : each))
  .filter((each) => each.getBoundingClientRect().height < 43.5)
  .map((each) => each.outerHTML)"""
