"""The page that describes the files says what the program does."""

from __future__ import annotations

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
    shelf,
)
from partline.records.exchange import spectra as spectra_module
from partline.records.exchange.amount import Span

PAGE = (Path(__file__).parents[3] / "docs" / "reference" / "files.md").read_text("utf-8")
BLOCKS = re.findall(r"```toml\n(.*?)```", PAGE, flags=re.DOTALL)
MODULES = (recipe, mould, bench, shelf, chips, lot_chips, spectra_module)


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


def test_every_word_to_choose_from_is_on_the_page():
    for word in (*Origin, *Clarity, *AdditiveKind, *FlakeShape, *Shape, *shelf.Per):
        assert f"`{word}`" in PAGE
