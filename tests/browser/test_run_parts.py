"""The bench screen's parts, each by itself in a real browser: queue, clock, curve, pads."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Opens
from tests.browser.driving import Server

pytestmark = pytest.mark.browser


@pytest.fixture
def lab(opens: Opens, demo: Server) -> Page:
    """A page of the tool from which its modules can be loaded."""
    page = opens()
    page.goto(f"{demo.address}runs")
    page.evaluate("localStorage.clear()")
    return page


def run(page: Page, body: str) -> Any:
    return page.evaluate(f"async () => {{ {body} }}")


QUEUE = "const { shelf, sender, newId } = await import('/static/run-queue.js');"
CLOCK = "const { serverClock, left, gone } = await import('/static/run-clock.js');"
CUPS = "const { cupAt, shown } = await import('/static/run-cups.js');"


def test_ids_are_as_the_contract_wants_them_and_never_the_same(lab: Page) -> None:
    found = run(lab, QUEUE + """
      const ids = Array.from({ length: 5000 }, newId);
      return [ids.every((id) => /^[0-9A-Z]{16,26}$/.test(id)), new Set(ids).size];""")  # fmt: skip
    assert found == [True, 5000]


def test_taps_go_in_order_and_stay_until_each_is_acknowledged(lab: Page) -> None:
    found = run(lab, QUEUE + """
      const kept = shelf("ORDER");
      const seen = [];
      let isDown = true;
      const outbox = sender({ kept, onState() {}, tell() {}, timer: (call) => setTimeout(call, 5),
        post: async (events) => {
          if (isDown) return { status: 0, content: null };
          seen.push(...events.map((each) => each.n));
          return { status: 200, content: { kept: events.slice(0, 3).map((each) => each.id) } };
        } });
      for (let n = 0; n < 7; n += 1) outbox.add({ id: newId(), n });
      await new Promise((go) => setTimeout(go, 60));
      const waited = kept.waiting().map((each) => each.n);
      isDown = false;
      outbox.now();
      await new Promise((go) => setTimeout(go, 100));
      return [waited, seen, kept.waiting().length];""")  # fmt: skip
    waited, seen, left = found
    assert waited == [0, 1, 2, 3, 4, 5, 6]
    assert seen == [0, 1, 2, 3, 4, 5, 6, 3, 4, 5, 6, 6]  # what was not acknowledged, again
    assert left == 0


def test_a_full_store_keeps_the_tap_in_the_page_and_says_so(lab: Page) -> None:
    found = run(lab, QUEUE + """
      const full = { setItem() { throw new DOMException("full", "QuotaExceededError"); },
        getItem: () => null, removeItem() {} };
      const kept = shelf("FULL", () => full);
      const isKept = kept.keep({ id: newId(), kind: "stir" });
      const before = [isKept, kept.waiting().length, kept.isOnlyHere()];
      kept.drop(kept.waiting().map((each) => each.id));
      return [...before, kept.waiting().length, kept.isOnlyHere()];""")  # fmt: skip
    assert found == [False, 1, True, 0, False]


def test_one_tap_that_cannot_be_read_is_shown_and_holds_up_no_other(lab: Page) -> None:
    found = run(lab, QUEUE + """
      const kept = shelf("BAD");
      const outbox = sender({ kept, onState() {}, tell() {}, timer: (call) => setTimeout(call, 5),
        post: async (events) => ({ status: 422, content: {
          kept: events.filter((each) => each.kind).map((each) => each.id),
          problems: events.filter((each) => !each.kind)
            .map((each) => ({ id: each.id, message: "no kind" })),
        } }) });
      outbox.add({ id: newId(), kind: "stir" });
      outbox.add({ id: newId() });
      outbox.add({ id: newId(), kind: "stir" });
      await new Promise((go) => setTimeout(go, 100));
      return [kept.waiting().length, outbox.refused.map((each) => each.message)];""")  # fmt: skip
    assert found == [0, ["no kind"]]


def test_a_refusal_of_a_whole_request_sends_fewer_at_a_time(lab: Page) -> None:
    found = run(lab, QUEUE + """
      const kept = shelf("LARGE");
      const sizes = [];
      const outbox = sender({ kept, onState() {}, tell() {}, timer: (call) => setTimeout(call, 1),
        post: async (events) => {
          sizes.push(events.length);
          return events.length > 20 ? { status: 413, content: null }
            : { status: 200, content: { kept: events.map((each) => each.id) } };
        } });
      for (let n = 0; n < 90; n += 1) kept.keep({ id: newId(), n });
      outbox.now();
      await new Promise((go) => setTimeout(go, 300));
      return [kept.waiting().length, Math.min(...sizes) <= 20];""")  # fmt: skip
    assert found == [0, True]


def test_the_clock_takes_off_half_the_way_and_trusts_the_shortest_way_most(lab: Page) -> None:
    found = run(lab, CLOCK + """
      const start = Date.parse("2026-11-28T12:00:00.000Z");
      const server = (local) => start + (local - 1_000_000) + 5_000;  // true: 5 s ahead of start
      const clock = serverClock(() => 0);
      const iso = (time) => new Date(time).toISOString();
      // A way of 40 ms, then one of 3 s whose first leg took nearly all of it.
      clock.learn(iso(server(1_000_020)), 1_000_000, 1_000_040);
      clock.learn(iso(server(1_012_900)), 1_010_000, 1_013_000);
      return clock.at(1_020_000) - server(1_020_000);""")  # fmt: skip
    assert abs(found) <= 20  # half the shorter way, at most


def test_the_time_the_program_was_at_it_is_no_part_of_the_way(lab: Page) -> None:
    found = run(lab, CLOCK + """
      const clock = serverClock(() => 0);
      const start = Date.parse("2026-11-28T12:00:00.000Z");
      // 10 ms there, 800 ms of work, 10 ms back: at the end of the work it was `start`.
      clock.learn(new Date(start).toISOString(), 1_000_000, 1_000_820, { took: 800 });
      return clock.at(1_000_820) - start;""")  # fmt: skip
    assert found == 10


def test_the_clock_learns_anew_when_this_device_was_set(lab: Page) -> None:
    found = run(lab, CLOCK + """
      const clock = serverClock(() => 0);
      const iso = (time) => new Date(time).toISOString();
      const start = Date.parse("2026-11-28T12:00:00.000Z");
      clock.learn(iso(start), 1_000_000, 1_000_020);
      clock.learn(iso(start + 10_000), 1_000_000 + 3_610_000, 1_000_000 + 3_610_400);
      return clock.at(1_000_000 + 3_610_400) - (start + 10_000);""")  # fmt: skip
    assert abs(found) <= 200


def test_a_countdown_is_at_nought_only_when_it_is_over(lab: Page) -> None:
    found = run(lab, CLOCK + """return [left(83_000), left(82_999), left(1), left(0), left(-5),
      left(3_661_000), gone(999), gone(100_000)];""")  # fmt: skip
    assert found == ["1:23", "1:23", "0:01", "0:00", "0:00", "1:01:01", "0:00", "1:40"]


def test_a_practice_that_runs_faster_runs_faster_here_too(lab: Page) -> None:
    found = run(lab, CLOCK + """
      const clock = serverClock(() => 0);
      const start = Date.parse("2026-11-28T12:00:00.000Z");
      clock.learn(new Date(start).toISOString(), 1_000_000, 1_000_000,
        { practiceSpeed: 4 });
      return clock.at(1_010_000) - start;""")  # fmt: skip
    assert found == 40_000


def test_a_cup_is_read_between_the_points_of_its_curve_and_never_beyond_them(lab: Page) -> None:
    found = run(lab, CUPS + """
      const from = "2026-11-28T12:00:00.000Z";
      const cup = { curve_from: from, curve: [[0, 170, 169, 171], [5, 168, 166, 170]] };
      const at = (seconds) => cupAt(cup, Date.parse(from) + seconds * 1000);
      return [at(2.5), at(-9), at(900), shown(173.9, "F"), cupAt({}, 0)];""")  # fmt: skip
    assert found == [[169, 167.5, 170.5], [170, 169, 171], [168, 166, 170], 345, None]


def test_an_alarm_rings_once_though_its_forecast_moves_and_again_when_it_was_put_off(
    lab: Page,
) -> None:
    found = run(lab, """
      const { alarm } = await import('/static/run-alarm.js');
      const said = [];
      let now = 0;
      const bells = alarm({ now: () => now, say: (text) => said.push(text) });
      const timer = { key: "stop", label: "Stop", alarm: true };
      const see = (at) => bells.watch([{ ...timer, at: new Date(at) }]);
      const rings = [];
      for (const [time, at] of [[0, 9000], [9100, 9000], [9200, 9150], [9300, 9290], [9400, 9600],
        [9700, 9600], [9800, 40_000], [40_100, 40_000], [200_000, 40_000]]) {
        now = time;
        see(at);
        rings.push(said.length);
      }
      bells.quiet();
      return rings;""")  # fmt: skip
    assert found == [0, 1, 1, 1, 1, 1, 1, 2, 2]
