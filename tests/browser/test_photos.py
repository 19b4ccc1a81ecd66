"""Photos of a mould in a real browser: a mark beside the outline, a slice traced and saved."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from math import cos, pi, sin
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image, ImageDraw
from playwright.sync_api import FilePayload, Page, expect

from partline.materials.mould import SectionShape
from partline.quantities.estimate import Origin
from partline.services.workshop import open_at
from tests.browser.conftest import Opens
from tests.browser.driving import EXAMPLES, LAPTOP, PHONE, Server, Watch, serving

pytestmark = pytest.mark.browser

FRY = (EXAMPLES / "vessary-shed/moulds/fry-75.toml").read_text()
SAVED = re.compile("Saved as version")
EVERYTHING = {"resultTypes": ["violations"]}
#: Of the drawn photo: pixels in a millimetre, where the card's 0 and the slice's middle lie.
SCALE, ZERO, MIDDLE = 40, (100, 900), (800, 420)
#: Of the drawn slice. [mm]
WIDTH, BACK, BELLY = 11.0, 5.0, 4.0


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("photos")


@pytest.fixture(scope="module")
def demo(folder: Path) -> Iterator[Server]:
    """Serve a demo workshop of this module's own."""
    with serving("demo", folder) as server:
        yield server


def mould(server: Server, name: str) -> str:
    """Keep a mould of the test's own and return its page."""
    page = server.upload("mould.toml", FRY.replace('"fry-75"', f'"{name}"'))
    return f"{server.address}moulds/{page.rpartition('/')[2]}"


Places = list[tuple[float, float]]


def keel() -> Places:
    """A slice that is none of a station's plain shapes: flat flanks, and a keel below."""
    flank = [(0, -5), (3.8, -4.6), (5.5, -3.5), (5.5, 0), (4, 2), (2, 3), (0, 4)]
    both = flank + [(-across, down) for across, down in flank[-2:0:-1]]
    return [(MIDDLE[0] + across * SCALE, MIDDLE[1] + down * SCALE) for across, down in both]


def round_the_slice(count: int = 12) -> Places:
    angles = [2 * pi * k / count for k in range(count)]
    return [
        (
            MIDDLE[0] + cos(angle) * WIDTH / 2 * SCALE,
            MIDDLE[1] - sin(angle) * (BACK if sin(angle) > 0 else BELLY) * SCALE,
        )
        for angle in angles
    ]


def photo() -> bytes:
    """Draw a card with a scale and a two-coloured slice on it."""
    picture = Image.new("RGB", (1600, 1000), "#e9e4d6")
    pen = ImageDraw.Draw(picture)
    for mm in range(36):
        x = ZERO[0] + mm * SCALE
        pen.line((x, ZERO[1], x, ZERO[1] - (60 if mm % 5 == 0 else 30)), fill="#333333", width=3)
    x, y = MIDDLE
    half = WIDTH / 2 * SCALE
    pen.pieslice((x - half, y - BACK * SCALE, x + half, y + BACK * SCALE), 180, 360, "#6b4a22")
    pen.pieslice((x - half, y - BELLY * SCALE, x + half, y + BELLY * SCALE), 0, 180, "#c2b05a")
    file = BytesIO()
    picture.save(file, "PNG")
    return file.getvalue()


def choose(page: Page, kind: str, content: bytes, name: str = "slice.png") -> None:
    chosen: FilePayload = {"name": name, "mimeType": "image/png", "buffer": content}
    page.locator(f"#{kind}-choose").set_input_files(chosen)


def tap(page: Page, place: tuple[float, float]) -> None:
    """Tap a place of the photo, wherever and however large it is shown."""
    sheet = page.locator("#trace-sheet")
    box = sheet.locator("img").bounding_box()
    assert box is not None
    shown = box["width"] / 1600
    sheet.click(position={"x": place[0] * shown, "y": place[1] * shown})


def trace(page: Page, distance: str = "20 mm", places: Places | None = None) -> None:
    """Set every point of the drawn slice."""
    step = page.locator("#trace-step")
    expect(step).to_contain_text("Step 1 of 4")
    tap(page, ZERO)
    tap(page, (ZERO[0] + 20 * SCALE, ZERO[1]))
    page.locator("#trace-distance").fill(distance)
    expect(step).to_contain_text("Step 2 of 4")
    for place in places or round_the_slice():
        tap(page, place)
    page.get_by_role("button", name="The outline is complete").click()
    expect(step).to_contain_text("Step 3 of 4")
    tap(page, (MIDDLE[0] - WIDTH / 2 * SCALE, MIDDLE[1]))
    tap(page, (MIDDLE[0] + WIDTH / 2 * SCALE, MIDDLE[1]))
    expect(step).to_contain_text("Step 4 of 4")
    tap(page, (MIDDLE[0], MIDDLE[1] - BACK / 2 * SCALE))


