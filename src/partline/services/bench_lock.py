"""The house rule of a bench: its own ceiling, locked and unlocked at the computer."""

from __future__ import annotations

from partline.records.documents import Version
from partline.records.workshop import Workshop
from partline.services.bench_editing import edited_bench
from partline.services.workshop import now


def lock_ceiling(workshop: Workshop, name: str, typed: str) -> Version:
    """Lock a bench at a ceiling that no page can change.

    Parameters
    ----------
    workshop : Workshop
        Open.
    name : str
        Of the bench.
    typed : str
        Such as ``175 °C``.

    Raises
    ------
    NotFound
        If there is no such bench.
    Invalid
        If it is no temperature, or none that a ceiling can have.
    """
    return _saved(workshop, name, {"ceiling": typed, "ceiling_locked": "yes"}, "ceiling locked")


def unlock_ceiling(workshop: Workshop, name: str) -> Version:
    """Let a bench's ceiling be changed again; it stays as it is until then.

    Raises
    ------
    NotFound
        If there is no such bench.
    """
    return _saved(workshop, name, {"ceiling_locked": ""}, "ceiling unlocked")


def _saved(workshop: Workshop, name: str, given: dict[str, str], note: str) -> Version:
    before = workshop.benches.named(name).version
    text = edited_bench(before.text, given)
    if text == before.text:
        return before
    return workshop.benches.save(
        before.document_id, text, based_on=before.number, now=now(), note=note, unlocks=True
    ).version
