"""The page of answers names every key of what finds good runs again, and no other."""

from __future__ import annotations

import pytest

from partline.interfaces.cli.recalling import (
    find_runs,
    pin_run,
    set_run_aside,
    tell_changes,
    tell_luck,
)
from partline.services.runs.paper import keep_card
from partline.services.runs.recall.fields import FIELDS
from partline.services.workshop import open_at
from tests.house.test_docs_answers import documented, paths, printed, unknown
from tests.services.kept_plan import planned
from tests.services.test_runs_paper import FULL


@pytest.fixture(scope="module")
def cards(tmp_path_factory):
    """A workshop with three runs: one good, one started hot, one of which no start was read."""
    folder = tmp_path_factory.mktemp("recall") / "shed"
    plan = planned(folder)
    unread = {key: "" for key in FULL if key.startswith(("start_", "fused_", "stop_"))}
    with open_at(folder) as workshop:
        codes = [
            keep_card(workshop, plan, FULL | more)
            for more in ({}, {"day": "2026-03-02", "start_a": "171"}, unread)
        ]
    return folder, plan, codes


def met(answers):
    return {path.removesuffix("[]") for answer in answers for path in paths(answer)}


def is_met(path, found):
    bare = path.removesuffix("[]")
    return any(each == bare or each.startswith((f"{bare}.", f"{bare}[")) for each in found)


def check(answers, title):
    known = documented(title)
    assert not set().union(*(unknown(answer, known) for answer in answers))
    assert not {path for path in known if not is_met(path, met(answers))}


def test_every_key_of_a_pin_is_on_the_page(cards, capsys):
    folder, _, (code, *_) = cards
    set_run_aside(code, "x", folder, off=False, as_json=True)
    answers = [printed(capsys)]
    set_run_aside(code, "", folder, off=True, as_json=True)
    answers.append(printed(capsys))
    pin_run(code, "x", folder, off=False, as_json=True)
    check([*answers, printed(capsys)], "`partline run pin`, `partline run aside`")


def test_every_key_of_what_changed_is_on_the_page(cards, capsys):
    folder, plan, (good, hot, _) = cards
    pin_run(good, "", folder, off=False, as_json=True)
    capsys.readouterr()
    answers = []
    for code in (good, hot, plan):
        tell_changes(code, "", folder, as_json=True)
        answers.append(printed(capsys))
    assert answers[1]["changes"]
    check(answers, "`partline run changed`")


def test_every_key_of_a_search_is_on_the_page(cards, capsys):
    folder, _, codes = cards
    find_runs(["start < 200 C"], folder, as_json=True)
    answer = printed(capsys)
    assert [each["code"] for each in answer["unknown"]] == [codes[2]]
    check([answer], "`partline run find`")


def test_every_key_of_luck_is_on_the_page(capsys):
    answers = []
    for second in ("7/8", ""):
        tell_luck("3/4", second, 4, as_json=True)
        answers.append(printed(capsys))
    check(answers, "`partline luck`")


def test_the_how_to_names_every_field_of_a_search():
    import re
    from pathlib import Path

    page = (Path(__file__).parents[2] / "docs" / "how-to" / "find-what-worked.md").read_text(
        "utf-8"
    )
    table = page.split("| what | of |")[1].split("\n\n")[0]
    rows = [line.split("|")[1] for line in table.splitlines() if line.startswith("| `")]
    named = [name for row in rows for name in re.findall(r"`([^`]+)`", row)]
    assert sorted(named) == sorted(each.name for each in FIELDS.values())
