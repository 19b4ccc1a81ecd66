"""Read a packaged table by name."""

from __future__ import annotations

import csv
from importlib.resources import files

from partline.errors import DataError


def rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of a packaged CSV table; lines that begin with ``#`` are notes and left out.

    Parameters
    ----------
    name : str
        File name in ``data/tables``, such as ``cie_observer_1931.csv``.

    Returns
    -------
    rows : tuple of dict
        One mapping from column to text for each row, in the file's order.

    Raises
    ------
    DataError
        If there is no such table, or a row has another number of cells than the head.
    """
    table = files("partline.data").joinpath("tables", name)
    if not table.is_file():
        raise DataError(f"There is no packaged table named {name}.")
    lines = [line for line in table.read_text("utf-8").splitlines() if not line.startswith("#")]
    found = tuple(csv.DictReader(lines))
    for number, row in enumerate(found, start=1):
        if None in row or None in row.values():
            raise DataError(f"Row {number} of {name} does not have one cell for each column.")
    return found
