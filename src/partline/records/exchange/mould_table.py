"""Many moulds as one table, a row each: every fault is named by its row and column."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from io import StringIO
from typing import Any

from partline.errors import Ambiguous, InputError, Invalid, Reading
from partline.quantities.estimate import Estimate
from partline.quantities.units import Kind
from partline.quantities.units.table import OFFERED, find
from partline.records.exchange.amount import Span, as_typed, read_amount, write_amount
from partline.records.exchange.document import format_toml
from partline.records.exchange.mould import GATE, LENGTH, SPRUE_MASS, read_mould
from partline.records.exchange.mould_sizes import AGREE, CALIPER
from partline.records.exchange.station import HALF, WIDTH
from partline.records.exchange.table import Collecting

SHOT = Span(low=0.05, high=5000, unit="g", why="Everything that came out of the mould at once.")
MOST_ROWS = 500
#: Where the two stations of a row are taken to lie along the bait. Common practice, no source. [-]
BELLY, TAIL = 0.40, 1.0
#: A bait wider than this share of its length was hardly typed in one unit. [-]
STOUTEST = 0.6

#: Columns with a unit: what they measure, and what they can hold.
MEASURED: dict[str, tuple[Kind, Span]] = {
    "shot": (Kind.MASS, SHOT),
    "sprue": (Kind.MASS, SPRUE_MASS),
    "length": (Kind.LENGTH, LENGTH),
    "belly width": (Kind.LENGTH, WIDTH),
    "belly back half": (Kind.LENGTH, HALF),
    "belly belly half": (Kind.LENGTH, HALF),
    "tail half": (Kind.LENGTH, HALF),
    "gate": (Kind.LENGTH, GATE),
}
PLAIN = ("name", "cavities", "bottom mark", "material", "note")
OPTIONAL = frozenset({"tail half", "gate", "bottom mark", "material", "note"})
#: Columns that fields of a mould's document come from.
_COLUMN_OF = {
    "bait_mass": "shot",
    "bait_mass.value": "shot",
    "stations[0].width": "belly width",
    "stations[0].back_half": "belly back half",
    "stations[1].back_half": "tail half",
    "stations[1].width": "tail half",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One mould of a table.

    Parameters
    ----------
    place : str
        Where it stands, such as ``row 3``.
    name : str
        Its own name.
    text : str
        The mould as a document.
    """

    place: str
    name: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    """A head: the words as they stand there, what they mean, and the unit they carry."""

    head: str
    name: str
    unit: str


def read_mould_table(text: str) -> tuple[Row, ...]:
    """Return the moulds of a table, one document each.

    Parameters
    ----------
    text : str
        CSV parted by commas, semicolons or tabs, its first line the heads. Row 1 is that line.

    Raises
    ------
    Invalid
        With every fault; the field is its row and column. Nothing of a faulty table is used.
    """
    if "\0" in text:
        message = (
            "This is a spreadsheet's or another program's own file, not a table in plain text."
        )
        raise InputError(message, remedy="Save it from there as CSV, and bring that in.")
    lines = _lines(text)
    problems: list[InputError] = []
    columns = _columns(lines[0], problems) if lines else []
    if len(lines) < 2 and not problems:
        problems.append(
            InputError(
                "There is no mould in this table.",
                field="row 2",
                remedy="Write the heads in row 1 and a mould in each row below.",
            )
        )
    if len(lines) > MOST_ROWS + 1:
        problems.append(
            InputError(
                f"{len(lines) - 1} moulds at once; at most {MOST_ROWS} are taken.",
                remedy="Part the table in two.",
            )
        )
    rows = [] if problems else list(_rows(columns, lines, problems))
    places: dict[str, str] = {}
    for row in rows:
        if first := places.get(row.name.casefold()):
            message = f"“{row.name}” stands in {first} already."
            problems.append(
                InputError(
                    message,
                    field=f"{row.place}, name",
                    given=row.name,
                    remedy="Give each mould its own name.",
                )
            )
        places.setdefault(row.name.casefold(), row.place)
    if problems:
        raise Invalid(tuple(problems), what="This table of moulds")
    return tuple(rows)


