"""From the texts of a form to the answers that they say."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import TypeVar

from partline.errors import InputError, Invalid
from partline.materials.supply import Clarity
from partline.process.recipe import Half
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, read_amount
from partline.records.exchange.bench import CAPACITY
from partline.records.exchange.mould import BAIT_MASS, LENGTH
from partline.services.beginning.answers import Answers, Bottle
from partline.services.beginning.contradictions import contradictions

T = TypeVar("T")
Fields = Mapping[str, str]

#: What people type when they have no answer.
UNKNOWN = frozenset({
    "", "?", "-", "–", "don't know", "dont know", "don’t know", "unknown", "dunno", "no idea",
    "not sure", "n/a",
})  # fmt: skip
#: Bottles that the page has room for.
BOTTLES = 4
MOST_CAVITIES = 500
LONGEST_NAME = 60
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def read_answers(fields: Fields) -> Answers:
    """Return what a form's texts say.

    Parameters
    ----------
    fields : mapping of str
        ``colours``, ``cup``, ``scale``, ``cavities``, ``bait_mass``, ``bait_length``,
        ``bottleN_name``, ``bottleN_clarity``, ``bottleN_known``, ``bottleN_patch``,
        ``bottleN_half`` for N from 1, ``mould`` and ``bench``; what is missing is not known.

    Raises
    ------
    Invalid
        With every answer that cannot be used; carries its field.
    """
    problems: list[InputError] = []

    def asked(field: str, read: Callable[[str, str], T], blank: T) -> T:
        text = _typed(fields, field)
        if text.casefold() in UNKNOWN:
            return blank
        try:
            return read(field, text)
        except InputError as problem:
            problem.field = field
            problems.append(problem)
            return blank

    mould, bench = _typed(fields, "mould"), _typed(fields, "bench")
    answers = Answers(
        colours=asked("colours", _colours, None),
        cup=asked("cup", _amount("The cup", Kind.VOLUME, CAPACITY), ""),
        reads_fahrenheit=asked("scale", _scale, None),
        cavities=asked("cavities", _cavities, None),
        bait_mass=asked("bait_mass", _amount("One bait", Kind.MASS, BAIT_MASS), ""),
        bait_length=asked("bait_length", _amount("The bait’s length", Kind.LENGTH, LENGTH), ""),
        bottles=tuple(_bottles(fields, problems)),
        mould=mould,
        bench=bench,
    )
    if not problems:
        problems += contradictions(answers)
    if problems:
        raise Invalid(tuple(problems), what="This page")
    return answers


def _typed(fields: Fields, field: str) -> str:
    return str(fields.get(field, "")).strip()


def _amount(label: str, kind: Kind, span: Span) -> Callable[[str, str], str]:
    def read(_: str, text: str) -> str:
        read_amount(label, text, kind, span)
        return text

    return read


def _colours(_: str, text: str) -> int:
    if text in {"1", "2"}:
        return int(text)
    raise InputError(f"“{text[:40]}” colours?", given=text[:40], remedy="Choose one or two.")


def _scale(_: str, text: str) -> bool:
    if text in {"°C", "°F"}:
        return text == "°F"
    message = f"“{text[:40]}” is neither °C nor °F."
    raise InputError(message, given=text[:40], remedy="Choose what your thermometer shows.")


def _cavities(_: str, text: str) -> int:
    is_whole = text.isascii() and text.isdigit() and len(text) < 9
    if is_whole and 1 <= int(text) <= MOST_CAVITIES:
        return int(text)
    raise InputError(
        f"“{text[:40]}” is no number of cavities; a mould has 1 to {MOST_CAVITIES}.",
        given=text[:40],
        remedy="Count the hollows, or leave it empty.",
    )


def _bottles(fields: Fields, problems: list[InputError]) -> Iterator[Bottle]:
    names: set[str] = set()
    for number in range(1, BOTTLES + 1):
        key = f"bottle{number}_"
        bottle = _bottle(fields, key, problems)
        if bottle is None:
            continue
        if bottle.name.casefold() in names:
            problems.append(
                InputError(
                    f"Two bottles are called “{bottle.name}”.",
                    field=f"{key}name",
                    given=bottle.name,
                    remedy="Give each its own name.",
                )
            )
        names.add(bottle.name.casefold())
        yield bottle


def _bottle(fields: Fields, key: str, problems: list[InputError]) -> Bottle | None:
    name, is_stand_in = " ".join(_typed(fields, f"{key}name").split()), False
    clarity = _typed(fields, f"{key}clarity").casefold()
    patch = _typed(fields, f"{key}patch") if _typed(fields, f"{key}known") else ""
    if name.casefold() in UNKNOWN:
        if not patch and clarity in UNKNOWN:
            return None
        name, is_stand_in = f"bottle {key.removeprefix('bottle').removesuffix('_')}", True

    def refuse(field: str, message: str, remedy: str) -> None:
        problems.append(InputError(message, field=f"{key}{field}", remedy=remedy))

    if len(name) > LONGEST_NAME or not name.isprintable():
        refuse(
            "name",
            "This name is too long or holds a sign that cannot be seen.",
            f"Give it up to {LONGEST_NAME} plain letters.",
        )
    if clarity not in UNKNOWN and clarity not in set(Clarity):
        refuse(
            "clarity",
            f"“{clarity[:40]}” is no kind of bottle.",
            f"Choose one of: {', '.join(Clarity)}, or don’t know.",
        )
        clarity = ""
    if patch and not _COLOUR.fullmatch(patch):
        refuse("patch", f"“{patch[:40]}” is no colour.", "Pick it from the patch.")
    half = _typed(fields, f"{key}half")
    return Bottle(
        name=name,
        clarity=Clarity(clarity) if clarity not in UNKNOWN else None,
        patch=patch.lower(),
        half=Half(half) if half in set(Half) else None,
        is_spare=half == "shelf",
        is_stand_in=is_stand_in,
    )
