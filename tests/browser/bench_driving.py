"""A workshop whose program can be killed and started again on its port; runs to drive in it."""

from __future__ import annotations

import re
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
from playwright.sync_api import Page, expect

from partline.services.runcard import keep_plan
from partline.services.workshop import load_demo, open_at
from tests.browser.driving import PATIENCE

Json = dict[str, Any]
#: A name that is no secure context; the browser is told that it is this machine.
NAME = "bench.test"
ROOT = Path(__file__).parents[2]


def free_port() -> int:
    """Return a port that nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@dataclass
class BenchServer:
    """The program over one folder, on one port, started as often as it is killed."""

    folder: Path
    plan: str
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | None = None

    def address(self, host: str = "127.0.0.1") -> str:
        return f"http://{host}:{self.port}"

    def start(self) -> None:
        command = [sys.executable, "-m", "tests.browser.opened_program"]
        self.process = subprocess.Popen(
            [*command, str(self.folder), str(self.port), NAME], cwd=ROOT
        )
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            assert self.process.poll() is None, "the program ended as it started"
            try:
                httpx.get(f"{self.address()}/runs", timeout=5)
            except httpx.TransportError:
                time.sleep(0.1)
            else:
                return
        message = f"the program did not answer within {PATIENCE:.0f} s"
        raise AssertionError(message)

    def kill(self) -> None:
        """Kill −9: nothing is tidied up."""
        assert self.process is not None
        self.process.kill()
        self.process.wait(timeout=PATIENCE)

    def token(self) -> str:
        found = re.search(r'partline-token" content="([^"]+)"', httpx.get(self.address()).text)
        assert found
        return found[1]

    def begin(self) -> str:
        """Begin a run of the plan and return its code."""
        answer = httpx.post(
            f"{self.address()}/runs?token={self.token()}", data={"plan": self.plan}, timeout=60
        )
        assert answer.status_code == 303, answer.text
        return answer.headers["location"].rpartition("/")[2]

    def state(self, code: str) -> Json:
        state: Json = httpx.get(f"{self.address()}/runs/{code}/state", timeout=60).json()
        return state

    def tell(self, code: str, *events: Json) -> Json:
        """Send events as a second device does; return the answer."""
        answer = httpx.post(
            f"{self.address()}/runs/{code}/events",
            json={"device": "other", "events": list(events)},
            headers={"X-Partline-Token": self.token()},
            timeout=60,
        )
        assert answer.status_code == 200, answer.text
        told: Json = answer.json()
        return told

    def heat(self, code: str, *more: Json) -> None:
        """Tell all that happens until both cups wait for their start, and what follows."""
        state = self.tell(code, *heated())["state"]
        while state["screen"]["key"].startswith("add-"):
            given = state["screen"]["controls"][0]["event"]
            state = self.tell(code, event(given["kind"], given["cup"], **given["data"]))["state"]
        if more:
            self.tell(code, *more)

    def told(self, code: str) -> list[str]:
        """Return the ids of all events that are kept, read from the file itself."""
        with open_at(self.folder) as workshop:
            return [event.id for event in workshop.runs.events(code)]


def event(kind: str, cup: str | None = None, *, ago: float = 0.0, **data: Any) -> Json:
    """Return an event of a second device, so many seconds ago."""
    at = datetime.now(UTC) - timedelta(seconds=ago)
    stamp = at.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    return {
        "id": secrets.token_hex(10).upper(),
        "kind": kind,
        "cup": cup,
        "at": stamp,
        "data": data,
    }


def heated(*, ago: float = 1.0) -> list[Json]:
    """Return what happens up to a cup pair that was just read and waits for its start."""
    before = [event("set_up", ago=ago + 400, missing=[])]
    for cup in ("A", "B"):
        before += [
            event("weigh", cup, ago=ago + 300, entered="162.1 g", grams=162.1),
            event("burst", cup, ago=ago + 200, seconds=100),
            event("stir", cup, ago=ago + 60),
        ]
    readings = [
        event("reading", cup, ago=ago + wait, entered=entered, unit="C", celsius=float(entered))
        for wait, entered in ((40.0, "174.0"), (0.0, "168.6"))
        for cup in ("A", "B")
    ]
    return before + readings


def planned(folder: Path) -> str:
    """Make the demo workshop with one plan of it; return the plan's code."""
    with open_at(folder) as workshop:
        load_demo(workshop)
        recipe = workshop.recipes.named("peat-over-chalk").version
        mould = workshop.moulds.named("reed-130").version
        bench = workshop.benches.named("Vessary Shed").version
        plan = keep_plan(
            workshop, recipe_id=recipe.document_id, recipe_version=recipe.number,
            mould_id=mould.document_id, bench_id=bench.document_id, good=40,
        )  # fmt: skip
        return plan.code


@contextmanager
def bench_serving(folder: Path) -> Iterator[BenchServer]:
    """Run the program over a demo workshop with a plan until the block ends."""
    server = BenchServer(folder=folder, plan=planned(folder))
    server.start()
    try:
        yield server
    finally:
        server.kill()


def open_bench(page: Page, server: BenchServer, code: str, host: str = "127.0.0.1") -> None:
    """Open a run's screen and wait until it has drawn its bar, or the keys of a reading."""
    page.goto(f"{server.address(host)}/runs/{code}")
    expect(page.locator(":is(#bar, #panel) button:visible").last).to_be_visible()


#: The next change of the running digits: what they show then, and this machine's time of it.
NEXT_CHANGE = """() => new Promise((resolve) => {
  const number = document.getElementById("number");
  new MutationObserver((_, watcher) => {
    watcher.disconnect();
    resolve([number.textContent, (window.trueNow ?? Date.now)()]);
  }).observe(number, { childList: true, characterData: true, subtree: true });
})"""


def seconds_off(page: Page, until: str) -> float:
    """Return how far the digits are from the truth as they change. [s]"""
    text, at = page.evaluate(NEXT_CHANGE)
    minutes, _, seconds = text.rpartition(":")
    shown = int(minutes or 0) * 60 + int(seconds)
    true = datetime.fromisoformat(until).timestamp() - at / 1000
    return shown - true
