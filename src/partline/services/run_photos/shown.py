"""What the maker says that a photo of a run shows, and where in it."""

from __future__ import annotations

from dataclasses import dataclass

from partline.errors import InputError, OutOfRange
from partline.services.photo_measure import Subject, pointed_at
from partline.services.runs.photo_events import LAST_DAY, LAST_SHOT
from partline.studies.photo import Pointed
from partline.studies.photo_card import Pocket

#: Letters of what is said of the baits.
LONGEST_BAITS = 80
#: Points of an outline that an event has room for.
MOST_KEPT = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a photo of a run shows.

    Parameters
    ----------
    subject : Subject
        What is measured in it.
    day : int or None
        Days since the first shot, where the maker says so; None for today. [d]
    shot : int or None
        Number of the shot that it comes from.
    baits : str
        Which baits, in the maker's words.
    """

    subject: Subject
    day: int | None = None
    shot: int | None = None
    baits: str = ""


def shown_as(subject: Subject, *, day: str = "", shot: str = "", baits: str = "") -> Shown:
    """Return what a photo shows, from what was typed.

    Raises
    ------
    OutOfRange
        If day or shot is no whole number in reach.
    """
    return Shown(
        subject=subject,
        day=_whole(day, "day", 0, LAST_DAY),
        shot=_whole(shot, "shot", 1, LAST_SHOT),
        baits=" ".join(baits.split())[:LONGEST_BAITS],
    )


def _whole(typed: str, field: str, least: int, most: int) -> int | None:
    text = typed.strip()
    if not text:
        return None
    if text.isascii() and text.isdigit() and least <= int(text[:9]) <= most:
        return int(text[:9])
    raise OutOfRange(
        f"“{text[:40]}” is no {field}: it is a whole number from {least} to {most}.",
        low=least, high=most, field=field, given=text[:40],
        remedy="Leave it empty where you do not know it.",
    )  # fmt: skip


def pointed_from(given: object) -> dict[Pocket, Pointed]:
    """Return what a page sends: a tap or an outline by pocket.

    Raises
    ------
    InputError
        If it is neither, or more than an event has room for.
    """
    if given in (None, {}):
        return {}
    if not isinstance(given, dict):
        raise InputError("Send a tap or an outline for a pocket.", field="pointed")
    found = {}
    for key, each in given.items():
        if key not in set(Pocket):
            message = f"The card has no pocket “{str(key)[:40]}”."
            raise InputError(message, field="pointed", given=str(key)[:40])
        outline = each.get("outline") if isinstance(each, dict) else None
        if isinstance(outline, list) and len(outline) > MOST_KEPT:
            raise OutOfRange(
                f"An outline of {len(outline)} points was sent; at most {MOST_KEPT} are kept.",
                high=MOST_KEPT, field=f"pointed.{key}",
            )  # fmt: skip
        found[Pocket(key)] = pointed_at(each, f"pointed.{key}")
    return found
