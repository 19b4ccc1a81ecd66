"""Everybody gets in: checked by axe-core, by the keyboard alone, on a phone, with still eyes."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import Opens
from tests.browser.driving import LAPTOP, PHONE, Server, Watch, amount, open_editor

pytestmark = pytest.mark.browser

#: WCAG 2.5.5 asks for 44 CSS pixels where a thumb points; inline links in text are exempt.
TARGET = 44
EVERYTHING = {"resultTypes": ["violations"]}
#: Of axe's rules, those whose answer a scheme or a width can change; the page stays the same.
WHAT_STYLE_CHANGES = EVERYTHING | {
    "runOnly": ["color-contrast", "scrollable-region-focusable", "target-size", "label"]
}
#: WCAG 1.4.10: nothing scrolls sideways at this width.
NARROWEST = 320


def scenes(page: Page, demo: Server) -> Iterator[str]:
    """Lead a page from scene to scene of the whole tool and name each."""
    page.goto(demo.address)
    yield "start"
    page.goto(f"{demo.address}documents")
    yield "documents"
    page.goto(f"{demo.address}documents/shelf/{demo.code_of('shelf', 'shelf')}")
    yield "shelf"
    page.goto(f"{demo.address}documents/mould/{demo.code_of('mould', 'reed-130')}")
    yield "mould"
    yield from forms(page, demo)
    page.goto(f"{demo.address}plans/NOWHERE")
    yield "refusal"
    open_editor(page, demo, demo.code_of("recipe", "peat-over-chalk"))
    yield "editor"
    page.locator("#headline .why").first.click()
    yield "why"
    page.keyboard.press("Escape")
    amount(page, "Peat").fill("1,5 g")
    page.get_by_label("Good baits wanted").fill("some")
    expect(page.locator("[data-question]").first).to_be_visible()
    yield "question"
    amount(page, "Peat").fill("9 drops")
    page.get_by_label("Good baits wanted").fill("40")
    expect(page.locator("[data-question]")).to_have_count(0)
    page.get_by_role("button", name="Make the plan and the card").click()
    expect(page.locator("h1")).to_contain_text("Plan ")
    for summary in page.locator("details summary").all():
        summary.click()
    yield "plan"
    page.locator(".cup-card .why").first.click()
    yield "a plan's why"
    page.keyboard.press("Escape")
    for address in ("runs", "devices", "forecasts", "classes", "classes/exercise/1"):
        page.goto(f"{demo.address}{address}")
        yield address


def forms(page: Page, demo: Server) -> Iterator[str]:
    """Lead a page through the shelf's, the moulds' and the bench's forms."""
    checks = f"bench/{demo.code_of('bench', 'Vessary Shed')}/checks"
    for address in ("shelf", "shelf/supply?name=Rind", "shelf/chip?name=Rind",
                    "shelf/grade?name=soft", checks, "moulds", "moulds/new",
                    "bench/new"):  # fmt: skip
        page.goto(f"{demo.address}{address}")
        yield address
    page.goto(f"{demo.address}moulds/{demo.code_of('mould', 'fry-75')}")
    expect(page.locator('[data-body="side"] svg')).to_be_visible()
    yield "mould form"
    page.get_by_label("Length of a bait").fill("75")
    page.get_by_label("Width").first.fill("2")
    expect(page.locator("[data-question]")).to_have_count(2)
    yield "mould form asked"
    page.goto(f"{demo.address}bench/{demo.code_of('bench', 'Vessary Shed')}")
    yield "bench form"


def test_axe_finds_nothing_on_any_page_light_or_dark_phone_or_laptop(
    page: Page, demo: Server, watch: Watch
) -> None:
    watch.allow(404, 422)
    axe, found, seen = Axe(), [], []
    for scene in scenes(page, demo):
        seen.append(scene)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            for width, height in (LAPTOP, PHONE):
                page.set_viewport_size({"width": width, "height": height})
                whole = scheme == "light" and width == LAPTOP[0]
                answer = axe.run(page, options=EVERYTHING if whole else WHAT_STYLE_CHANGES)
                assert answer.response["passes"], "axe looked at nothing"
                found += [
                    f"{scene} {scheme} {width}: {each['id']} {node['target']}"
                    for each in answer.response["violations"]
                    for node in each["nodes"]
                ]
        page.set_viewport_size({"width": LAPTOP[0], "height": LAPTOP[1]})
    assert len(seen) == 26
    assert not found, "\n".join(found)


