"""Where the command line speaks: answers to stdout, refusals to stderr."""

from __future__ import annotations

import json
import sys
import traceback
from typing import NoReturn

from partline.errors import Error


def say(text: str = "") -> None:
    """Print a line of an answer."""
    print(text, flush=True)


def say_json(answer: object) -> None:
    """Print an answer as JSON."""
    print(json.dumps(answer, ensure_ascii=False, indent=2))


def fail(error: Error, *, as_json: bool) -> NoReturn:
    """Say why a request was refused and leave with status 2."""
    if as_json:
        print(json.dumps({"error": error.as_dict()}, ensure_ascii=False, indent=2))
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
