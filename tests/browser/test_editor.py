"""The recipe editor: what is typed is answered at once, asked about when in doubt, never lost."""

from __future__ import annotations

import re

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Route, expect

from tests.browser.driving import Server, Watch, amount, open_editor, picture, pixels

pytestmark = pytest.mark.browser

RANGE = re.compile(r"\d\s*\d[\d.]*–\d")
#: Typed into an amount, and what the question must offer or say.
NONSENSE = [
    ("350 °C", "cannot be read as a loading", []),
    ("½ cup", "US cup (118 mL) or ½ metric cup (125 mL)", []),
    ("-3 drops", "at least 0 drops", []),
    ("1,5 g", "has a comma", ["1.5 g", "15 g"]),
    ("9", "has no unit", ["9 drops per 100 g", "9 g per 100 g"]),
]


def test_a_recipe_is_one_press_from_the_start_and_moving_an_amount_moves_everything(
    page: Page, demo: Server
) -> None:
    page.goto(demo.address)
    thumbnail = page.locator(".card-link img").first
    assert thumbnail.evaluate("(image) => image.decode().then(() => image.naturalWidth)") > 0
    page.get_by_role("link", name="peat-over-chalk", exact=False).first.click()
    expect(page.locator("#cups .cup-card").first).to_be_visible()
    expect(amount(page, "Peat")).to_have_value("9 drops")
    seen, headline = pixels(picture(page)), page.locator("#headline").inner_text()
    cups = page.locator("#cups").inner_text()

    slider = page.get_by_role("slider", name="Peat, drops per 100 g")
    slider.focus()
    top = slider.get_attribute("max")
    for _ in range(6):
        page.keyboard.press("ArrowLeft")

    expect(amount(page, "Peat")).to_have_value("3 drops")
    expect(page.locator("#advice-first li")).to_contain_text("Raise Peat from 3 to 9 drops")
    expect(page.locator("#headline")).to_contain_text("see-through")
    assert slider.get_attribute("max") == top, "the scale moved under the hand"
    assert pixels(picture(page)) != seen
    assert page.locator("#headline").inner_text() != headline
    assert page.locator("#cups").inner_text() != cups
    for number in page.locator(
        "#headline .why, #cups .why, #station-rows td:not(.needs) .why"
    ).all():
        assert RANGE.search(number.inner_text()), f"{number.inner_text()} has no range"

    page.get_by_role("button", name="Try 9 drops of Peat").click()
    expect(amount(page, "Peat")).to_have_value("9 drops")
    expect(page.locator("#headline")).not_to_contain_text("see-through")