def test_nothing_scrolls_sideways_on_the_narrowest_screen_and_thumbs_find_their_targets(
    opens: Opens, demo: Server, watch: Watch
) -> None:
    watch.allow(404, 422)
    page = opens(PHONE, has_touch=True, is_mobile=False)
    wide, small = [], []
    for scene in scenes(page, demo):
        small += [f"{scene}: {each}" for each in page.evaluate(SMALL_TARGETS, TARGET)]
        page.set_viewport_size({"width": NARROWEST, "height": PHONE[1]})
        over = page.evaluate("() => document.documentElement.scrollWidth - window.innerWidth")
        if over > 0:
            wide.append(f"{scene}: {over} px too wide")
        page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    assert not wide
    assert not small, "\n".join(small)


SMALL_TARGETS = """(least) => {
  const scope = document.querySelector("dialog[open]") ?? document;
  return [...scope.querySelectorAll("a[href], button, input, select, textarea, summary")]
    .filter((each) => each.checkVisibility() && !each.matches(".skip"))
    .filter((each) => !(each.matches("a") && getComputedStyle(each).display === "inline"))
    .map((each) => [each,
      each.matches("[type=radio], [type=checkbox]") ? each.closest("label") : each])
    .map(([each, target]) => [each, target.getBoundingClientRect()])
    .filter(([, box]) => box.height < least - 0.5)
    .map(([each, box]) =>
      `${each.tagName} “${(each.innerText || each.id).trim()}” ${Math.round(box.height)} px high`);
}"""

#: Where the keyboard is now: which control, whether its ring shows, whether it is in sight.
FOCUSED = """() => {
  const it = document.activeElement;
  if (!it || it === document.body) return null;
  const all = [...document.querySelectorAll("*")];
  const box = it.getBoundingClientRect();
  const style = getComputedStyle(it);
  const [x, y] = [box.left + Math.min(box.width, 40) / 2, box.top + Math.min(box.height, 40) / 2];
  const top = document.elementFromPoint(x, y);
  return {
    place: all.indexOf(it),
    what: `${it.tagName} ${it.id} “${(it.innerText ?? "").slice(0, 30)}”`,
    ring: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    inSight: top !== null && (it.contains(top) || top.contains(it)),
  };
}"""
REACHABLE = """() => {
  const all = [...document.querySelectorAll("*")];
  const radio = (each) => each.type === "radio" && !each.checked;
  const controls = "a[href], button, input, select, textarea, summary, [tabindex='0']";
  return all.filter((each) => each.matches(controls) && !each.disabled
    && !radio(each) && each.checkVisibility({ visibilityProperty: true }))
    .map((each) => all.indexOf(each));
}"""


def walk(page: Page, key: str, wanted: set[int]) -> None:
    """Press a key until the focus leaves the page, or has come by every wanted place."""
    reached: set[int] = set()
    for _ in range(len(wanted) + 5):
        page.keyboard.press(key)
        here = page.evaluate(FOCUSED)
        if here is None or (key == "Shift+Tab" and reached >= wanted):
            assert reached >= wanted, "the focus never came by some controls"
            return
        assert here["ring"], f"{here['what']} shows no focus"
        assert here["inSight"], f"{here['what']} has the focus but is not in sight"
        reached.add(here["place"])
    pytest.fail("the focus went round and never left the page: a trap")


@pytest.mark.parametrize("size", [LAPTOP, PHONE], ids=["laptop", "phone"])
def test_the_keyboard_alone_reaches_every_control_sees_where_it_is_and_gets_out_again(
    opens: Opens, demo: Server, size: tuple[int, int]
) -> None:
    page = opens(size)
    open_editor(page, demo, demo.code_of("recipe", "peat-over-chalk"))
    wanted = set(page.evaluate(REACHABLE))
    assert len(wanted) > 60  # five stations of numbers, two sides of amounts, the rest
    walk(page, "Tab", wanted)
    # Backwards what comes into sight comes from above, where a phone's pictures stay in place.
    walk(page, "Shift+Tab", wanted)


def test_nothing_moves_where_the_system_asks_for_less_motion(opens: Opens, demo: Server) -> None:
    page = opens(reduced_motion="reduce")
    open_editor(page, demo, demo.code_of("recipe", "peat-over-chalk"))
    page.locator("#headline .why").first.click()
    moving = page.evaluate("""() => [...document.querySelectorAll("*")].filter((each) => {
      const style = getComputedStyle(each);
      return style.transitionDuration.split(", ").some((time) => parseFloat(time) > 0)
        || style.animationName !== "none" || style.scrollBehavior === "smooth";
    }).map((each) => each.tagName)""")
    assert moving == []
