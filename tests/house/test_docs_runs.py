"""The page about runs names every kind, state and key of real runs, and no other."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from partline.interfaces.cli.running import begin_run, export_run_to, list_runs, tell_run
from partline.process.run import Kind, Phase
from partline.services.runs import begin, state
from partline.services.runs.export import COLUMNS, SI, export_run
from partline.services.runs.paper import keep_card
from partline.services.runs.typed import tell
from partline.services.workshop import open_at
from tests.house.test_docs_answers import documented as in_answers
from tests.house.test_docs_answers import paths, printed
from tests.services.kept_plan import planned
from tests.services.test_runs_paper import FULL

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "runs.md").read_text("utf-8")
#: Keys whose own keys hang on what is told, so that a row names no more than them.
OPEN = ("event", "data", "data_now", "si", "practice")
#: Said to be there in some runs, and in none of these.
SOMETIMES = {"alerts[].key", "alerts[].text", "alerts[].tone", "screen.controls[].opens",
             "screen.controls[].cup", "screen.controls[].data.left"}  # fmt: skip


def section(title: str) -> str:
    return PAGE.split(f"## {title}\n")[1].split("\n## ")[0]


def first_column(title: str) -> list[str]:
    rows = [line for line in section(title).splitlines() if line.startswith("| `")]
    return [name for row in rows for name in re.findall(r"`([^`]+)`", row[2:].partition(" |")[0])]


def documented(title: str) -> set[str]:
    return {
        name.replace("LETTER", letter).removesuffix("[]")
        for name in first_column(title)
        for letter in "AB"
    }


def cut(path: str) -> str:
    """Return a path down to the first key whose inside is open, and without a list's sign."""
    parts = path.split(".")
    for place, part in enumerate(parts):
        if part in OPEN:
            return ".".join(parts[: place + 1])
    return path.removesuffix("[]")


def keys(answer: Any) -> set[str]:
    return {cut(path) for path in paths(answer)}


def ago(seconds: float) -> str:
    return (datetime.now(UTC) - timedelta(seconds=seconds)).isoformat()


@pytest.fixture(scope="module")
def shed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("runs") / "shed"
    return folder, planned(folder)


@pytest.fixture(scope="module")
def told(shed):
    """States of a run from its beginning to its judgement, and exports of it and of a card."""
    folder, plan = shed
    states: list[Any] = []
    with open_at(folder) as workshop:
        code = begin(workshop, plan, moulds=2)
        states.append(state(workshop, code))
        for cup in "AB":
            tell(workshop, code, "weigh", ["162.1 g"], cup=cup, at=ago(400))
            states.append(tell(workshop, code, "burst", ["100s"], cup=cup, at=ago(300))["state"])
            for since, warm in ((150, "174C"), (110, "168.6C")):
                tell(workshop, code, "stir", cup=cup, at=ago(since + 1))
                tell(workshop, code, "reading", [warm], cup=cup, at=ago(since))
        states.append(state(workshop, code))
        for kind, words in (("draw", []), ("shot", ["6s"]), ("finish", [])):
            states.append(tell(workshop, code, kind, words)["state"])
        states.append(tell(workshop, code, "reading", ["350C"], cup="A")["state"])
        states.append(tell(workshop, code, "judge", ["good=3", "moulded=4"])["state"])
        card = keep_card(workshop, plan, FULL)
        exports = [export_run(workshop, each) for each in (code, card)]
    return states, exports


def test_every_kind_of_event_is_on_the_page_and_no_other():
    table = section("Events").split("| kind |")[1].split("\n### ")[0]
    assert re.findall(r"^\| `(\w+)` \|", table, re.MULTILINE) == [kind.value for kind in Kind]


def test_every_state_is_on_the_page_in_order():
    assert first_column("States") == [phase.value for phase in Phase]


def test_every_key_of_a_state_is_on_the_page_and_every_key_on_the_page_in_a_state(told):
    states, _ = told
    found = set().union(*(keys(each) for each in states))
    known = documented("State as JSON")
    inside_of = {key.rpartition("[].")[0] for key in known if "[]." in key}
    assert {key for key in found - known - inside_of if not key.startswith("record[].")} == set()
    met = found | {key.rpartition("[].")[0] for key in found}
    assert known - met - SOMETIMES == set()


def test_every_key_of_an_export_is_on_the_page_and_every_key_on_the_page_in_an_export(told):
    _, exports = told
    found = set().union(*(keys(each) for each in exports))
    assert found == documented("Export")
    si = {name for name, _, _ in SI.values()}
    assert si == set(re.findall(r"`(\w+_(?:k|kg|s))`", section("Export")))
    columns = {key.removeprefix("events[].") for key in found if key.startswith("events[].")}
    assert set(COLUMNS) == (columns - {"si"}) | si | {"run", "plan", "program"}


def test_every_particular_of_a_typed_card_is_on_the_page(told):
    _, (_, card) = told
    known = set(re.findall(r"`(\w+)`", section("Events")))
    for each in card["events"]:
        assert set(each["data"]) <= known, each


def test_every_key_of_the_commands_own_answers_is_on_the_page_of_answers(shed, capsys, tmp_path):
    folder, plan = shed
    begin_run(plan, 1, "", folder, as_json=True)
    begun = printed(capsys)
    list_runs(folder, as_json=True)
    listed = printed(capsys)
    given = {"cup": "", "at": ""}
    tell_run(begun["code"], "stir", [], given, folder, as_json=True)
    answer = printed(capsys)
    export_run_to(begun["code"], tmp_path / "run.csv", folder, as_json=True)
    written = printed(capsys)
    found = {*begun, *answer, *written, *paths(listed)}
    assert found == {key.removesuffix("[]") for key in in_answers("`partline run`")}
