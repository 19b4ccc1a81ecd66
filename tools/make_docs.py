"""Remake what the documents take from the code: command line, verification, the picture.

Run by ``make docs``. A test holds the command-line page and the list of checks in step.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

# The ready tables alone: what is printed must not hang on what this machine has traced.
os.environ["PARTLINE_TABLES"] = tempfile.mkdtemp()
ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
COMMANDS = (
    "", "demo", "serve", "check", "look", "compare", "match", "plan", "card", "heat", "cool",
    "open", "shots", "run", "run list", "run begin", "run show", "run tell", "run export",
    "run pin", "run aside", "run changed", "run find", "run photos", "luck", "verdict", "learn",
    "forecasts",
    "class", "class begin", "class cards", "class wall", "class exercise", "class results",
    "shelf", "bottle", "chip", "grade", "instrument", "mould", "photo-card", "photo", "photo-due",
    "tables", "bench", "keep", "export", "import",
)  # fmt: skip
VIEWS = ("back", "side", "belly")


def command_line() -> str:
    """Return the command-line page: every command's own help, as it prints it."""
    program = Path(sys.executable).with_name("partline")
    parts = [
        "# Command line\n",
        "Made by `make docs` from the program's own help; do not edit.\n",
        "Exit status: 0 answered, 2 refused with a sentence that says what to do, 1 a fault of "
        "ours. With `--json` the answer, or the refusal, is JSON on standard output "
        "([keys and units](answers.md)).\n",
    ]
    for command in COMMANDS:
        words = [str(program), *command.split(), "--help"]
        done = subprocess.run(
            words,
            capture_output=True,
            text=True,
            check=True,
            env={"COLUMNS": "96", "PATH": "/usr/bin:/bin", "HOME": "/tmp"},
        )
        parts.append(f"## `{' '.join(['partline', command]).strip()}`\n")
        parts.append(f"```text\n{done.stdout.strip()}\n```\n")
    return "\n".join(parts)


@dataclass
class Checks:
    """A pytest plugin that gathers the published checks and how far off each came out."""

    marks: dict[str, dict[str, str]] = field(default_factory=dict)
    deviations: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    failed: bool = False

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Note each check's source."""
        for item in items:
            mark = item.get_closest_marker("published")
            if mark is not None:
                self.marks[item.nodeid] = {key: str(value) for key, value in mark.kwargs.items()}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note each check's deviation."""
        self.failed |= report.failed
        for key, value in report.user_properties:
            if key == "deviation" and report.when == "call":
                self.deviations[report.nodeid].append(float(str(value)))


def law_of(node: str, mark: dict[str, str]) -> str:
    """Return what a check is about: the mark's law, or the test's own sentence."""
    sentence = node.split("::")[-1].split("[")[0].removeprefix("test_").replace("_", " ")
    return mark.get("law", sentence)


def verification(checks: Checks) -> str:
    """Return the verification page."""
    rows: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    counts: dict[tuple[str, str, str], int] = defaultdict(int)
    for node, mark in checks.marks.items():
        key = (law_of(node, mark), mark["source"], mark["where"])
        counts[key] += 1
        rows[key] += checks.deviations.get(node, [])
    lines = [
        "# Verification\n",
        "Made by `make docs` from the tests under `tests/published`; do not edit. Each row is one "
        "thing checked against something outside this project. The deviation is the largest one "
        "met, in the unit of the check; the tolerance and its reason stand in the test.\n",
        "| what | source | place | checks | largest deviation |",
        "|---|---|---|---:|---:|",
    ]
    for (law, source, where), found in sorted(rows.items()):
        worst = f"{max(map(abs, found)):.1e}" if found else "within the test's tolerance"
        lines.append(f"| {law} | {source} | {where} | {counts[law, source, where]} | {worst} |")
    return "\n".join(lines) + "\n"


def gather() -> Checks:
    """Run the published checks."""
    checks = Checks()
    where = [str(ROOT / "tests" / "published"), "-q", "--no-header", "-p", "no:cacheprovider"]
    if pytest.main(where, plugins=[checks]) != 0 or checks.failed:
        raise SystemExit("A published check fails; the page was not remade.")
    return checks


def picture() -> None:
    """Write the README's picture: version 1 above version 3 of the demo recipe."""
    from partline.process.rendering import Backdrop, View
    from partline.records.exchange import read_file, read_mould, read_recipe, read_shelf
    from partline.services.look import draw_pictures

    shed = ROOT / "examples" / "vessary-shed"
    shelf = read_shelf(read_file(shed / "shelf.toml"))
    mould = read_mould(read_file(shed / "moulds" / "reed-130.toml"))
    bands = []
    for version in (1, 3):
        recipe = read_recipe(read_file(shed / "recipes" / f"peat-over-chalk-{version}.toml"))
        drawn = draw_pictures(recipe, mould, shelf)
        bands += [drawn[View(view), Backdrop.PALE] for view in VIEWS]
        bands.append(np.ones((16, bands[0].shape[1], 3)))
    pixels = np.round(np.concatenate(bands[:-1]) * 255).astype(np.uint8)
    image = Image.fromarray(pixels)
    (DOCS / "images").mkdir(exist_ok=True)
    image.save(DOCS / "images" / "peat-over-chalk.png", optimize=True)


def main() -> None:
    """Remake every generated page."""
    (DOCS / "reference" / "command-line.md").write_text(command_line(), encoding="utf-8")
    (DOCS / "verification.md").write_text(verification(gather()), encoding="utf-8")
    picture()


if __name__ == "__main__":
    main()
