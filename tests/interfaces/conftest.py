"""The command line for every test in this room."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.interfaces.command import Run, runner


@pytest.fixture
def run(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Run:
    """`partline` in this process, in a home of its own."""
    return runner(capsys, monkeypatch, tmp_path / "home")
