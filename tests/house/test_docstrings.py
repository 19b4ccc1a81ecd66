"""Every law says what it takes and gives: sections, names, units, shapes (house.md 3.4, 3.5)."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest

import partline.physics

#: An entry that is no number needs neither unit nor shape: a callable, a count, a name, or one
#: of the package's own classes, whose fields say theirs.
NO_NUMBER = re.compile(r" : (?:[A-Z]\w+|(?:sequence of )?[A-Z]\w+|callable|bool|str|int)\b")
UNIT = re.compile(r"\[[^\[\]]+\]")
SHAPE = re.compile(r"shape \(|\bfloat\b|\bscalar\b")


def offered() -> Iterator[tuple[ModuleType, str]]:
    """Public names of each module of laws; of a folder of modules, what stands on its door."""
    for found in pkgutil.iter_modules(partline.physics.__path__, "partline.physics."):
        module = importlib.import_module(found.name)
        for name in module.__all__ if found.ispkg else vars(module):
            home = str(getattr(vars(module)[name], "__module__", ""))
            if not name.startswith("_") and home.startswith(module.__name__):
                yield module, name


def laws() -> dict[str, Callable[..., object]]:
    """Public functions, and public methods of public classes."""
    found: dict[str, Callable[..., object]] = {}
    for module, name in offered():
        thing = vars(module)[name]
        if inspect.isfunction(thing):
            found[f"{module.__name__}.{name}"] = thing
        elif inspect.isclass(thing):
            for inner, method in vars(thing).items():
                if not inner.startswith("_") and inspect.isfunction(method):
                    found[f"{module.__name__}.{name}.{inner}"] = method
    return found


LAWS = laws()


def section(text: str, title: str) -> str:
    """A numpydoc section's body."""
    start = re.search(rf"^{title}\n-+\n", text, re.MULTILINE)
    if start is None:
        return ""
    rest = text[start.end() :]
    end = re.search(r"^\S.*\n-{3,}\n", rest, re.MULTILINE)
    return rest[: end.start()] if end else rest


def entries(body: str) -> dict[str, str]:
    """Each entry of a section, by the names it stands for."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in body.splitlines():
        if line and not line.startswith(" "):
            head, _, _ = line.partition(" : ")
            names = [name.strip().lstrip("*") for name in head.split(",")]
        for name in names:
            found[name] = f"{found.get(name, '')}\n{line}"
    return found


def test_there_are_laws_to_look_at():
    assert len(LAWS) > 15


def is_bare(law: Callable[..., object]) -> bool:
    return not [name for name in inspect.signature(law).parameters if name != "self"]


@pytest.mark.parametrize("name", LAWS)
def test_a_law_has_its_sections(name):
    law = LAWS[name]
    text = inspect.getdoc(law) or ""
    assert re.match(r"\S.*[.?]$", text.splitlines()[0] if text else ""), "a first line, a sentence"
    if is_bare(law):
        return
    assert section(text, "Parameters"), "Parameters"
    if inspect.signature(law).return_annotation not in (None, "None"):
        assert section(text, "Returns"), "Returns"


@pytest.mark.parametrize("name", LAWS)
def test_a_law_names_every_argument_with_unit_and_shape(name):
    law = LAWS[name]
    told = entries(section(inspect.getdoc(law) or "", "Parameters"))
    taken = [each for each in inspect.signature(law).parameters if each != "self"]
    assert sorted(told) == sorted(taken)
    for argument, entry in told.items():
        head = entry.strip().splitlines()[0]
        if NO_NUMBER.search(head):
            continue
        is_count = " of int" in head or " of bool" in head
        assert is_count or UNIT.search(entry), f"{argument} has no unit in square brackets"
        assert SHAPE.search(head), f"{argument} has no shape"


@pytest.mark.parametrize("name", LAWS)
def test_a_law_says_the_unit_and_shape_of_what_it_gives(name):
    returned = section(inspect.getdoc(LAWS[name]) or "", "Returns")
    for what, entry in entries(returned).items():
        head = entry.strip().splitlines()[0]
        if NO_NUMBER.search(head):
            continue
        assert UNIT.search(entry), f"{what} has no unit in square brackets"
        assert SHAPE.search(head), f"{what} has no shape"


def raised_in(law: Callable[..., object]) -> set[str]:
    """Names of the package's errors that stand behind `raise` in the body itself."""
    source = inspect.getsource(law)
    return set(re.findall(r"^\s+raise (\w+)\(", source, re.MULTILINE))


@pytest.mark.parametrize("name", LAWS)
def test_a_law_says_what_it_refuses(name):
    law = LAWS[name]
    if raised := raised_in(law):
        told = section(inspect.getdoc(law) or "", "Raises")
        assert not {each for each in raised if each not in told}
