"""Shelf, moulds and bench by hand: asked beside the field, drawn as typed, never lost."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, Route, expect

from tests.browser.conftest import Opens
from tests.browser.driving import EXAMPLES, Server, Watch, serving

pytestmark = pytest.mark.browser

FRY = (EXAMPLES / "vessary-shed/moulds/fry-75.toml").read_text()
SAVED = re.compile("Saved as version")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """Serve a demo workshop of this module's own: its benches must not be another test's."""
    with serving("demo", tmp_path_factory.mktemp("forms")) as server:
        yield server


def mould(server: Server, name: str) -> str:
    """Keep a mould of the test's own and return its page."""
    page = server.upload("mould.toml", FRY.replace('"fry-75"', f'"{name}"'))
    return f"{server.address}moulds/{page.rpartition('/')[2]}"


def station(page: Page, place: int, key: str) -> Locator:
    return page.locator(f'[data-path="stations[{place}].{key}"]')


def test_a_bottle_is_added_and_what_is_left_in_it_stands_on_the_shelf(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    page.goto(f"{demo.address}shelf")
    page.get_by_role("link", name="Add a colourant").click()
    page.get_by_label("Name", exact=True).fill("Mud")
    page.get_by_label("What it does to light").select_option("clear")
    page.get_by_label("Full jar weighs").fill("35 g")
    page.get_by_label("Empty jar weighs").fill("52 g")
    page.get_by_role("button", name="Save", exact=True).click()
    question = page.locator("[data-question]")
    expect(question).to_contain_text("more than the 35 g of jar and content together")
    expect(page.get_by_label("Empty jar weighs")).to_be_focused()
    page.get_by_label("Empty jar weighs").fill("12 g")
    expect(question).to_have_count(0)
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("status").filter(has_text=SAVED)).to_contain_text("Mud: new")
    expect(page.get_by_role("row", name="Mud")).to_contain_text("23.0 g")


def test_a_bottles_colour_is_picked_its_drop_weighed_and_a_new_lot_of_it_taken(
    page: Page, demo: Server
) -> None:
    page.goto(f"{demo.address}shelf/supply?kind=colourant")
    page.get_by_label("Name", exact=True).fill("Dusk")
    colour = page.get_by_label("Colour over white", exact=True)
    picker = page.get_by_label("Pick the colour: Colour over white")
    picker.fill("#7a5a2b")
    expect(colour).to_have_value("#7a5a2b")
    colour.fill("#c9a46b")
    expect(picker).to_have_value("#c9a46b")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("status").filter(has_text=SAVED)).to_contain_text("Dusk: new")
    page.get_by_role("link", name="Dusk").click()
    expect(page.get_by_label("Colour over white", exact=True)).to_have_value("#c9a46b")
    page.get_by_role("link", name="Measure it with a chip, or weigh its drop").click()
    weighing = page.get_by_role("region", name="What a drop weighs")
    weighing.get_by_label("Drops").fill("50")
    weighing.get_by_label("They weigh").fill("1.5 g")
    weighing.get_by_role("button", name="Work it out").click()
    expect(weighing.get_by_role("status")).to_contain_text("after 30.0 (28.6–31.4) mg")
    weighing.get_by_role("button", name="Keep it").click()
    expect(weighing).to_contain_text("Now: 30.0 mg (28.6–31.4), measured")
    lots = page.get_by_role("region", name="A new lot, by eye")
    lots.get_by_label("Drops of the old, in 100 g").fill("9")
    lots.get_by_label("Drops of the new that look alike").fill("7")
    lots.get_by_label("Code of the new lot").fill("R0500-A1")
    lots.get_by_role("button", name="Work it out").click()
    expect(lots.get_by_role("status")).to_contain_text("The new lot against the old: 1.29")
    lots.get_by_role("button", name="Use the new lot from now on").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("lot R0500-A1 in use")
    expect(lots).to_contain_text("Strength now: 1.29")


def test_a_save_pressed_before_the_form_listens_loses_nothing(
    page: Page, demo: Server, watch: Watch
) -> None:
    """On a slow machine the script comes after the form; the browser once sent it elsewhere."""
    watch.allow(422)

    def late(route: Route) -> None:
        page.wait_for_timeout(1500)
        route.continue_()

    page.route("**/edit.js*", late)
    page.goto(f"{demo.address}shelf/supply?kind=colourant", wait_until="commit")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("[data-question]").first).to_be_visible()


