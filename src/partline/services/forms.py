"""Documents as forms: fields out, what was typed in, and what is wrong beside its field."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from partline.errors import Ambiguous, InputError, Invalid, Reading
from partline.quantities.estimate import Origin
from partline.records.documents import Documents, Version
from partline.records.exchange import Content
from partline.records.exchange.edit import Entry, put, typed
from partline.services.workshop import now

Json = dict[str, Any]
C = TypeVar("C", bound=Content)

#: More rows, or longer words, are a script's mistake.
MOST_ROWS, LONGEST = 60, 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a form.

    Parameters
    ----------
    key : str
        Where it stands in the document's table, such as ``vessel.capacity``.
    label : str
        In the maker's words.
    entry : Entry
        How it is written.
    help : str
        A few words under it.
    example : str
        Shown where nothing is typed.
    options : tuple of str
        To choose from; empty for a free entry.
    path : str
        Where refusals say that it stands, where that is not `key`.
    """

    key: str
    label: str
    entry: Entry = Entry.AMOUNT
    help: str = ""
    example: str = ""
    options: tuple[str, ...] = ()
    path: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields that belong together.

    Parameters
    ----------
    title : str
        Above them.
    fields : tuple of Field
        In the order of the work.
    help : str
        A sentence under the title.
    """

    title: str
    fields: tuple[Field, ...]
    help: str = ""


def filled(table: Mapping[str, Any], fields: Iterable[Field]) -> list[Json]:
    """Return fields with what stands in a document's table."""
    return [
        {
            "key": field.key,
            "path": field.path or field.key,
            "label": field.label,
            "entry": field.entry.value,
            "help": field.help,
            "example": field.example,
            "options": list(field.options),
            "value": typed(table, field.key),
            "known": _known(table, field.key),
            "is_guess": field.key in table.get("guesses", ()),
        }
        for field in fields
    ]


def filled_groups(table: Mapping[str, Any], groups: Iterable[Group]) -> list[Json]:
    """Return groups with what stands in a document's table."""
    return [
        {"title": each.title, "help": each.help, "fields": filled(table, each.fields)}
        for each in groups
    ]


def _known(table: Mapping[str, Any], key: str) -> str:
    """Return the range and origin that a field's own text does not show."""
    value: Any = table
    for part in key.split("."):
        value = value.get(part) if isinstance(value, Mapping) else None
    if not isinstance(value, Mapping) or "±" in typed(table, key):
        return ""
    ends = f"{value['low']} to {value['high']}" if "low" in value else ""
    origin = str(value.get("origin", ""))
    count = f"n = {value['count']}" if value.get("count") else ""
    if origin in set(Origin) and Origin(origin).is_guess:
        origin = f"a guess ({origin})"
    return ", ".join(part for part in (ends, origin, count) if part)


def text_of(given: Mapping[str, Any], key: str) -> str | None:
    """Return what was typed into a field; None when the form does not send it.

    Raises
    ------
    InputError
        If it is no text.
    """
    value = given.get(key)
    if value is None:
        return None
    if not isinstance(value, str) or len(value) > LONGEST:
        message = f"What was sent for “{key}” is no text of at most {LONGEST} letters."
        raise InputError(message, field=key, remedy="Make it shorter.")
    return value


def write_fields(
    table: MutableMapping[str, Any], fields: Iterable[Field], given: Mapping[str, Any]
) -> None:
    """Write what was typed into a document's table; fields that were not sent stay.

    What was typed anew, or ticked under ``checked``, is no guess any longer.
    """
    checked = given.get("checked", ())
    for field in fields:
        text = text_of(given, field.key)
        is_new = text is not None and put(table, field.key, field.entry, text)
        if is_new or (isinstance(checked, list) and field.key in checked):
            no_guess(table, field.key)


def no_guess(table: MutableMapping[str, Any], key: str) -> None:
    """Take a key off a table's list of guesses."""
    guesses = table.get("guesses")
    if not isinstance(guesses, list) or key not in guesses:
        return
    guesses.remove(key)
    if not guesses:
        del table["guesses"]


def fields_given(given: object) -> Mapping[str, Any]:
    """Return a form's fields as a script sent them.

    Raises
    ------
    InputError
        If they are no table.
    """
    if not isinstance(given, Mapping):
        raise InputError("The form is not a table of fields.", field="fields")
    return given


