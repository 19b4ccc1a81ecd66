"""Where the command line speaks: answers to stdout, refusals to stderr."""

from __future__ import annotations

import json
import os
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager, suppress
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
    """Print a line of an answer.

    Raises
    ------
    InputError
        If the place it is sent to takes nothing more.
    """
    try:
        print(text, flush=True)
    except OSError as error:
        # What is stuck would be tried again on leaving, and be a second, wordless failure.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            raise SystemExit(1) from None  # who listened has heard enough
        raise InputError(
            f"The answer cannot be written where it was sent: {error.strerror}.",
            remedy="Make room there, or send it elsewhere.",
        ) from error


def hint(text: str) -> None:
    """Print a line that is no part of the answer."""
    print(text, file=sys.stderr, flush=True)


def say_json(answer: object) -> None:
    """Print an answer as JSON, in letters that the terminal knows."""
    is_narrow = "utf" not in (sys.stdout.encoding or "").lower()
    say(json.dumps(answer, ensure_ascii=is_narrow, indent=2))


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
        with suppress(Error):  # no room for it there; the sentence below still comes
            say_json({"error": error.as_dict()})
    print(str(error), file=sys.stderr)
    raise SystemExit(2)


def misspoken(error: Exception) -> InputError:
    """Return the refusal of words that are no command, or lack or misspell an option."""
    told = getattr(error, "format_message", error.__str__)
    return InputError(f"{told().rstrip('.')}.", remedy="Add --help to see what can be said.")


def fault_of_ours(error: Exception) -> NoReturn:
    """Say that a bug was met, with what we need to mend it, and leave with status 1."""
    traceback.print_exception(error)
    print(
        "This is our fault, not yours. Nothing that was saved is lost. Please send us the lines "
        "above and the file you used.",
        file=sys.stderr,
    )
    raise SystemExit(1)
