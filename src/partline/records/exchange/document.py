"""A document's text before it means anything: its size, its characters and its TOML."""

from __future__ import annotations

import re
import stat
import tomllib
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path

import tomli_w

from partline.errors import InputError, NotFound, RecordError

#: Largest document that is looked at: a thousand times a long recipe. [bytes]
LARGEST = 256_000

_PLACE = re.compile(r" \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$")


def read_file(path: Path) -> str:
    """Return a document's text; a file too large to be one is refused unread.

    Raises
    ------
    NotFound
        If there is no such file.
    RecordError
        If it cannot be opened.
    InputError
        If it is no plain file, too large, or not UTF-8.
    """
    try:
        facts = path.stat()
        if not stat.S_ISREG(facts.st_mode):
            raise InputError(f"{path} is not a file.", given=str(path), remedy="Name a file.")
        check_size(facts.st_size, str(path))
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)  # it may have grown since it was measured
    except FileNotFoundError:
        raise NotFound(
            f"There is no file {path}. Look at its name and its folder again."
        ) from None
    except OSError as error:
        raise RecordError(f"{path} cannot be opened: {error.strerror}.") from error
    check_size(len(content), str(path))
    return decode(content, str(path))


def check_size(size: int, name: str = "This document") -> None:
    """Refuse what is too large to be a document.

    Raises
    ------
    InputError
        If `size` [bytes] is above `LARGEST`.
    """
    if size > LARGEST:
        raise InputError(
            f"{name} is {size / 1000:,.0f} kB large; a document is at most "
            f"{LARGEST / 1000:.0f} kB.",
            given=name,
            remedy="Choose the file of one recipe, mould, bench or shelf.",
        )


def decode(content: bytes, name: str = "This document") -> str:
    """Return the text of a file's bytes.

    Raises
    ------
    InputError
        If it is too large or not UTF-8.
    """
    check_size(len(content), name)
    try:
        # utf-8-sig: some editors begin a file with a mark that is no part of the text.
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise InputError(
            f"{name} is not UTF-8 text: line {line} holds a character that cannot be read.",
            remedy="Save it again as UTF-8 in the editor it was written with.",
        ) from None


def parse_toml(text: str) -> dict[str, object]:
    """Return a document's keys and values; decimals keep the digits that were typed.

    Raises
    ------
    InputError
        If it is too large or not TOML; says the line.
    """
    check_size(len(text.encode("utf-8", "surrogatepass")))
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except RecursionError:
        message = "The brackets in this document are nested too deeply."
        raise InputError(message, remedy="Tables here are at most three deep.") from None
    except ValueError as error:
        raise _as_sentence(str(error), text) from None


def _as_sentence(reason: str, text: str) -> InputError:
    """Return tomllib's complaint as a sentence with the line itself."""
    place = _PLACE.search(reason)
    if place is None or place["line"] is None:
        where, typed = "The document", ""
        if place is not None:
            where = "The end of the document"
    else:
        number = int(place["line"])
        lines = text.splitlines()
        typed = lines[number - 1].strip()[:80] if number <= len(lines) else ""
        where = f"Line {number} (“{typed}”)" if typed else f"Line {number}"
    what, remedy = _hint(reason, typed)
    message = f"{where} cannot be read as TOML: {what}."
    return InputError(message, given=typed, remedy=remedy)


def _hint(reason: str, typed: str) -> tuple[str, str]:
    """Return what is wrong with a line, and what to do, for the slips that people make."""
    if "Illegal character '\\n'" in reason:
        return "a quotation mark is not closed", 'End the text with ".'
    if "Cannot overwrite a value" in reason:
        return "this key stands twice in its table", "Keep one of the two lines."
    what = _PLACE.sub("", reason)
    what = what[:1].lower() + what[1:].rstrip(".")
    if re.search("[“”„‘’]", typed):
        return what, 'Write straight quotes (") in place of the curly ones.'
    if re.search(r"=\s*[+-]?\d+,\d", typed):
        return what, "Write the decimal mark as a full stop, as in 0.35."
    return what, 'Names and amounts with their unit stand in quotes, as in: width = "8.4 mm"'


def format_toml(document: Mapping[str, object]) -> str:
    """Return a document as text that a person can read."""
    return tomli_w.dumps(document, multiline_strings=True)
