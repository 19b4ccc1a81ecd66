"""What can spoil a two-colour run, and what would be done about each."""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType
from typing import Final


class Cause(StrEnum):
    """Why the two colours do not read as two."""

    SEE_THROUGH = "see-through"
    MIXED = "mixed in the shot"
    NOT_PURGED = "block not purged"
    WRAPPED = "wrap-round"
    CREPT = "creep later"
    INVERTED = "inverted or swapped"
    TOO_ALIKE = "too alike"


class Action(StrEnum):
    """What to change next; one action may answer several causes."""

    MORE_COLOUR = "more colourant"
    CALMER = "cooler, gentler, cups matched"
    PURGE = "purge the block"
    OTHER_COLOURANT = "another colourant"
    MARK = "mark mould and cups"
    WIDER_GAP = "a wider gap in lightness"


#: What answers each cause. Mixing and wrapping round ask for the same. Common practice, no source.
ANSWERS: Final = MappingProxyType(
    {
        Cause.SEE_THROUGH: Action.MORE_COLOUR,
        Cause.MIXED: Action.CALMER,
        Cause.NOT_PURGED: Action.PURGE,
        Cause.WRAPPED: Action.CALMER,
        Cause.CREPT: Action.OTHER_COLOURANT,
        Cause.INVERTED: Action.MARK,
        Cause.TOO_ALIKE: Action.WIDER_GAP,
    }
)
