"""Why a photo is not measured: one word for a program, a sentence and a remedy for the maker."""

from __future__ import annotations

from enum import StrEnum

from partline.errors import InputError


class Reason(StrEnum):
    """What is wrong with a photo."""

    NO_PHOTO = "no photo"  # neither JPEG nor PNG nor WebP, or broken
    TOO_LARGE = "too large"
    NO_COLOUR = "no colour"
    NO_CARD = "no card"
    TOO_SMALL = "too small"
    TILT = "tilt"
    BENT = "bent"
    BLUR = "blur"
    CLIPPING = "clipping"
    DARK = "dark"
    GLARE = "glare"
    NOTHING_THERE = "nothing there"
    NO_LINE = "no line"


class PhotoRefused(InputError):
    """A photo that would give a wrong number; nothing of it was changed or lost.

    Parameters
    ----------
    reason : Reason
        What is wrong.
    message : str
        What was found and what is allowed.
    remedy : str
        What to do about it.
    """

    def __init__(self, reason: Reason, message: str, *, remedy: str) -> None:
        super().__init__(message, field="photo", remedy=remedy)
        self.reason = reason

    def as_dict(self) -> dict[str, object]:
        """Return the error's fields for JSON, the reason included."""
        return {**super().as_dict(), "reason": self.reason.value}
