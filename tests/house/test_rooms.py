"""The house as it stands: no empty room, a table of contents at every door."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import tomllib
from pathlib import Path

import pytest

import partline

SOURCE = Path(partline.__file__).parent
ROOT = SOURCE.parents[1]
PACKAGES = sorted(
    found.name for found in pkgutil.walk_packages(partline.__path__, "partline.") if found.ispkg
)
DOORS = [name for name in PACKAGES if name.count(".") == 1]


def rooms_of_the_staircase() -> set[str]:
    """Every name of the layers contract; those in brackets are not built yet."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]
    layers = contracts["contracts"][0]["layers"]
    return {name.strip() for layer in layers for name in layer.split("|") if "(" not in layer}


def test_every_room_of_the_staircase_is_there():
    names = {path.stem for path in SOURCE.iterdir() if path.name != "__pycache__"}
    assert rooms_of_the_staircase() <= names


def test_no_room_is_unknown_to_the_staircase():
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]
    known = {
        name.strip(" ()")
        for layer in contracts["contracts"][0]["layers"]
        for name in layer.split("|")
    }
    assert {name.removeprefix("partline.") for name in DOORS} <= known


@pytest.mark.parametrize("name", PACKAGES)
def test_no_room_is_empty(name):
    folder = Path(importlib.import_module(name).__file__ or "").parent
    lines = sum(
        len(path.read_text("utf-8").splitlines())
        for path in folder.rglob("*.py")
        if path.name != "__init__.py"
    )
    own = len((folder / "__init__.py").read_text("utf-8").splitlines())
    assert lines + own >= 20


@pytest.mark.parametrize("name", PACKAGES)
def test_every_room_says_what_it_is_for(name):
    assert (importlib.import_module(name).__doc__ or "").strip().endswith((".", "?"))


@pytest.mark.parametrize("name", PACKAGES)
def test_every_name_on_a_door_is_behind_it(name):
    room = importlib.import_module(name)
    for exported in getattr(room, "__all__", ()):
        assert getattr(room, exported, None) is not None


@pytest.mark.parametrize("name", PACKAGES)
def test_a_door_that_imports_names_lists_them(name):
    room = importlib.import_module(name)
    body = ast.parse(Path(room.__file__ or "").read_text("utf-8")).body
    if any(isinstance(node, (ast.FunctionDef, ast.ClassDef)) for node in body):
        return  # it is a module with work of its own, not a table of contents
    imported = {
        alias.asname or alias.name
        for node in body
        if isinstance(node, ast.ImportFrom) and node.module != "__future__"
        for alias in node.names
    }
    public = {each for each in imported if not each.startswith("_")}
    if public:
        assert public <= set(getattr(room, "__all__", ()))


def python_files() -> list[Path]:
    return sorted(SOURCE.rglob("*.py"))


@pytest.mark.parametrize("path", python_files(), ids=lambda p: str(p.relative_to(SOURCE)))
def test_every_file_has_a_first_sentence(path):
    text = ast.get_docstring(ast.parse(path.read_text("utf-8"))) or ""
    assert text.splitlines()[0].endswith((".", "?"))


def test_nothing_points_to_another_machine():
    """Nothing is fetched at run time: no address in code, pages, styles or scripts."""
    allowed = ("http://www.w3.org/", "http://{", "http://127.0.0.1", "https://schemas")
    for path in sorted(SOURCE.rglob("*")):
        if path.suffix not in {".py", ".html", ".js", ".css", ".typ", ".svg"}:
            continue
        text = path.read_text("utf-8")
        for scheme in ("http://", "https://"):
            at = text.find(scheme)
            while at >= 0:
                assert text.startswith(allowed, at), f"{path.name}: {text[at : at + 60]}"
                at = text.find(scheme, at + 1)


def test_the_word_that_is_never_an_answer_stands_in_no_page_and_no_sentence():
    for path in sorted(SOURCE.rglob("*")):
        if path.suffix in {".html", ".js", ".typ"} or (
            path.suffix == ".py" and path.parts[-2] in {"services", "studies", "process", "cli"}
        ):
            assert "bleed" not in path.read_text("utf-8").lower(), path.name
