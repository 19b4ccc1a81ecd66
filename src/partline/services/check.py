"""Check a document and say what it holds, or everything that is wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from partline.errors import Invalid
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.cavity import profile, shape_notes
from partline.process.recipe import Recipe
from partline.process.recipe_check import check_against_shelf
from partline.records.exchange import Content, kind_of, read_document, read_file
from partline.services.workshop import shelf_near


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A document that can be used.

    Parameters
    ----------
    kind : str
        recipe, mould, bench or shelf.
    summary : str
        What it holds, in a sentence.
    remarks : tuple of str
        What to know, though nothing is wrong.
    """

    kind: str
    summary: str
    remarks: tuple[str, ...] = ()


def check_file(path: Path, shelf: Shelf | None = None) -> Checked:
    """Read a document and check it, a recipe also against a shelf.

    Parameters
    ----------
    path : Path
        Of the document.
    shelf : Shelf, optional
        To check a recipe against; the one found beside it when left out.

    Raises
    ------
    Invalid
        With every fault: field, value, allowed range, remedy.
    """
    text = read_file(path)
    content = read_document(text)
    summary, remarks = _summary(content)
    if isinstance(content, Recipe):
        near = shelf or shelf_near(path)
        if near is None:
            remarks = (*remarks, "No shelf was found beside it, so supplies were not looked up.")
        elif problems := check_against_shelf(content, near):
            raise Invalid(problems, what=f"Recipe “{content.name}”")
    return Checked(kind=kind_of(text).value, summary=summary, remarks=remarks)


def _summary(content: Content) -> tuple[str, tuple[str, ...]]:
    match content:
        case Recipe():
            colours = "two-colour" if content.is_two_colour else "one-colour"
            return f"Recipe “{content.name}”, {colours}, version {content.version}.", ()
        case Mould():
            volume = profile(content).volume * 1e6
            text = (
                f"Mould “{content.name}”: {content.cavities} cavities, "
                f"{len(content.stations)} stations, {volume:.1f} mL a bait by its shape."
            )
            remarks = [note.text for note in shape_notes(content)]
            if not content.bottom_mark:
                remarks.append("It has no BOTTOM mark yet: set-up is not complete without one.")
            return text, tuple(remarks)
        case Bench():
            return f"Bench “{content.name}”.", ()
        case Shelf():
            return f"Shelf with {sum(1 for _ in content)} supplies.", ()
