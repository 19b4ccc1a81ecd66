"""`partline instrument` and `partline grade`: checks by readings, told before and after, kept."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from partline.errors import InputError, NotFound
from partline.interfaces.cli.speak import say, say_json
from partline.services.check_forms import (
    GRADES,
    INSTRUMENTS,
    save_grade,
    save_instrument,
    try_grade,
    try_instrument,
)
from partline.services.workshop import SHELF, open_at

Json = Mapping[str, Any]


def tell_instrument(
    kind: str, said: list[str], bench: str, workshop: Path | None, *, keeps: bool, as_json: bool
) -> None:
    """Check an instrument of a kept bench, and keep what it says where told to."""
    fields = _fields(said, INSTRUMENTS, kind)
    with open_at(workshop) as opened:
        kept = opened.benches.named(bench or _only(opened.benches.listed())).version
        answer = try_instrument(opened, kept.document_id, kind, fields)
        number = kept.number
        if keeps:
            number = save_instrument(
                opened, kept.document_id, kind, fields, based_on=kept.number
            ).number
    _tell({"bench": kept.name, "version": number, **answer}, as_json=as_json)


def tell_grade(
    kind: str, said: list[str], name: str, workshop: Path | None, *, keeps: bool, as_json: bool
) -> None:
    """Check a grade of the kept shelf, and keep what it says where told to."""
    fields = _fields(said, GRADES, kind)
    with open_at(workshop) as opened:
        number = opened.shelves.named(SHELF).version.number
        answer = try_grade(opened, name, kind, fields)
        if keeps:
            number = save_grade(opened, name, kind, fields, based_on=number).number
    _tell({"version": number, **answer}, as_json=as_json)


def _only(listed: Any) -> str:
    names = [each.name for each in listed]
    if len(names) == 1:
        return str(names[0])
    raise NotFound(f"Say which bench with --bench; kept are {', '.join(names) or 'none'}.")


def _fields(said: list[str], groups: Mapping[str, Any], kind: str) -> dict[str, str]:
    """Return what was said as ``key=value``."""
    if kind not in groups:
        raise InputError(f"“{kind[:40]}” cannot be checked here.", field="kind", given=kind[:40],
                         remedy=f"Say {' or '.join(groups)}.")  # fmt: skip
    known = [field.key for field in groups[kind].fields]
    found = {}
    for each in said:
        key, equals, text = each.partition("=")
        if not equals or key.strip() not in known:
            raise InputError(
                f"“{each[:60]}” says nothing of a {kind}.",
                field=key.strip()[:40],
                given=each[:60],
                remedy=f"Write {', '.join(f'{name}=…' for name in known)}.",
            )
        found[key.strip()] = text.strip()
    return found


def _tell(answer: Json, *, as_json: bool) -> None:
    if as_json:
        say_json(answer)
        return
    say(answer["sentence"])
    before, after, unit = answer["before"], answer["after"], answer["unit"]
    say(f"Before: {answer.get('before_words', '') if before is None else _range(before, unit)}")
    say(f"After: {_range(after, unit)}")
    if after["narrows"]:
        say(f"Narrower with: {after['narrows']}")
    if answer["care"]:
        say(f"Caution: {answer['care']}")


def _range(known: Json, unit: str) -> str:
    return (
        f"{known['value']:g} {unit} ({known['low']:g}–{known['high']:g}), "
        f"{known['origin']}: {known['source']}"
    )