def test_what_cannot_be_read_is_asked_beside_its_field_and_the_last_picture_stays(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    open_editor(page, demo, demo.recipe("asked"))
    seen, field = pixels(picture(page)), amount(page, "Peat")
    for typed, sentence, readings in NONSENSE:
        field.fill(typed)
        question = page.locator("[data-question]")
        expect(question).to_contain_text(sentence)
        expect(question.locator("button strong")).to_have_text(readings)
        expect(field).to_have_attribute("aria-invalid", "true")
        expect(field).to_have_accessible_description(re.compile(re.escape(sentence)))
        expect(page.locator("#stale")).to_be_visible()
        assert pixels(picture(page)) == seen
    page.get_by_role("button", name="9 drops per 100 g").click()
    expect(page.locator("[data-question]")).to_have_count(0)
    expect(field).not_to_have_attribute("aria-invalid", "true")
    expect(field).to_be_focused()
    expect(page.locator("#stale")).to_be_hidden()


def test_a_temperature_and_a_count_that_make_no_sense_are_asked_about_too(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    open_editor(page, demo, demo.recipe("asked too"))
    page.get_by_label("Start, with °C or °F").fill("350")
    page.get_by_role("button", name="350 °F").click()
    expect(page.get_by_label("Start, with °C or °F")).to_have_value("350 °F")
    expect(page.locator("[data-question]")).to_have_count(0)
    page.get_by_label("Good baits wanted").fill("some")
    expect(page.locator("[data-question]")).to_contain_text("is no number of baits")
    expect(page.get_by_label("Good baits wanted")).to_have_attribute("aria-invalid", "true")


def test_an_unsaved_change_survives_a_reload_and_saving_it_makes_the_next_version(
    page: Page, demo: Server
) -> None:
    open_editor(page, demo, demo.recipe("kept"))
    expect(page.locator(".version")).to_have_text("version 3")
    amount(page, "Peat").fill("12 drops")
    page.get_by_label("Good baits wanted").fill("20")
    expect(page.locator("#cups")).to_contain_text("22 to mould")
    page.reload()
    expect(page.locator("#restored")).to_be_visible()
    expect(amount(page, "Peat")).to_have_value("12 drops")
    expect(page.get_by_label("Good baits wanted")).to_have_value("20")
    page.get_by_role("button", name="Save as version 4").click()
    expect(page.locator(".version")).to_have_text("version 4")
    expect(amount(page, "Peat")).to_have_value("12 drops")
    expect(page.locator("#restored")).to_be_hidden()
    expect(page.get_by_label("Good baits wanted")).to_have_value("20")


def test_an_unsaved_change_can_be_let_go(page: Page, demo: Server) -> None:
    open_editor(page, demo, demo.recipe("let go"))
    amount(page, "Peat").fill("12 drops")
    page.reload()
    page.get_by_role("button", name="Let them go").click()
    expect(amount(page, "Peat")).to_have_value("9 drops")
    expect(page.locator("#restored")).to_be_hidden()


def test_a_save_after_somebody_elses_keeps_what_was_typed_and_follows_when_told_to(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(409)
    code = demo.recipe("shared")
    open_editor(page, demo, code)
    text = httpx.get(f"{demo.address}documents/recipe/{code}/file").text
    demo.upload("recipe.toml", text.replace("9 drops", "8 drops"))
    amount(page, "Peat").fill("12 drops")
    page.get_by_role("button", name="Save as version 4").click()
    expect(page.locator("#meanwhile")).to_contain_text("Nothing was overwritten")
    expect(page.locator("#meanwhile")).to_be_focused()
    expect(amount(page, "Peat")).to_have_value("12 drops")
    page.get_by_role("button", name="Save mine as version 5").click()
    expect(page.locator(".version")).to_have_text("version 5")
    expect(amount(page, "Peat")).to_have_value("12 drops")
    theirs = httpx.get(f"{demo.address}documents/recipe/{code}/file", params={"version": 4}).text
    assert "8 drops" in theirs


def test_why_opens_and_closes_by_the_keyboard_and_says_what_is_a_guess(
    page: Page, demo: Server
) -> None:
    open_editor(page, demo, demo.recipe("why"))
    number = page.locator("#headline .why").first
    number.focus()
    page.keyboard.press("Enter")
    dialog = page.get_by_role("dialog")
    expect(dialog).to_be_visible()
    expect(page.locator("#why-title")).to_be_focused()
    expect(page.locator("#why-narrows")).to_be_in_viewport()
    expect(page.locator("#why-narrows")).to_have_text(re.compile(r"on the printed card"))
    first = page.locator("#why-inputs tr").first
    expect(first.locator(".guess")).to_have_text(re.compile(r"guess \(default\)"))
    measured = page.locator("#why-inputs tr", has_text="Peat: drop mass")
    expect(measured).to_contain_text("measured, n = 50")
    expect(measured.locator(".guess")).to_have_count(0)
    page.keyboard.press("Escape")
    expect(dialog).to_be_hidden()
    expect(number).to_be_focused()


def test_markup_in_a_name_is_shown_as_it_was_typed(page: Page, demo: Server) -> None:
    name = '<script>alert(1)</script> "q" #x'
    page.on("dialog", lambda _: pytest.fail("the name ran as a script"))
    open_editor(page, demo, demo.recipe("to be renamed"))
    page.get_by_label("Recipe", exact=True).fill(name)
    page.get_by_role("button", name="Save as version 4").click()
    expect(page.locator(".version")).to_have_text("version 4")
    expect(page.get_by_label("Recipe", exact=True)).to_have_value(name)
    page.goto(demo.address)
    expect(page.locator(".card-link strong", has_text="alert(1)")).to_have_text(name)
    page.goto(f"{demo.address}documents")
    expect(page.locator("th a", has_text="alert(1)")).to_have_text(name)


def test_while_an_amount_moves_nothing_is_spoken_and_then_the_verdict_once(
    page: Page, demo: Server
) -> None:
    open_editor(page, demo, demo.recipe("spoken"))
    spoken = page.locator("#spoken")
    expect(spoken).to_contain_text("Back against belly")
    before = spoken.inner_text()
    slider = page.get_by_role("slider", name="Peat, drops per 100 g")
    slider.focus()
    spoken.evaluate("""(node) => {
      window.heard = [];
      const heard = new MutationObserver(() => window.heard.push(node.textContent));
      heard.observe(node, { childList: true });
    }""")
    for _ in range(6):
        page.keyboard.press("ArrowLeft", delay=40)
    expect(spoken).not_to_have_text(before)
    expect(spoken).to_contain_text("see-through")
    heard = page.evaluate("() => window.heard")
    assert len(heard) == 1, heard


def test_a_first_look_that_takes_long_says_so_until_it_is_there(page: Page, demo: Server) -> None:
    code = demo.recipe("patient")
    held: list[Route] = []
    page.route("**/look", lambda route: held.append(route))
    page.goto(f"{demo.address}recipes/{code}")
    expect(page.locator("#waiting")).to_contain_text("Getting ready to draw")
    held[0].continue_()
    expect(page.locator("#headline")).to_contain_text("Back against belly")
    expect(page.locator("#waiting")).to_be_empty()


def test_before_the_first_picture_there_is_an_empty_card_that_fits_the_phone(
    page: Page, demo: Server
) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.route("**/look", lambda _: None)  # never answered
    page.goto(f"{demo.address}recipes/{demo.code_of('recipe', 'peat-over-chalk')}")
    expect(page.locator("#views .pair").first).to_be_visible()
    for image in page.locator("#views img").all():
        expect(image).not_to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_second_plastisol_is_blended_by_resin_and_out_of_reach_is_said(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    open_editor(page, demo, demo.recipe("blended"))
    back = page.locator('[data-side="back"]')
    back.get_by_role("button", name="Blend with a second plastisol").click()
    expect(back.get_by_label("Second plastisol")).to_have_value("medium")
    back.get_by_label("Resin wanted, with %").fill("25 %")
    back.get_by_role("button", name="Work out the shares").click()
    expect(back.locator("[data-question]")).to_contain_text("Nearest is medium alone, 18 %")
    back.get_by_label("Resin wanted, with %").fill("16 %")
    back.get_by_role("button", name="Work out the shares").click()
    expect(back.get_by_label("Share of plastisol 1, by mass")).to_have_value("66.7 %")
    expect(page.locator("#cups .cup-card").first).to_contain_text("medium")
    page.reload()  # what was typed comes back, the second plastisol too
    expect(back.get_by_label("Share of plastisol 2, by mass")).to_have_value("33.3 %")
    page.get_by_label("Why this version").fill("a firmer back")
    page.get_by_role("button", name="Save as version 4").click()
    expect(page.locator("section[aria-labelledby=versions]")).to_contain_text("a firmer back")
    page.get_by_role("link", name="What changed from version 3 to 4").click()
    expect(page.locator("section[aria-labelledby=changed]")).to_contain_text(
        "Back: plastisol from soft to 66.7 % soft + 33.3 % medium."
    )
    for image in page.locator(".views img").all():
        assert image.evaluate("(image) => image.decode().then(() => image.naturalWidth)") > 0
    assert not Axe().run(page).response["violations"]
    page.goto(f"{demo.address}spoons?supply=Penny")
    assert not Axe().run(page).response["violations"]