def test_a_mould_is_drawn_as_it_is_typed_and_asked_about_where_it_cannot_be(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    page.goto(mould(demo, "drawn"))
    side = page.locator('[data-body="side"] svg')
    expect(side).to_have_attribute("aria-label", re.compile("belly 8.0 mm"))
    station(page, 0, "back_half").fill("5 mm")
    expect(side).to_have_attribute("aria-label", re.compile("belly 9.0 mm"))

    for typed, says in (("0 mm", "0 mm"), ("-3 mm", "-3 mm"), ("11 in", "11 in")):
        station(page, 0, "width").fill(typed)
        expect(page.locator("[data-question]")).to_contain_text(says)
        expect(page.locator("#stale")).to_be_visible()
        expect(station(page, 0, "width")).to_have_attribute("aria-invalid", "true")
    station(page, 0, "width").fill("2")
    page.get_by_role("button", name="2 mm").click()
    expect(station(page, 0, "width")).to_have_value("2 mm")
    expect(page.locator("[data-question]")).to_have_count(0)
    station(page, 0, "width").fill("11 mm")
    station(page, 2, "back_half").fill("9 mm")
    expect(page.locator("[data-question]")).to_contain_text("thicker than")
    expect(side).to_have_attribute("aria-label", re.compile("belly 9.0 mm"))


def test_an_outline_is_drawn_point_by_point_and_a_hollow_asked_about_at_its_point(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    page.goto(mould(demo, "outlined"))
    row = page.locator('[data-rows="stations"] [data-row]').first
    points = station(page, 0, "points")
    expect(row.locator("[data-cut] svg")).to_have_attribute("aria-label", re.compile("belly"))
    expect(points).to_be_hidden()
    station(page, 0, "shape").select_option("outline")
    expect(points).to_be_visible()
    for size in ("width", "back_half", "belly_half"):
        station(page, 0, size).fill("")
        expect(station(page, 0, size)).to_be_hidden()
    points.fill("0 mm, 4.2 mm\n3.1, 3.4 mm\n3, 0.5 mm\n4, -2 mm\n0, -5 mm")
    expect(row.locator("[data-question]")).to_contain_text("nearest that would do is 3.59 mm")
    expect(points).to_have_attribute("aria-invalid", "true")
    points.fill("0 mm, 4.2 mm\n3.1, 3.4 mm\n5, 0.5 mm\n4, -2 mm\n0, -5 mm")
    drawn = row.locator("[data-cut] svg")
    expect(drawn).to_have_attribute("aria-label", re.compile("10.0 mm wide, back half 4.2 mm"))
    assert (drawn.locator("path").first.get_attribute("d") or "").count("L") == 7
    page.get_by_role("button", name="Save as version 2").click()
    expect(page.get_by_role("status").filter(has_text=SAVED)).to_be_visible()
    expect(points).to_have_value(re.compile("3.1 mm, 3.4 mm"))
    found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"]) for each in found] == []


def test_a_round_body_that_is_not_is_put_right_by_one_press(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    page.goto(mould(demo, "rounded"))
    station(page, 0, "shape").select_option("round")
    page.get_by_role("button", name="elliptic").click()
    expect(station(page, 0, "shape")).to_have_value("elliptic")
    expect(page.locator("[data-question]")).to_have_count(0)


def test_a_mould_is_weighed_given_a_station_saved_and_still_there(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)  # a new row is asked for, not asked about, while it is typed
    page.goto(mould(demo, "weighed"))
    page.get_by_label("Whole shot").fill("32.4 g")
    page.get_by_label("Sprue and runner alone").fill("7.2 g")
    page.get_by_role("button", name="Work out the mass").click()
    expect(page.get_by_label("Mass of one bait")).to_have_value(re.compile(r"^4\.2 ± "))
    page.get_by_role("button", name="Insert before").nth(1).click()
    expect(station(page, 1, "name")).to_be_focused()
    for key, typed in (("name", "shoulder"), ("position", "0.6"), ("width", "9 mm"),
                       ("back_half", "3 mm"), ("belly_half", "3 mm")):  # fmt: skip
        station(page, 1, key).fill(typed)
    station(page, 1, "shape").select_option("elliptic")
    page.reload()
    expect(page.locator("#restored")).to_be_visible()
    expect(station(page, 1, "name")).to_have_value("shoulder")
    page.get_by_role("button", name="Save as version 2").click()
    expect(page.get_by_role("status").filter(has_text=SAVED)).to_be_visible()
    expect(station(page, 1, "name")).to_have_value("shoulder")
    expect(page.get_by_label("Mass of one bait")).to_have_value(re.compile(r"4\.2 ± .*n = 6"))
    expect(page.locator("#restored")).to_be_hidden()


def test_of_two_at_one_mould_the_second_is_told_and_keeps_what_was_typed(
    opens: Opens, demo: Server, watch: Watch
) -> None:
    watch.allow(409)
    address = mould(demo, "both")
    one, other = opens(), opens()
    for page in (one, other):
        page.goto(address)
    one.get_by_label("Gate, narrowest").fill("4 mm")
    one.get_by_role("button", name="Save as version 2").click()
    expect(one.get_by_role("status").filter(has_text=SAVED)).to_be_visible()

    other.get_by_label("Made of").fill("resin")
    other.get_by_role("button", name="Save as version 2").click()
    expect(other.locator("#meanwhile")).to_contain_text("Nothing was overwritten")
    expect(other.locator("#meanwhile")).to_be_focused()
    expect(other.get_by_label("Made of")).to_have_value("resin")
    other.get_by_role("button", name="Save mine as version 3").click()
    expect(other.get_by_role("status").filter(has_text=SAVED)).to_be_visible()
    expect(other.get_by_label("Made of")).to_have_value("resin")
    expect(other.get_by_label("Gate, narrowest")).to_have_value("4 mm")


def test_my_block_wastes_14_g_is_said_once_and_shows_what_it_changes(
    page: Page, demo: Server
) -> None:
    bench = demo.upload(
        "bench.toml",
        (EXAMPLES / "vessary-shed/bench.toml").read_text().replace('"Vessary Shed"', '"Corner"'),
    ).rpartition("/")[2]
    made = page.request.post(
        f"{demo.address}plans",
        headers={"X-Partline-Token": demo.token, "Accept": "application/json"},
        data={"recipe": demo.code_of("recipe", "peat-over-chalk"), "version": 3,
              "mould": demo.code_of("mould", "reed-130"), "bench": bench, "count": "40"},
    ).json()  # fmt: skip
    page.goto(f"{demo.address}bench/{bench}")
    expect(page.get_by_role("heading", name="Plans made before this version")).to_have_count(0)
    page.get_by_label("Block, both sides, a shot").fill("14 g")
    page.get_by_role("button", name="Save as version 2").click()
    row = page.get_by_role("row", name=made["code"])
    expect(row).to_contain_text(re.compile(r"A: 297\.9 → 3\d\d\.\d g"))
    page.goto(f"{demo.address}plans/{made['code']}")
    expect(page.locator(".cup-card .big").first).to_contain_text("162.1 g")
