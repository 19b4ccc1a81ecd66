"""The glossary names every argument of the laws, and no banned word is spoken."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from partline import numerics, physics
from partline.quantities.estimate import Origin
from partline.studies.verdict import DISTINCT, SEE_THROUGH_BELOW, WANTED_HIDING, Distinct, Hides

ROOT = Path(__file__).parents[2]
GLOSSARY = (ROOT / "docs" / "glossary.md").read_text("utf-8")
NAMES = GLOSSARY.split("## Names in the code\n")[1]


def modules(room: ModuleType) -> Iterator[ModuleType]:
    for found in pkgutil.walk_packages(room.__path__, room.__name__ + "."):
        yield importlib.import_module(found.name)


def callables(module: ModuleType) -> Iterator[tuple[str, Callable[..., Any]]]:
    """Public functions of a module and public methods of its classes."""
    for name, thing in vars(module).items():
        if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
            continue
        plain = inspect.unwrap(thing) if callable(thing) else thing
        if inspect.isfunction(plain):
            yield name, plain
        elif inspect.isclass(thing):
            for inner, method in vars(thing).items():
                method = getattr(method, "__func__", method)
                if inspect.isfunction(method) and not inner.startswith("_"):
                    yield f"{name}.{inner}", method


def arguments() -> set[str]:
    """Every argument name; kernels are the solver's own and use its symbols."""
    return {
        argument
        for room in (physics, numerics)
        for module in modules(room)
        if not module.__name__.endswith(".kernel")
        for _, function in callables(module)
        for argument in inspect.signature(function).parameters
        if argument not in ("self", "cls")
    }


def entries() -> dict[str, str]:
    """The page's argument names with their meaning."""
    found = {}
    for line in NAMES.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if line.startswith("| `") and len(cells) == 3:
            assert cells[1], f"no unit: {line}"
            assert cells[2], f"no meaning: {line}"
            found.update(dict.fromkeys(re.findall(r"`(\w+)`", cells[0]), cells[2]))
    return found


def test_every_argument_of_the_laws_stands_in_the_glossary():
    assert arguments() - set(entries()) == set()


def test_the_glossary_holds_no_name_that_no_law_uses():
    fields = {"albedo"}  # what a law returns
    assert set(entries()) - arguments() - fields == set()


def test_every_word_an_answer_may_use_has_its_meaning():
    for word in (*Origin, *Distinct, *Hides):
        assert f"`{word.value}`" in GLOSSARY, word


def test_the_limits_of_the_words_are_the_programs():
    for limit in (*(f"{each.below:g}" for each in DISTINCT), f"{WANTED_HIDING:.2f}",
                  f"{SEE_THROUGH_BELOW:.2f}"):  # fmt: skip
        assert re.search(rf"(?<![\d.]){re.escape(limit)}(?![\d.]\d)", GLOSSARY), limit


def spoken() -> list[Path]:
    """Pages and templates that a maker reads."""
    web = ROOT / "src" / "partline" / "interfaces"
    return sorted(
        [
            ROOT / "README.md",
            ROOT / "CHANGELOG.md",
            *(ROOT / "docs").rglob("*.md"),
            *web.rglob("*.html"),
            *web.rglob("*.js"),
            *web.rglob("*.typ"),
        ]
    )


@pytest.mark.parametrize("path", spoken(), ids=lambda path: path.name)
def test_no_page_uses_a_banned_word(path):
    if path.name == "glossary.md":  # says which words they are
        return
    text = path.read_text("utf-8").lower()
    for word in (r"bleed\w*", r"batch(?! record)\w*"):
        assert re.findall(rf"\b{word}\b", text) == []
