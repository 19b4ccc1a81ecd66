"""The page of answers names every key of the answers about heat and moulds, and no other."""

from __future__ import annotations

from pathlib import Path

from partline.interfaces.cli.answers import Asked
from partline.interfaces.cli.heating import tell_heating
from partline.interfaces.cli.opening import tell_opening, tell_shots
from tests.house.test_docs_answers import documented, is_met, paths, printed, unknown
from tests.process.shed import SHED, demo_path

MOULD, BENCH = str(SHED / "moulds" / "reed-130.toml"), str(SHED / "bench.toml")
ASKED = Asked(recipe=str(demo_path(3)), mould=MOULD, bench=BENCH)


def check(answer: object, title: str) -> None:
    """Hold the page to an answer, both ways."""
    known = documented(title)
    assert not unknown(answer, known)
    met = {path.removesuffix("[]") for path in paths(answer)}
    assert not {path for path in known if not is_met(path, met)}


def test_every_key_of_an_opening_is_on_the_page(capsys, tmp_path: Path):
    tell_opening(MOULD, BENCH, {}, 2, tmp_path, as_json=True)
    check(printed(capsys), "`partline open`")


def test_every_key_of_a_plan_of_shots_is_on_the_page(capsys):
    tell_shots(ASKED, 40, 4, {}, as_json=True)
    check(printed(capsys), "`partline shots`")


def test_every_key_of_a_heat_is_on_the_page(capsys):
    tell_heating(ASKED, 40, {"melt": 1, "heat": 1, "moulds": 2}, "", as_json=True)
    check(printed(capsys), "`partline heat`")
