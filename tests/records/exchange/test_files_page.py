"""The page that describes the files says what the program does."""

from __future__ import annotations

import ast
import inspect
import re
from pathlib import Path

import pytest

from partline.materials.spectrum import Shape
from partline.materials.supply import AdditiveKind, Clarity, FlakeShape
from partline.quantities.estimate import Origin
from partline.records.exchange import (
    bench,
    chips,
    kind_of_content,
    lot_chips,
    mould,
    read_document,
    recipe,
    section_points,
    shelf,
    station,
    stock,
    table,
)
from partline.records.exchange import spectra as spectra_module
from partline.records.exchange.amount import Span

PAGE = (Path(__file__).parents[3] / "docs" / "reference" / "files.md").read_text("utf-8")
BLOCKS = re.findall(r"```toml\n(.*?)```", PAGE, flags=re.DOTALL)
MODULES = (
    recipe, mould, station, section_points, bench, shelf, chips, lot_chips, spectra_module,
)  # fmt: skip


#: Words of a `Table` that read what stands under a key.
READS = {
    "amount", "choice", "count", "day", "estimate", "flag", "holds_table", "items", "raw",
    "scaled", "table", "tables", "text", "written",
}  # fmt: skip


def keys() -> set[str]:
    """Return every key that the readers ask a document for."""
    return {
        node.args[0].value
        for module in (*MODULES, stock, table)
        for node in ast.walk(ast.parse(inspect.getsource(module)))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in READS
        and node.args
        and isinstance(node.args[0], ast.Constant)
        and isinstance(node.args[0].value, str)
    }


def limits() -> list[tuple[str, str]]:
    found = []
    for module in MODULES:
        for name, span in vars(module).items():
            if isinstance(span, Span) and name != "HEIGHT":  # a guard, far above any spectrum
                ends = f"{span.low:g} to {span.high:g} {span.unit}".strip()
                found.append((f"{module.__name__.rsplit('.', 1)[-1]}.{name}", ends))
    return found


def test_every_example_on_the_page_is_read():
    kinds = [kind_of_content(read_document(block)).value for block in BLOCKS]
    assert kinds == ["recipe", "mould", "bench", "shelf"]


@pytest.mark.parametrize(("name", "ends"), limits())
def test_every_limit_is_on_the_page(name, ends):
    assert re.search(rf"(?<![\d.]){re.escape(ends)}(?![\d.])", PAGE), f"{name} is {ends}"


@pytest.mark.parametrize("key", sorted(keys()))
def test_every_key_is_on_the_page(key):
    shown = "\n".join([*BLOCKS, *re.findall(r"`([^`\n]+)`", PAGE)])
    assert re.search(rf"(?<!\w){key}(?!\w)", shown)


def test_every_word_to_choose_from_is_on_the_page():
    for word in (*Origin, *Clarity, *AdditiveKind, *FlakeShape, *Shape, *shelf.Per):
        assert f"`{word}`" in PAGE