def test_a_slice_is_traced_put_into_a_station_and_saved(
    page: Page, demo: Server, folder: Path, watch: Watch
) -> None:
    watch.allow(422)  # a new row is asked for, not asked about, until it is filled in
    page.goto(mould(demo, "traced"))
    choose(page, "slice", photo())
    trace(page)
    told = page.locator("#trace-told")
    expect(told).to_contain_text("11.0 mm wide and 9.")
    expect(told).to_contain_text("may be off by")
    page.get_by_label("Name of the station").fill("shoulder")
    page.get_by_role("button", name="Put it into the stations").click()
    expect(page.locator("#trace-said")).to_contain_text("Say first where along the bait")
    page.get_by_label("It lies at").fill("0.6")
    page.get_by_role("button", name="Put it into the stations").click()
    expect(page.locator("#trace-said")).to_contain_text("shoulder stands below")
    row = page.locator('[data-rows="stations"] [data-row]').nth(1)
    expect(row.locator('[data-key="name"]')).to_have_value("shoulder")
    expect(row).to_contain_text("measured in a photo")
    expect(row.get_by_label("Sizes may be off by")).to_have_value(re.compile(r"^\d\.?\d* %$"))
    page.get_by_role("button", name="Save as version 2").click()
    expect(page.get_by_role("status").filter(has_text=SAVED)).to_be_visible()
    expect(row).to_contain_text("measured")
    with open_at(folder) as workshop:
        kept = workshop.moulds.named("traced")
    station = kept.content.stations[1]
    assert (station.name, station.position) == ("shoulder", 0.6)
    assert station.shape is SectionShape.ELLIPTIC
    # A tap lands on a whole pixel of the screen, of which one is about 1.5 of the photo's.
    assert station.width * 1e3 == pytest.approx(WIDTH, abs=0.15)
    assert station.back_half * 1e3 == pytest.approx(BACK, abs=0.15)
    assert station.belly_half * 1e3 == pytest.approx(BELLY, abs=0.15)
    assert station.origin is Origin.MEASURED
    assert 0.02 < station.doubt < 0.1
    assert re.search(r'origin = "measured" *# traced in photo [0-9A-Z]{12}\n', kept.version.text)


def test_a_slice_like_no_plain_shape_becomes_the_outline_traced(
    page: Page, demo: Server, folder: Path, watch: Watch
) -> None:
    watch.allow(422)
    page.goto(mould(demo, "keeled"))
    choose(page, "slice", photo())
    for _ in range(2):
        page.get_by_role("button", name="Larger").click()
    trace(page, places=keel())
    chosen = page.get_by_role("group", name="What the station becomes")
    outline = chosen.get_by_role("radio", name="The outline as traced (proposed)")
    expect(outline).to_be_checked()
    expect(chosen).to_contain_text("none of a station's plain shapes")
    page.get_by_label("Name of the station").fill("belly")
    page.get_by_role("button", name="Put it into the stations").click()
    row = page.locator('[data-rows="stations"] [data-row]').first
    expect(row.locator('[data-key="shape"]')).to_have_value("outline")
    expect(row.locator('[data-key="width"]')).to_be_hidden()
    expect(row.locator("[data-cut] svg")).to_have_attribute(
        "aria-label", re.compile("1[01]\\.. mm")
    )
    # The maker may have the plain shape all the same, and change the mind once more.
    chosen.get_by_role("radio").first.check()
    page.get_by_role("button", name="Put it into the stations").click()
    expect(row.locator('[data-key="shape"]')).to_have_value(
        re.compile("elliptic|flat-bottomed|round")
    )
    expect(row.locator('[data-key="points"]')).to_be_hidden()
    outline.check()
    page.get_by_role("button", name="Put it into the stations").click()
    page.get_by_role("button", name="Save as version 2").click()
    expect(page.get_by_role("status").filter(has_text=SAVED)).to_be_visible()
    with open_at(folder) as workshop:
        kept = workshop.moulds.named("keeled")
    station = kept.content.stations[0]
    assert station.shape is SectionShape.OUTLINE
    assert station.width * 1e3 == pytest.approx(11.0, abs=0.15)
    assert station.belly_half * 1e3 == pytest.approx(4.0, abs=0.15)
    assert station.origin is Origin.MEASURED
    assert "traced in photo" in kept.version.text


def test_points_are_set_taken_back_and_completed_by_keyboard_alone(
    page: Page, demo: Server
) -> None:
    page.goto(mould(demo, "keys"))
    choose(page, "slice", photo())
    step = page.locator("#trace-step")
    expect(step).to_contain_text("Step 1 of 4")
    stage = page.get_by_role("application")
    expect(stage).to_be_focused()
    page.keyboard.press("Enter")  # shows the cross in the middle first
    page.keyboard.press("Enter")
    expect(step).to_contain_text("1 set")
    for _ in range(8):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    expect(step).to_contain_text("Step 2 of 4")
    for way in ("ArrowUp", "ArrowLeft", "ArrowLeft", "ArrowDown", "ArrowDown", "ArrowRight"):
        for _ in range(6):
            page.keyboard.press(way)
        page.keyboard.press("Enter")
    expect(step).to_contain_text("6 set")
    page.keyboard.press("Backspace")
    expect(step).to_contain_text("5 set")
    page.keyboard.press("c")
    expect(step).to_contain_text("Step 3 of 4")
    page.keyboard.press("Backspace")
    expect(step).to_contain_text("Step 2 of 4")
    page.keyboard.press("+")
    page.keyboard.press("Shift+ArrowLeft")
    expect(stage).to_be_focused()


