"""The page of answers names every key of real answers, and no other."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from partline.errors import (
    Ambiguous,
    EditedElsewhere,
    Imbalance,
    Impossible,
    InputError,
    Invalid,
    NotFound,
    OutOfRange,
    Reading,
)
from partline.interfaces.cli.answers import (
    Asked,
    check_document,
    list_shelf,
    show_plan,
    write_card,
)
from partline.interfaces.cli.bottle import Typed, tell_bottle
from partline.interfaces.cli.comparing import compare_recipes
from partline.interfaces.cli.cooling import tell_cooling
from partline.interfaces.cli.looking import show_look
from partline.interfaces.cli.matching import Asked as AskedMatch
from partline.interfaces.cli.matching import tell_match
from partline.interfaces.cli.mould import tell_mould
from partline.interfaces.cli.workshop import keep_file, show_bench, show_mould
from tests.process.shed import LESSONS, SHED, demo_path

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "answers.md").read_text("utf-8")
FIGURE = {"value", "low", "high", "origin", "source", "narrows"}
HALVES = ("back", "belly", "whole")
MOULD = str(SHED / "moulds" / "reed-130.toml")


def section(title: str) -> str:
    """Text of the page under one heading."""
    return PAGE.split(f"## {title}\n")[1].split("\n## ")[0]


def rows(text: str) -> Iterator[tuple[list[str], bool]]:
    """Paths that each row of a section's tables documents, and whether they are figures."""
    for line in text.splitlines():
        if line.startswith("| `"):
            names, _, meaning = line[2:].partition(" |")
            yield re.findall(r"`([^`]+)`", names), "*figure*" in meaning


@cache
def documented(*titles: str) -> frozenset[str]:
    """Every path that these sections of the page name, written out."""
    found: set[str] = set()
    for names, is_figure in rows("\n".join(map(section, titles))):
        for name, half in product(names, HALVES):
            path = name.replace("HALF", half)
            found.add(path)
            if is_figure:
                found |= {f"{path}.{key}" for key in FIGURE}
    return frozenset(found)


def paths(value: Any, path: str = "") -> Iterator[str]:
    """Every path in an answer, to its leaves; places in lists are not told apart."""
    if isinstance(value, dict):
        for key, inner in value.items():
            below = "KEY" if path == "why" else key
            yield from paths(inner, f"{path}.{below}" if path else below)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for inner in value:
            yield from paths(inner, f"{path}[]")
    elif path:
        yield path


def printed(capsys: pytest.CaptureFixture[str]) -> Any:
    return json.loads(capsys.readouterr().out)


def is_documented(path: str, known: frozenset[str]) -> bool:
    """Whether a row names it, or a row names the list it is."""
    return path in known or f"{path}[]" in known


def unknown(answer: Any, known: frozenset[str]) -> set[str]:
    return {path for path in paths(answer) if not is_documented(path, known)}


def looks(capsys: pytest.CaptureFixture[str], folder: Path) -> Iterator[Any]:
    show_look(Asked(recipe=str(demo_path(1)), mould=MOULD), folder, {}, as_json=True)
    yield printed(capsys)
    show_look(Asked(recipe=str(demo_path(1)), mould=MOULD), None, {"around": "sea"}, as_json=True)
    yield printed(capsys)
    for name in ("one-colour", "green-over-clear"):
        lesson = str(LESSONS / f"{name}.toml")
        show_look(Asked(recipe=lesson, mould=MOULD), None, {}, as_json=True)
        yield printed(capsys)


def plans(capsys: pytest.CaptureFixture[str]) -> Iterator[Any]:
    bench = str(SHED / "bench.toml")
    for recipe in (demo_path(3), LESSONS / "one-colour.toml"):
        show_plan(Asked(recipe=str(recipe), mould=MOULD, bench=bench), 40, as_json=True)
        yield printed(capsys)


COMMON = "origins, why, cautions"


