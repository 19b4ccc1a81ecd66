"""The two sheets a home printer takes."""

from __future__ import annotations

from enum import StrEnum


class Paper(StrEnum):
    """A sheet, by the name on the command line and in a form."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def typst_name(self) -> str:
        """What the typesetter calls it."""
        return "a4" if self is Paper.A4 else "us-letter"
