"""What the browser tests drive: a real server of its own, and pages that tell on themselves."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from queue import Empty, Queue
from threading import Thread

import httpx
from playwright.sync_api import BrowserContext, ConsoleMessage, Locator, Page, Route, expect

EXAMPLES = Path(__file__).parents[2] / "examples"
PHONE = (390, 844)
LAPTOP = (1366, 820)
#: A machine that is busy with other tests may need this long to start. [s]
PATIENCE = 60.0
#: On a machine that never ran it the kernels are compiled before the first look. [ms]
FIRST_LOOK = 100_000


def chromium() -> str:
    """Return the system's browser; where there is none a test fails, it is never skipped."""
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if found := shutil.which(name):
            return found
    message = "No Chromium on this machine. Run tools/ensure-browser.sh, then the tests again."
    raise FileNotFoundError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A running Partline and the ways to set a scene in it without a browser."""

    address: str
    token: str
    #: Number of its process.
    process: int

    def upload(self, name: str, text: str) -> str:
        """Keep a document and return its page."""
        answer = httpx.post(
            f"{self.address}documents?token={self.token}",
            files={"file": (name, text.encode())},
        )
        assert answer.status_code == 303, answer.text
        return answer.headers["location"]

    def recipe(self, name: str) -> str:
        """Keep the demo recipe's three versions under a name of its own; return its code."""
        page = ""
        for number in (1, 2, 3):
            text = (EXAMPLES / f"vessary-shed/recipes/peat-over-chalk-{number}.toml").read_text()
            page = self.upload("recipe.toml", text.replace('"peat-over-chalk"', f'"{name}"'))
        return page.rpartition("/")[2]

    def code_of(self, kind: str, name: str) -> str:
        """Return the code of a kept document by its name."""
        listed = httpx.get(f"{self.address}documents").text
        found = re.search(rf'/documents/{kind}/(\w+)">{re.escape(name)}<', listed)
        assert found, f"{name} is not listed"
        return found[1]


@contextmanager
def serving(command: str, workshop: Path) -> Iterator[Server]:
    """Run the installed program on a free port until the block ends."""
    program = Path(sys.executable).with_name("partline")
    arguments = [str(program), command, "--workshop", str(workshop), "--port", "0", "--no-open"]
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True) as process:
        said: Queue[str] = Queue()
        assert process.stdout is not None
        listener = Thread(target=lambda: said.put(process.stdout.readline()))  # type: ignore[union-attr]
        listener.start()
        try:
            ready, _, address = said.get(timeout=PATIENCE).strip().partition(" ")
            assert ready == "READY", f"said “{ready} {address}”"
            token = re.search(r'partline-token" content="([^"]+)"', httpx.get(address).text)
            assert token
            yield Server(address=address, token=token[1], process=process.pid)
        except Empty:
            message = f"partline {command} was not ready within {PATIENCE:.0f} s"
            raise AssertionError(message) from None
        finally:
            process.terminate()
            process.wait(timeout=PATIENCE)
            listener.join()


@dataclass
class Watch:
    """What a page must not do: call elsewhere, write errors, throw; and what a test expects."""

    home: str
    elsewhere: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)
    allowed: set[int] = field(default_factory=set)

    def over(self, context: BrowserContext) -> None:
        """Watch every page of a context; no request leaves this machine."""
        context.route("**/*", self._guard)
        context.on("console", self._console)
        context.on("weberror", lambda error: self.complaints.append(str(error.error)))

    def allow(self, *statuses: int) -> None:
        """Expect refusals: the browser reports each as an error of its own."""
        self.allowed.update(statuses)

    def _guard(self, route: Route) -> None:
        if route.request.url.startswith(self.home):
            route.continue_()
        else:
            self.elsewhere.append(route.request.url)
            route.abort()

    def _console(self, message: ConsoleMessage) -> None:
        status = re.search(r"responded with a status of (\d+)", message.text)
        if message.type in {"error", "warning"} and not (
            status and int(status[1]) in self.allowed
        ):
            self.complaints.append(message.text)

    def verify(self) -> None:
        """Fail when something was seen that must not be."""
        assert not self.elsewhere, f"asked for what is not on this machine: {self.elsewhere}"
        assert not self.complaints, f"the page wrote errors: {self.complaints}"


def picture(page: Page, view: str = "back") -> Locator:
    """Return one of the editor's pictures."""
    return page.locator(f'img[data-view="{view}"]')


def pixels(image: Locator) -> str:
    """Return what an image shows, as text to compare."""
    drawn: str = image.evaluate("""async (image) => {
      await image.decode();
      const canvas = document.createElement("canvas");
      canvas.width = image.naturalWidth;
      canvas.height = image.naturalHeight;
      canvas.getContext("2d").drawImage(image, 0, 0);
      return canvas.toDataURL();
    }""")
    return drawn


def open_editor(page: Page, server: Server, code: str, *, mould: str = "reed-130") -> None:
    """Open a recipe and wait for its look."""
    page.goto(f"{server.address}recipes/{code}?mould={mould}")
    expect(page.locator("#cups .cup-card").first).to_be_visible(timeout=FIRST_LOOK)


def amount(page: Page, supply: str) -> Locator:
    """Return the amount's field of a supply that stands in the recipe."""
    row = page.locator("[data-row]").filter(
        has=page.locator(f'select:has(option[value="{supply}"]:checked)')
    )
    return row.locator(".amount")
