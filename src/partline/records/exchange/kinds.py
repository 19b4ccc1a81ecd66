"""The four documents of a workshop, told apart by what stands in them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from partline.errors import InputError
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.recipe import Recipe
from partline.records.exchange.bench import read_bench, write_bench
from partline.records.exchange.document import parse_toml
from partline.records.exchange.mould import read_mould, write_mould
from partline.records.exchange.recipe import read_recipe, write_recipe
from partline.records.exchange.shelf import read_shelf, write_shelf

Content = Recipe | Mould | Bench | Shelf


class DocumentKind(StrEnum):
    """What a document describes."""

    RECIPE = "recipe"
    MOULD = "mould"
    BENCH = "bench"
    SHELF = "shelf"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Format:
    """How a kind is known, read and written."""

    keys: frozenset[str]
    read: Callable[[str], Content]
    write: Callable[..., str]
    has: str


_FORMATS = {
    DocumentKind.RECIPE: _Format(
        keys=frozenset({"back", "belly", "whole", "wanted", "handling"}),
        read=read_recipe,
        write=write_recipe,
        has="[back] and [belly], or [whole]",
    ),
    DocumentKind.MOULD: _Format(
        keys=frozenset({"cavities", "stations", "outline", "bait_mass", "bait_volume"}),
        read=read_mould,
        write=write_mould,
        has="cavities and [[stations]]",
    ),
    DocumentKind.BENCH: _Format(
        keys=frozenset({"vessel", "syringes", "block", "oven", "thermometer"}),
        read=read_bench,
        write=write_bench,
        has="[vessel], [syringes] and [block]",
    ),
    DocumentKind.SHELF: _Format(
        keys=frozenset({"grade", "colourant", "flake", "additive"}),
        read=read_shelf,
        write=write_shelf,
        has="[[grade]] and [[colourant]]",
    ),
}


def kind_of(text: str) -> DocumentKind:
    """Return which of the four a document is.

    Raises
    ------
    InputError
        If it cannot be told, or the text is not TOML.
    """
    keys = parse_toml(text).keys()
    counts = {kind: len(form.keys & keys) for kind, form in _FORMATS.items()}
    best = max(counts.values())
    likely = [kind for kind, count in counts.items() if count == best]
    if best > 0 and len(likely) == 1:
        return likely[0]
    remedy = " ".join(f"A {kind} has {form.has}." for kind, form in _FORMATS.items())
    message = "It cannot be told whether this is a recipe, a mould, a bench or a shelf."
    raise InputError(message, remedy=remedy)


def read_document(text: str, kind: DocumentKind | None = None) -> Content:
    """Return what a document describes; without `kind` that is found out first.

    Raises
    ------
    Invalid
        If anything in it cannot be used; carries every problem with its field.
    InputError
        If it is not TOML, or its kind cannot be told.
    """
    return _FORMATS[kind or kind_of(text)].read(text)


def write_document(content: Content) -> str:
    """Return anything that `read_document` returns as a document again."""
    return _FORMATS[kind_of_content(content)].write(content)


def kind_of_content(content: Content) -> DocumentKind:
    """Return which document would hold this."""
    return DocumentKind(type(content).__name__.lower())