def _lines(text: str) -> list[tuple[int, list[str]]]:
    """Return the rows that are not empty, each with its number."""
    head = text.lstrip().partition("\n")[0]
    parted = max(",;\t", key=head.count)
    reader = csv.reader(StringIO(text.strip("\ufeff")), delimiter=parted)
    try:
        rows = [[cell.strip() for cell in row] for row in reader]
    except csv.Error as error:
        message = f"Row {reader.line_num} cannot be read as a table: {error}."
        raise InputError(message, remedy="Save it again as CSV.") from None
    return [(number, row) for number, row in enumerate(rows, start=1) if any(row)]


def _columns(line: tuple[int, list[str]], problems: list[InputError]) -> list[_Column]:
    number, heads = line
    columns = []
    for head in heads:
        with Collecting(problems, f"row {number}, {head or 'an empty head'}"):
            columns.append(_column(head))
    names = [column.name for column in columns]
    for name in sorted({name for name in names if names.count(name) > 1}):
        problems.append(
            InputError(
                f"The column “{name}” stands there twice.",
                field=f"row {number}, {name}",
                remedy="Take one away.",
            )
        )
    known = {*MEASURED, *PLAIN} - OPTIONAL
    if not problems:
        for name in [each for each in (*PLAIN, *MEASURED) if each in known - set(names)]:
            example = f"{name} {OFFERED[MEASURED[name][0]][0]}" if name in MEASURED else name
            problems.append(
                InputError(
                    f"The column “{name}” is missing.",
                    field=f"row {number}",
                    remedy=f"Add a column with the head “{example}”.",
                )
            )
    return columns


def _column(head: str) -> _Column:
    words = " ".join(head.casefold().replace("_", " ").split())
    for name in sorted(MEASURED, key=len, reverse=True):
        if words == name or words.startswith((f"{name} ", f"{name},", f"{name}(")):
            return _Column(head=head, name=name, unit=_unit(head, name, words))
    if words in PLAIN:
        return _Column(head=head, name=words, unit="")
    if words in ("shape", "section", "points", "outline"):
        message = f"A table cannot say “{head}”: its bellies are round or elliptic by their sizes."
        remedy = (
            "Leave the column out, and give a flat bottom or an outline afterwards in the "
            "mould's form, or write that mould as a file."
        )
        raise InputError(message, given=head, remedy=remedy)
    near = get_close_matches(words, [*PLAIN, *MEASURED], n=1, cutoff=0.5)
    known = ", ".join([*PLAIN, *MEASURED])
    raise InputError(
        f"The column “{head}” is not known.",
        given=head,
        remedy=f"Did you mean “{near[0]}”?" if near else f"Known columns: {known}.",
    )


def _unit(head: str, name: str, words: str) -> str:
    kind = MEASURED[name][0]
    typed = words.removeprefix(name).strip(" ,")
    if typed.startswith("(") and typed.endswith(")"):
        typed = typed[1:-1].strip()
    unit = find(typed, kind) if typed else None
    if unit is not None:
        return unit.symbol
    readings = tuple(
        Reading(write=f"{name} {symbol}", means=f"a column in {symbol}")
        for symbol in OFFERED[kind]
    )
    message = f"The column “{head}” says no unit that a {kind} can have."
    raise Ambiguous(message, readings=readings, given=head)


def _rows(
    columns: list[_Column], lines: list[tuple[int, list[str]]], problems: list[InputError]
) -> Iterator[Row]:
    for number, cells in lines[1:]:
        before = len(problems)
        place = f"row {number}"
        if len(cells) != len(columns):
            message = f"Row {number} has {len(cells)} cells, the heads are {len(columns)}."
            remedy = (
                "Is there a comma inside a number or a name? Write numbers with a point, "
                "or save the table parted by semicolons."
            )
            problems.append(InputError(message, field=place, remedy=remedy))
            continue
        given = dict(zip(columns, cells, strict=True))
        words = {column.name: cell for column, cell in given.items()}
        amounts = _amounts(given, number, problems)
        document = _document(words, amounts, number, problems)
        if document is not None and len(problems) == before:
            text = format_toml(document)
            try:
                read_mould(text)
            except Invalid as refusal:
                for problem in refusal.problems:
                    problem.field = f"{place}, {_COLUMN_OF.get(problem.field, problem.field)}"
                problems += refusal.problems
            yield Row(place=place, name=words["name"], text=text)


