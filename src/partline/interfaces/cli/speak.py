"""Where the command line speaks: answers to stdout, refusals to stderr."""

from __future__ import annotations

import json
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path
from typing import NoReturn

from partline.errors import Error, InputError


def accept_any_terminal() -> None:
    """Let a terminal that lacks a letter show a question mark in its place."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


def say(text: str = "") -> None:
    """Print a line of an answer."""
    print(text, flush=True)


def hint(text: str) -> None:
    """Print a line that is no part of the answer."""
    print(text, file=sys.stderr, flush=True)


def say_json(answer: object) -> None:
    """Print an answer as JSON, in letters that the terminal knows."""
    is_narrow = "utf" not in (sys.stdout.encoding or "").lower()
    print(json.dumps(answer, ensure_ascii=is_narrow, indent=2))


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turn a place that takes no file into a refusal with the reason.

    Raises
    ------
    InputError
        If `path` cannot be written.
    """
    try:
        yield
    except OSError as error:
        raise InputError(
            f"{path} cannot be written: {error.strerror}.",
            given=str(path),
            remedy="Name another place.",
        ) from error


def fail(error: Error, *, as_json: bool) -> NoReturn:
    """Say why a request was refused and leave with status 2."""
    if as_json:
        say_json({"error": error.as_dict()})
    print(str(error), file=sys.stderr)
    raise SystemExit(2)


def fault_of_ours(error: Exception) -> NoReturn:
    """Say that a bug was met, with what we need to mend it, and leave with status 1."""
    traceback.print_exception(error)
    print(
        "This is our fault, not yours. Nothing that was saved is lost. Please send us the lines "
        "above and the file you used.",
        file=sys.stderr,
    )
    raise SystemExit(1)