def rows_given(given: Mapping[str, Any], key: str) -> Sequence[Mapping[str, Any]] | None:
    """Return a form's rows; None when the form does not send them.

    Raises
    ------
    InputError
        If they are no rows, or too many.
    """
    rows = given.get(key)
    if rows is None:
        return None
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise InputError(f"The form's “{key}” is not a list of rows.", field=key)
    if len(rows) > MOST_ROWS:
        message = f"{len(rows)} rows were given; at most {MOST_ROWS} fit."
        raise InputError(message, field=key, remedy="Leave the ones between out.")
    return rows


_LINE = re.compile(r'(?P<key>\w+) = "(?P<value>.*)"')
_POINT = re.compile(r"\.points\[\d+\]")
_IN_A_FILE = {
    "Add a line": "Fill it in.",
    "Add band": "Fill in both ends.",
    "Write it without quotes": "Write a plain number.",
    "Give one of bait_mass": "Give one of the two, and leave the other blank.",
    "Add [[stations]]": "Add a station.",
    "Write it as in: over_": "Write them with blanks between, such as 40 12 25.",
}


def in_form_words(refusal: Invalid, at: str = "", groups: Iterable[Group] = ()) -> Invalid:
    """Return a refusal with paths and remedies for a form instead of a file.

    Parameters
    ----------
    refusal : Invalid
        As a reader of documents raises it.
    at : str
        Path of the table that the form shows, such as ``colourant[1]``; empty for all of it.
    groups : iterable of Group
        The form's own, whose labels stand in for the names of keys.
    """
    labels = {field.key: field.label for group in groups for field in group.fields}
    for problem in refusal.problems:
        if at and problem.field.startswith(f"{at}."):
            problem.field = problem.field[len(at) + 1 :]
        if isinstance(problem, Ambiguous) and _POINT.search(problem.field):
            # One field shows all points of an outline: a reading must not be put in their place.
            problem.readings = ()
        if isinstance(problem, Ambiguous):
            problem.readings = tuple(_reading(each, problem.field) for each in problem.readings)
        problem.message = _labelled(problem, labels)
        for beginning, remedy in _IN_A_FILE.items():
            if problem.remedy.startswith(beginning):
                problem.remedy = remedy
    return Invalid(refusal.problems, what="This form")


def _labelled(problem: InputError, labels: Mapping[str, str]) -> str:
    """Return a refusal's message with the label of its field for the name of its key."""
    label = labels.get(problem.field)
    key = problem.field.rpartition(".")[2].replace("_", " ").capitalize()
    if label is None or not problem.message.startswith((f"{key} ", f"{key}:", f"{key},")):
        return problem.message
    return f"“{label}”{problem.message[len(key) :]}"


def _reading(reading: Reading, field: str) -> Reading:
    """Return a reading that names a line of a file as one that names a field of a form."""
    line = _LINE.fullmatch(reading.write)
    if line is None:
        return reading
    table, dot, _ = field.rpartition(".")
    return replace(reading, write=line["value"], field=f"{table}{dot}{line['key']}")


def save_edited(
    store: Documents[C],
    edit: Callable[[str], str],
    *,
    document_id: str,
    based_on: int,
    at: Callable[[str], str] = lambda _: "",
    name: str = "",
    note: str = "",
    groups: Iterable[Group] = (),
) -> Version:
    """Keep an edited document as its next version, or a new one when it has no code yet.

    Parameters
    ----------
    store : Documents
        Where it is kept.
    edit : callable
        From the text of version `based_on` to the next one's.
    document_id : str
        Code of the document; empty for a new one.
    based_on : int
        Number of the version that the edit began from.
    at : callable
        From the edited text to the path of the table that the form shows.
    name : str
        For a new document that does not say its own.
    note : str
        Why it was edited.
    groups : iterable of Group
        The form's own, whose labels a refusal speaks.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer version first; nothing is overwritten.
    """
    before = store.get(document_id, based_on).version if document_id else None
    text = edit(before.text if before else "")
    try:
        if before is None:
            return store.add(text, now=now(), note=note, name=name).version
        if text == before.text and before.number == before.latest:
            return before  # nothing was changed, so there is nothing to keep
        saved = store.save(document_id, text, based_on=based_on, now=now(), note=note)
    except Invalid as refusal:
        raise in_form_words(refusal, at(text), groups) from None
    return saved.version
