"""Open the maker's workshop, or the demo one; find what is asked for by name or by file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib import metadata, resources
from pathlib import Path

from platformdirs import user_data_path

from partline.errors import InputError, NotFound
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.recipe import Recipe
from partline.records.documents import Version
from partline.records.exchange import (
    DocumentKind,
    kind_of,
    read_bench,
    read_file,
    read_mould,
    read_recipe,
    read_shelf,
)
from partline.records.workshop import Workshop, open_workshop

#: Name that the one shelf of a workshop is kept under.
SHELF = "shelf"
#: File that a folder of recipes keeps its shelf in.
SHELF_FILE = "shelf.toml"
#: Digits of a version's number; more is a slip of the keyboard.
LONGEST_NUMBER = 6


def now() -> datetime:
    """Return the time, with its zone; the only clock that services read."""
    return datetime.now(UTC)


def data_folder() -> Path:
    """Return where this platform keeps a program's data for this person."""
    return user_data_path("partline", appauthor=False)


def demo_folder() -> Path:
    """Return where the demo workshop's own copy is kept, beside the maker's."""
    return data_folder() / "demo"


def examples() -> Path:
    """Return the folder of examples: inside an installed package, or beside the sources.

    Raises
    ------
    NotFound
        If neither is there.
    """
    packaged = Path(str(resources.files("partline"))) / "data" / "examples"
    beside = Path(__file__).parents[3] / "examples"
    for folder in (packaged, beside):
        if (folder / "vessary-shed").is_dir():
            return folder
    raise NotFound("The examples are missing from this installation. Install Partline again.")


def program_version() -> str:
    """Return this program's version."""
    return metadata.version("partline")


def open_at(folder: Path | None = None) -> Workshop:
    """Open the maker's workshop; make an empty one where there is none.

    Raises
    ------
    RecordError
        As `partline.records.workshop.open_workshop`.
    """
    return open_workshop(folder or data_folder(), now=now())


def demo_texts() -> Iterator[str]:
    """Yield each document of the demo workshop, the versions of a recipe in order."""
    shed = examples() / "vessary-shed"
    yield read_file(shed / "bench.toml")
    yield read_file(shed / SHELF_FILE)
    for folder in ("moulds", "recipes"):
        for path in sorted((shed / folder).glob("*.toml")):
            yield read_file(path)


def keep_text(workshop: Workshop, text: str, *, note: str = "") -> Version:
    """Keep a document of any kind, as a new one or as the next version of its name.

    Raises
    ------
    InputError
        If it is no document, or faulty.
    """
    match kind_of(text):
        case DocumentKind.RECIPE:
            return workshop.recipes.keep(text, now=now(), note=note).version
        case DocumentKind.MOULD:
            return workshop.moulds.keep(text, now=now(), note=note).version
        case DocumentKind.BENCH:
            return workshop.benches.keep(text, now=now(), note=note).version
        case DocumentKind.SHELF:
            return workshop.shelves.keep(text, now=now(), note=note, name=SHELF).version


def load_demo(workshop: Workshop) -> None:
    """Put the demo workshop's documents into an empty workshop; do nothing in any other."""
    if workshop.recipes.listed() or workshop.moulds.listed():
        return
    workshop.rename("Vessary Shed")
    for text in demo_texts():
        keep_text(workshop, text)


def shelf_near(path: Path) -> Shelf | None:
    """Return the shelf kept beside a recipe's file or one folder above; None where none is."""
    for folder in (path.parent, path.parent.parent):
        candidate = folder / SHELF_FILE
        if candidate.is_file():
            return read_shelf(read_file(candidate))
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sources:
    """Where names on the command line are looked up.

    Parameters
    ----------
    folder : Path or None
        The workshop; the maker's own when None. It is opened only when a name is no file.
    shelf : Path or None
        A shelf file to use instead of the one found beside the recipe or in the workshop.
    """

    folder: Path | None = None
    shelf: Path | None = None

    def recipe(self, name: str) -> Recipe:
        """Return a recipe by file or by name (``name`` or ``name@2``).

        Raises
        ------
        NotFound, InputError
            If there is none, or it is faulty.
        """
        if looks_like_file(name):
            return read_recipe(_text_of(name, DocumentKind.RECIPE))
        title, number = split_version(name)
        with open_at(self.folder) as workshop:
            return workshop.recipes.named(title, number).content

    def mould(self, name: str) -> Mould:
        """Return a mould by file or by name."""
        if looks_like_file(name):
            return read_mould(_text_of(name, DocumentKind.MOULD))
        title, number = split_version(name)
        with open_at(self.folder) as workshop:
            return workshop.moulds.named(title, number).content

    def bench(self, name: str) -> Bench:
        """Return a bench by file or by name."""
        if looks_like_file(name):
            return read_bench(_text_of(name, DocumentKind.BENCH))
        title, number = split_version(name)
        with open_at(self.folder) as workshop:
            return workshop.benches.named(title, number).content

    def shelf_for(self, recipe_name: str) -> Shelf:
        """Return the shelf to look a recipe's supplies up on.

        Raises
        ------
        NotFound
            If no shelf is named, beside the recipe, or in the workshop.
        """
        if self.shelf is not None:
            return read_shelf(_text_of(str(self.shelf), DocumentKind.SHELF))
        if looks_like_file(recipe_name) and (near := shelf_near(Path(recipe_name))) is not None:
            return near
        with open_at(self.folder) as workshop:
            return workshop.shelves.named(SHELF).content


def _text_of(name: str, wanted: DocumentKind) -> str:
    """Return the text of a file that must be of one kind.

    Raises
    ------
    InputError
        If it is plainly of another: its faults as this one would help nobody.
    """
    text = read_file(Path(name))
    try:
        found = kind_of(text)
    except InputError:
        return text  # what it lacks is said where it is read
    if found is not wanted:
        message = f"{name} is a {found}; a {wanted} is asked for here."
        raise InputError(message, given=name, remedy=f"Name the file of a {wanted}.")
    return text


def looks_like_file(name: str) -> bool:
    """Whether a name on the command line means a file rather than something kept."""
    # A slash alone says nothing: a recipe may be called brown/cream.
    is_path = name.startswith(("./", "../", "/", "~")) or "\\" in name
    return is_path or name.endswith(".toml") or Path(name).is_file()


def split_version(name: str) -> tuple[str, int | None]:
    """Split ``name@2`` into the name and the version's number.

    Raises
    ------
    InputError
        If what follows the last @ is no version number.
    """
    title, at, number = name.rpartition("@")
    if not at:
        return name, None
    is_number = number.isascii() and number.isdigit() and len(number) <= LONGEST_NUMBER
    if not is_number or int(number) < 1:
        raise InputError(
            f"“{number}” is no version number.",
            given=name,
            remedy="Write the name alone, or the name, @ and a number from 1.",
        )
    return title, int(number)