def test_every_key_of_a_look_is_on_the_page_and_every_key_on_the_page_in_a_look(capsys, tmp_path):
    answers = list(looks(capsys, tmp_path))
    known = documented("`partline look`", COMMON)
    assert not set().union(*(unknown(answer, known) for answer in answers))
    met = {path.removesuffix("[]") for answer in answers for path in paths(answer)}
    stale = {path for path in known if not is_met(path, met)}
    # Said to be `null` or missing for one colour, and so in none of these answers.
    assert stale <= {"stations[].whole_see_through"}


def is_met(path: str, met: set[str]) -> bool:
    """Whether an answer has the path, or something under it."""
    bare = path.removesuffix("[]")
    return any(each == bare or each.startswith((f"{bare}.", f"{bare}[")) for each in met)


def test_every_key_of_a_plan_is_on_the_page_and_every_key_on_the_page_in_a_plan(capsys):
    answers = list(plans(capsys))
    known = documented("`partline plan`", COMMON)
    inner = {
        path.replace("ingredients[]", "melt_plan[].ingredients[]", 1)
        for path in known
        if path.startswith("ingredients[].")
    }
    known |= inner - {"melt_plan[].ingredients[].melt"}
    assert not set().union(*(unknown(answer, known) for answer in answers))
    met = {path.removesuffix("[]") for answer in answers for path in paths(answer)}
    assert not {path for path in known if not is_met(path, met)}


def test_every_key_of_a_comparison_is_on_the_page(capsys):
    first, second = str(demo_path(1)), str(demo_path(3))
    compare_recipes(first, second, MOULD, None, None, as_json=True)
    answer = printed(capsys)
    looks = documented("`partline look`")
    found = set()
    for path in paths(answer):
        head, _, rest = path.partition(".")
        if head in ("before", "after"):
            assert is_documented(rest, looks), path
        found.add(head if head in ("before", "after") else path)
    assert found == documented("`partline compare`") - {"recipe", "distinctness", "halves"}


def matches(capsys: pytest.CaptureFixture[str]) -> Iterator[Any]:
    for wish in ({"back": "#d01818", "belly": "photo #dcd888"}, {"back": "Lab 22 18 34"}):
        tell_match(AskedMatch(recipe=str(demo_path(3)), mould=MOULD, wish=wish), as_json=True)
        yield printed(capsys)


def test_every_key_of_a_match_is_on_the_page_and_every_key_on_the_page_in_a_match(capsys):
    answers = list(matches(capsys))
    known = documented("`partline match`", COMMON)
    assert not set().union(*(unknown(answer, known) for answer in answers))
    met = {path.removesuffix("[]") for answer in answers for path in paths(answer)}
    own = documented("`partline match`")
    assert not {path for path in own if not is_met(path, met)}


def coolings(capsys: pytest.CaptureFixture[str]) -> Iterator[Any]:
    worked = ["0s=174C", "40s=168.6C"]
    band = {"start": "163C", "room": "22C"}
    tell_cooling(worked, band, "", None, as_json=True)
    yield printed(capsys)
    drawn = {"stop": "152C", "mass": "162 g", "draw": "26 g", "every": "40s"}
    both = [*worked, "B:0s=170C", "B:40s=165C"]
    tell_cooling(both, band | drawn, str(SHED / "bench.toml"), None, as_json=True)
    yield printed(capsys)


def test_every_key_of_a_cooling_is_on_the_page_and_every_key_on_the_page_in_a_cooling(capsys):
    answers = list(coolings(capsys))
    known = documented("`partline cool`", COMMON)
    assert not set().union(*(unknown(answer, known) for answer in answers))
    met = {path.removesuffix("[]") for answer in answers for path in paths(answer)}
    assert not {path for path in documented("`partline cool`") if not is_met(path, met)}


def test_every_key_of_a_check_is_on_the_page(capsys):
    known = documented("`partline check`")
    for path in (demo_path(1), SHED / "bench.toml", Path(MOULD)):
        check_document(path, None, as_json=True)
        answer = printed(capsys)
        assert not unknown(answer, known)
        assert {path.removesuffix("[]") for path in known} == set(answer)


def test_every_key_of_a_card_is_on_the_page(capsys, tmp_path):
    asked = Asked(recipe=str(demo_path(3)), mould=MOULD, bench=str(SHED / "bench.toml"))
    write_card(asked, 40, tmp_path / "card.pdf", "a4", as_json=True)
    assert set(printed(capsys)) == documented("`partline card`")


