"""The catalogue of published rows: what is known of a material before anything is measured."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from functools import cache

from partline.data.loader import rows
from partline.errors import DataError
from partline.materials.property import PropertyRow, read_row


@cache
def catalogue() -> tuple[PropertyRow, ...]:
    """Return every row of the packaged property table, in its order.

    Raises
    ------
    DataError
        If a row is unfit, or stands twice under the same condition.
    """
    found = tuple(read_row(cells) for cells in rows("properties.csv"))
    places = [(row.key, row.name, row.condition) for row in found]
    for place in places:
        if places.count(place) > 1:
            raise DataError(f"Two rows say {' / '.join(place)}; only one can be meant.")
    return found


def published(material: str, name: str, condition: str = "") -> PropertyRow:
    """Return the row of one property of one material.

    Parameters
    ----------
    material : str
        Its key, such as ``dinp``.
    name : str
        The property, such as ``density``.
    condition : str
        Text that the row's condition begins with, where there is more than one row, such as
        ``20 °C``.

    Returns
    -------
    row : PropertyRow
        In SI.

    Raises
    ------
    DataError
        If there is no such row, naming the nearest, or more than one, naming the conditions.

    Examples
    --------
    >>> published("dinp", "density").value
    972.0
    """
    of_material = [row for row in catalogue() if row.key == material]
    if not of_material:
        raise _missing("material", material, (row.key for row in catalogue()))
    of_name = [row for row in of_material if row.name == name]
    if not of_name:
        raise _missing(f"property of {material}", name, (row.name for row in of_material))
    exact = [row for row in of_name if row.condition == condition]
    found = exact or [row for row in of_name if row.condition.startswith(condition)]
    if not found:
        message = f"{name} of {material} under the condition"
        raise _missing(message, condition, (row.condition for row in of_name))
    if len(found) > 1:
        conditions = "; or ".join(f"“{row.condition}”" for row in found)
        raise DataError(f"The {name} of {material} depends on its condition: {conditions}.")
    return found[0]


def _missing(what: str, given: str, known: Iterable[str]) -> DataError:
    """Return the refusal of a name that is not in the table."""
    names = list(dict.fromkeys(known))
    near = get_close_matches(given, names, n=3, cutoff=0.5) or names
    return DataError(f"There is no {what} “{given}” in the table. There is: {', '.join(near)}.")
