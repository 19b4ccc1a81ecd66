"""The command line in this process: what it says on either stream, and its exit status."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from partline.interfaces.cli import main


@dataclass(frozen=True)
class Ran:
    """One call."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


Run = Callable[..., Ran]


def runner(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, home: Path) -> Run:
    """Return a function that runs `partline` with the words given, away from the maker's data."""
    monkeypatch.setenv("XDG_DATA_HOME", str(home))

    def run(*words: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["partline", *map(str, words)])
        capsys.readouterr()
        try:
            main()
            status = 0
        except SystemExit as leave:
            status = leave.code if isinstance(leave.code, int) else 0 if leave.code is None else 1
        said = capsys.readouterr()
        return Ran(status=status, out=said.out, err=said.err)

    return run