def test_every_key_of_a_shelf_is_on_the_page(capsys):
    list_shelf(SHED / "shelf.toml", None, as_json=True)
    answer = printed(capsys)
    known = documented("`partline shelf`")
    assert not unknown(answer, known)
    met = set(paths(answer))
    assert not {path for path in known if not is_met(path, met)}


def test_every_key_of_a_bottle_is_on_the_page(capsys, tmp_path):
    known = documented("`partline bottle`")
    chip = '[[colourant.chip]]\nsteps = [{ thickness = "2 mm", over_white = [90, -2, 40] }]\n'
    chipped = tmp_path / "shelf.toml"
    text = (SHED / "shelf.toml").read_text("utf-8")
    chipped.write_text(text.replace("[[colourant]]\nname = \"Soot\"", chip + "\n[[colourant]]\n"
                                    'name = "Soot"'), "utf-8")  # fmt: skip
    met: set[str] = set()
    for shelf in (SHED / "shelf.toml", chipped):
        tell_bottle(Typed(name="Rind"), shelf, None, as_json=True)
        answer = printed(capsys)
        assert not unknown(answer, known)
        met |= set(paths(answer))
    assert not {path for path in known if not is_met(path, met)}


def test_every_key_of_a_mould_is_on_the_page(capsys, tmp_path):
    known = documented("`partline mould`")
    met: set[str] = set()
    displaced = tmp_path / "displaced.toml"
    displaced.write_text(
        Path(MOULD)
        .read_text("utf-8")
        .replace("bait_mass =", 'mass = "900 g"\nbait_volume = "11.5 mL" #'),
        "utf-8",
    )
    for path in (MOULD, str(SHED / "moulds" / "fry-75.toml"), str(displaced)):
        show_mould(path, None, as_json=True)
        answer = printed(capsys)
        assert not unknown(answer, known)
        met |= {path.removesuffix("[]") for path in paths(answer)}
    assert not {path for path in known if not is_met(path, met)}


def test_every_key_of_a_photo_is_on_the_page(capsys, tmp_path):
    photo = tmp_path / "mark.jpg"
    photo.write_bytes(b"\xff\xd8\xff")
    keep_file(Path(MOULD), tmp_path, as_json=True)
    capsys.readouterr()
    tell_mould("reed-130", tmp_path, photo, "bottom_mark", as_json=True)
    assert set(printed(capsys)) == documented("A photo of a mould")


def test_every_key_of_a_bench_is_on_the_page(capsys, tmp_path):
    known, met = documented("`partline bench`"), set()
    checked = tmp_path / "bench.toml"
    text = (SHED / "bench.toml").read_text("utf-8")
    checked.write_text(f'{text}offset = "4 K"\n\n[scale]\nfactor = 1.01\n', "utf-8")
    for bench in (SHED / "bench.toml", checked):
        show_bench(str(bench), None, as_json=True)
        answer = printed(capsys)
        assert not unknown(answer, known)
        met |= set(paths(answer))
    assert not {path for path in known if not is_met(path, met)}


def test_every_key_of_what_is_kept_is_on_the_page(capsys, tmp_path):
    keep_file(SHED / "bench.toml", tmp_path, as_json=True)
    assert set(printed(capsys)) == documented("`partline keep`")


def test_every_key_of_an_error_is_on_the_page():
    known = documented("Errors")
    one = OutOfRange("x", low=0.0, high=1.0, unit="s", field="f", given="2", remedy="r")
    asked = Ambiguous("x", readings=(Reading(write="1 g", means="grams", field="f"),))
    errors = [
        one,
        asked,
        InputError("x"),
        Imbalance("x"),
        Impossible("x", nearest="y"),
        NotFound("x"),
        EditedElsewhere("x"),
        Invalid((one, asked)),
    ]
    for error in errors:
        answer = {"error": error.as_dict()}
        found = {path.replace("problems[].", "", 1) for path in paths(answer)}
        assert not {path for path in found if not is_documented(path, known)}
