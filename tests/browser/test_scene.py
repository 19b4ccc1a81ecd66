"""Where the bait is looked at: turned, on another card, by another light, in a lake."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.driving import Server, Watch, open_editor, picture, pixels

pytestmark = pytest.mark.browser

VIEWS = ("back", "side", "belly", "turned")


def changes(page: Page, view: str, before: str) -> None:
    """Wait until a picture is another one."""
    for _ in range(100):
        if pixels(picture(page, view)) != before:
            return
        page.wait_for_timeout(100)
    pytest.fail(f"the {view} picture stays as it was")


def test_in_a_lake_each_view_has_a_second_picture_and_words(page: Page, demo: Server) -> None:
    open_editor(page, demo, demo.recipe("sunk"))
    for view in VIEWS:
        expect(picture(page, view)).to_be_visible()
        expect(picture(page, f"unadapted-{view}")).to_be_hidden()
    before = pixels(picture(page))
    page.locator("#where summary").click()
    expect(page.get_by_label("Depth")).to_be_hidden()
    page.get_by_label("In", exact=True).select_option("lake")
    expect(page.get_by_label("Depth")).to_have_value("1 m")
    expect(page.get_by_label("Jerlov’s type")).to_be_hidden()
    for view in VIEWS:
        expect(picture(page, f"unadapted-{view}")).to_be_visible()
    expect(page.locator("#scene-words")).to_contain_text("what a fish sees")
    changes(page, "back", before)
    assert pixels(picture(page)) != pixels(picture(page, "unadapted-back"))

    page.get_by_label("In", exact=True).select_option("sea")
    expect(page.get_by_label("Jerlov’s type")).to_have_value("II")
    expect(page.get_by_label("A white disk goes out of sight at")).to_be_hidden()
    page.get_by_label("In", exact=True).select_option("air")
    expect(picture(page, "unadapted-back")).to_be_hidden()
    expect(page.locator("#scene-words")).not_to_contain_text("fish")


def test_a_depth_that_cannot_be_is_asked_beside_its_field(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    open_editor(page, demo, demo.recipe("too deep"))
    page.locator("#where summary").click()
    page.get_by_label("In", exact=True).select_option("lake")
    expect(picture(page, "unadapted-back")).to_be_visible()
    depth = page.get_by_label("Depth")
    depth.fill("80 m")
    expect(page.get_by_text(re.compile("no light is left"))).to_be_visible()
    depth.fill("50 cm")
    expect(page.get_by_text(re.compile("no light is left"))).to_be_hidden()


def test_the_bait_is_turned_by_keyboard(page: Page, demo: Server) -> None:
    open_editor(page, demo, demo.recipe("turned by hand"))
    slider = page.get_by_role("slider", name="Turn the bait, in degrees")
    expect(slider).to_have_value("45")
    before = pixels(picture(page, "turned"))
    slider.focus()
    for _ in range(9):
        page.keyboard.press("ArrowRight")
    expect(slider).to_have_value("90")
    changes(page, "turned", before)
    expect(page.locator("#views")).to_have_attribute("aria-busy", "false")
    page.wait_for_function(
        """() => {
          const [side, turned] = ["side", "turned"].map((view) => {
            const image = document.querySelector(`img[data-view="${view}"]`);
            const canvas = document.createElement("canvas");
            canvas.width = image.naturalWidth;
            canvas.height = image.naturalHeight;
            canvas.getContext("2d").drawImage(image, 0, 0);
            return canvas.toDataURL();
          });
          return side === turned;
        }"""
    )


def test_a_card_and_a_light_change_the_pictures(page: Page, demo: Server) -> None:
    open_editor(page, demo, demo.recipe("lit"))
    seen = {pixels(picture(page))}
    for card in ("grey", "dark"):
        before = pixels(picture(page))
        page.get_by_role("radio", name=card).check()
        changes(page, "back", before)
        expect(page.locator("#views")).to_have_attribute("data-card", card)
        seen.add(pixels(picture(page)))
    before = pixels(picture(page))
    page.locator("#where summary").click()
    page.get_by_label("Light", exact=True).select_option("lamp")
    changes(page, "back", before)
    seen.add(pixels(picture(page)))
    assert len(seen) == 4


def test_the_strip_of_drops_is_not_called_as_it_is_now_after_a_change(
    page: Page, demo: Server
) -> None:
    open_editor(page, demo, demo.recipe("stripped"))
    page.get_by_role("button", name="Show fewer and more side by side").click()
    strip = page.locator("#drop-strip")
    expect(strip).to_contain_text("as it is now")
    page.get_by_role("radio", name="dark").check()
    expect(strip).not_to_contain_text("as it is now")
    expect(strip).to_contain_text("has changed since")
    page.get_by_role("button", name="Show fewer and more side by side").click()
    expect(strip).to_contain_text("as it is now")
