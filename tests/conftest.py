"""Rules of the whole suite: what is checked against print says where it was printed."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

PUBLISHED = Path(__file__).parent / "published"

# On a busy machine the threads of a small decomposition wait for each other for seconds.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
_no_tables = tempfile.TemporaryDirectory(prefix="partline-tables-")


def pytest_configure() -> None:
    """Let no user's cache of response tables and no work in the background take part.

    Servers that browser tests start inherit both.
    """
    os.environ["PARTLINE_TABLES"] = _no_tables.name
    os.environ["PARTLINE_MAKE_TABLES"] = "no"


def pytest_unconfigure() -> None:
    """Clear up at the end of each worker, which else is warned of it as it dies."""
    _no_tables.cleanup()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Refuse a test under tests/published that does not name its source and place."""
    for item in items:
        if PUBLISHED not in item.path.parents:
            continue
        mark = item.get_closest_marker("published")
        if mark is None or not (mark.kwargs.get("source") and mark.kwargs.get("where")):
            message = f"{item.nodeid} needs @pytest.mark.published(source=…, where=…)"
            raise pytest.UsageError(message)


@pytest.fixture
def deviation(record_property: Callable[[str, object], None]) -> Callable[[float], None]:
    """Record how far a result lies from the printed one, for docs/verification.md."""
    return lambda value: record_property("deviation", float(value))