def test_what_cannot_be_traced_is_told_and_the_points_stay(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(422)
    page.goto(mould(demo, "asked"))
    choose(page, "slice", photo())
    trace(page, "20")
    expect(page.locator("#trace-problem")).to_contain_text("20")
    expect(page.locator("#trace-found")).to_be_hidden()
    page.get_by_label("Between the two marks").fill("0 mm")
    expect(page.locator("#trace-problem")).to_contain_text("0 mm")
    page.get_by_label("Between the two marks").fill("20 mm")
    expect(page.locator("#trace-told")).to_contain_text("mm wide")
    expect(page.locator("#trace-problem")).to_be_hidden()


def test_a_mark_stands_beside_the_outline_and_a_photo_too_large_loses_nothing(
    page: Page, demo: Server, watch: Watch, tmp_path: Path
) -> None:
    watch.allow(422)
    page.goto(mould(demo, "marked"))
    page.get_by_label("Made of").fill("resin")
    choose(page, "bottom_mark", photo(), "mark.png")
    expect(page.locator("[data-mark] img")).to_be_visible()
    with (tmp_path / "huge.jpg").open("wb") as file:
        file.write(b"\xff\xd8\xff")
        file.truncate(200_000_000)  # a hole: nothing of it is held anywhere
    page.locator("#bottom_mark-choose").set_input_files(tmp_path / "huge.jpg")
    told = page.locator("#bottom_mark-problem")
    expect(told).to_contain_text("This photo is 200 MB; at most 20 MB is taken")
    choose(page, "bottom_mark", b"<svg onload='alert(1)'/>", "mark.png")
    expect(told).to_contain_text("whatever its name says")
    expect(page.get_by_label("Made of")).to_have_value("resin")
    page.get_by_role("button", name="Save as version 2").click()
    expect(page.get_by_role("status").filter(has_text=SAVED)).to_be_visible()
    expect(page.locator("[data-mark] img")).to_be_visible()


def test_a_slice_is_traced_on_a_phone_with_the_photo_made_larger(
    opens: Opens, demo: Server
) -> None:
    page = opens(PHONE, has_touch=True, is_mobile=True)
    page.goto(mould(demo, "phone"))
    choose(page, "slice", photo())
    expect(page.locator("#trace-step")).to_contain_text("Step 1 of 4")
    for _ in range(2):
        page.get_by_role("button", name="Larger").click()
    trace(page)
    expect(page.locator("#trace-told")).to_contain_text("wide and 9.")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    expect(page.locator("#slice-take")).to_have_attribute("capture", "environment")
    expect(page.locator("#slice-take")).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [LAPTOP, PHONE])
def test_axe_finds_nothing_while_a_slice_is_traced_and_after(
    opens: Opens, demo: Server, watch: Watch, scheme: str, size: tuple[int, int]
) -> None:
    watch.allow(422)
    page = opens(size, color_scheme=scheme, has_touch=size == PHONE)
    page.goto(mould(demo, f"axe {scheme} {size[0]}"))
    choose(page, "bottom_mark", photo(), "mark.png")
    expect(page.locator("[data-mark] img")).to_be_visible()
    choose(page, "slice", b"no photo")
    expect(page.locator("#slice-problem")).to_be_visible()
    choose(page, "slice", photo())
    trace(page, "20")
    expect(page.locator("#trace-problem")).to_be_visible()
    axe, found = Axe(), []
    found += axe.run(page, options=EVERYTHING).response["violations"]
    page.get_by_label("Between the two marks").fill("20 mm")
    expect(page.locator("#trace-told")).to_be_visible()
    found += axe.run(page, options=EVERYTHING).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"]) for each in found] == []


def test_a_guess_says_so_until_a_size_is_typed(page: Page, demo: Server) -> None:
    text = FRY.replace('"fry-75"', '"guessed"').replace(
        'shape = "elliptic"', 'origin = "default"\ndoubt = "40 %"\nshape = "elliptic"', 1
    )
    code = demo.upload("mould.toml", text).rpartition("/")[2]
    page.goto(f"{demo.address}moulds/{code}")
    row = page.locator('[data-rows="stations"] [data-row]').first
    doubt = row.get_by_label("Sizes may be off by")
    expect(row).to_contain_text("a guess (default)")
    expect(doubt).to_have_value("40 %")
    width = row.get_by_label("Width")
    before = width.input_value()
    width.fill("12.3 mm")
    expect(row).to_contain_text("was a guess; entered now")
    expect(doubt).to_have_value("")
    width.fill(before)
    expect(row).to_contain_text("a guess (default)")
    expect(doubt).to_have_value("40 %")
    width.fill("12.3 mm")
    page.get_by_role("button", name="Save as version 2").click()
    expect(page.get_by_role("status").filter(has_text=SAVED)).to_be_visible()
    expect(row).not_to_contain_text("guess")
    expect(doubt).to_have_value("")