def _amounts(
    given: dict[_Column, str], number: int, problems: list[InputError]
) -> dict[str, tuple[str, float]]:
    """Return the amounts of a row, as typed with their unit and in SI."""
    found = {}
    for column, cell in given.items():
        if column.name not in MEASURED:
            continue
        kind, span = MEASURED[column.name]
        place = f"row {number}, {column.head}"
        with Collecting(problems, place):
            if not cell:
                if column.name in OPTIONAL:
                    continue
                raise InputError(
                    f"Row {number} has nothing under “{column.head}”.",
                    remedy="Measure it, or enter this mould by the questions.",
                )
            # A cell that says its own unit has said it; a bare number has its column's.
            has_unit = any(letter.isalpha() or letter in '″"' for letter in cell)
            typed = cell if has_unit else f"{cell} {column.unit}"
            label = f"Row {number}, “{column.head}”"
            found[column.name] = (typed, read_amount(label, typed, kind, span))
    return found


def _document(
    words: dict[str, str],
    amounts: dict[str, tuple[str, float]],
    number: int,
    problems: list[InputError],
) -> dict[str, Any] | None:
    before = len(problems)

    def refuse(column: str, message: str, remedy: str) -> None:
        problems.append(InputError(message, field=f"row {number}, {column}", remedy=remedy))

    if not words["name"]:
        refuse("name", f"The mould in row {number} has no name.", "Give it one.")
    count = words["cavities"]
    if not (count.isascii() and count.isdigit() and 1 <= int(count[:9]) <= 500):
        refuse(
            "cavities",
            f"“{count[:40]}” is no number of cavities; a mould has 1 to 500.",
            "Count the hollows.",
        )
    if any(name not in amounts for name in MEASURED if name not in OPTIONAL):
        return None
    (shot, sprue, length, width) = (amounts[n] for n in ("shot", "sprue", "length", "belly width"))
    if sprue[1] >= shot[1]:
        refuse(
            "sprue",
            f"The sprue weighs {sprue[0]}, the whole shot {shot[0]}.",
            "The shot is baits, sprue and runner together: weigh both again.",
        )
    if width[1] > STOUTEST * length[1]:
        refuse(
            "length",
            f"A bait {length[0]} long and {width[0]} wide?",
            "Is the length in inches, typed under millimetres?",
        )
    if len(problems) > before:
        return None
    bait = _bait(shot, sprue, int(count))
    optional = {
        "bottom_mark": words.get("bottom mark", ""),
        "material": words.get("material", ""),
        "note": words.get("note", ""),
        "gate": amounts["gate"][0] if "gate" in amounts else "",
    }
    return {
        "name": words["name"],
        "cavities": int(count),
        "bait_mass": bait,
        "sprue_mass": sprue[0],
        "length": length[0],
        **{key: value for key, value in optional.items() if value},
        # Where the stations lie was not asked for in a table, and nobody has said it.
        "guesses": ["stations"],
        "stations": _stations(amounts),
    }


def _bait(shot: tuple[str, float], sprue: tuple[str, float], cavities: int) -> dict[str, str]:
    """Return one bait's mass: a shot less its sprue, over the cavities, to the digits typed."""
    both: tuple[Estimate, Estimate] = (as_typed(*shot), as_typed(*sprue))
    whole, lost = both
    ends = ((whole.value, lost.value), (whole.low, lost.high), (whole.high, lost.low))
    value, low, high = (
        write_amount(round((each - other) / cavities, 9), "g", Kind.MASS) for each, other in ends
    )
    return {
        "value": value,
        "low": low,
        "high": high,
        "origin": "computed",
        "source": "one shot less its sprue, over the cavities",
        "narrows": "a finer scale, or several shots weighed together",
    }


def _stations(amounts: dict[str, tuple[str, float]]) -> list[dict[str, Any]]:
    width, back, belly = (
        amounts[f"belly {name}"] for name in ("width", "back half", "belly half")
    )
    height = back[1] + belly[1]
    is_round = abs(width[1] - height) <= AGREE * height + CALIPER
    stations: list[dict[str, Any]] = [
        {
            "name": "belly",
            "position": BELLY,
            "shape": "round" if is_round else "elliptic",
            "width": width[0],
            "back_half": back[0],
            "belly_half": belly[0],
        }
    ]
    if "tail half" in amounts:
        half = amounts["tail half"]
        stations.append(
            {
                "name": "tail",
                "position": TAIL,
                "shape": "round",
                "width": write_amount(round(2 * half[1], 9), "mm", Kind.LENGTH),
                "back_half": half[0],
                "belly_half": half[0],
            }
        )
    return stations
