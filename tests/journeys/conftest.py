"""A demo workshop and an empty one, each behind a web app."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from partline.services.workshop import load_demo, open_at
from tests.journeys.visiting import Site


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo workshop that is only copied, never opened again."""
    folder = tmp_path_factory.mktemp("filled") / "shed"
    with open_at(folder) as workshop:
        load_demo(workshop)
    return folder


@pytest.fixture
def site(tmp_path: Path, filled: Path) -> Iterator[Site]:
    """The demo workshop."""
    shutil.copytree(filled, tmp_path / "shed")
    with open_at(tmp_path / "shed") as workshop:
        yield Site.over(workshop)


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Site]:
    """A workshop in which nothing is kept yet."""
    with open_at(tmp_path / "empty") as workshop:
        yield Site.over(workshop)
