"""Words for numbers, each with the threshold it stands on and where that comes from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from partline.quantities.estimate import Origin


class Distinct(StrEnum):
    """How different two colours look."""

    SAME = "same"
    BARELY = "barely"
    CLOSE = "close"
    CLEAR = "clear"
    STRONG = "strong"


class Hides(StrEnum):
    """How well a half keeps the other one out of sight."""

    HIDES = "hides"
    THIN = "thin"
    SEE_THROUGH = "see-through"


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """Where one word gives way to the next.

    Parameters
    ----------
    below : float
        The word holds under this. [ΔE00, or hiding]
    word : str
        The word.
    origin : Origin
        Where the limit comes from.
    source : str
        In a few words.
    """

    below: float
    word: str
    origin: Origin
    source: str


_PARAVINA = "Paravina et al. 2015, half of observers (from memory)"
_WOOD = "scale in use for wood finishes"

#: Differences by colour; a setting, as definitions.md gives it.
DISTINCT: tuple[Threshold, ...] = (
    Threshold(
        below=0.8,
        word=Distinct.SAME,
        origin=Origin.MEMORY,
        source=f"perceptible to {_PARAVINA}",
    ),
    Threshold(
        below=1.8,
        word=Distinct.BARELY,
        origin=Origin.MEMORY,
        source=f"acceptable to {_PARAVINA}",
    ),
    Threshold(below=6.0, word=Distinct.CLOSE, origin=Origin.PUBLISHED, source=_WOOD),
    Threshold(below=12.0, word=Distinct.CLEAR, origin=Origin.PUBLISHED, source=_WOOD),
)

#: A half hides from this on unless the maker asks for another figure. [-]
WANTED_HIDING = 0.90
#: Below this the eye finds the card's step at once. [-]
SEE_THROUGH_BELOW = 0.80
HIDING_SOURCE = "a first guess, until the maker's own good baits have set it"


def distinct(difference: float) -> Distinct:
    """Return the word for a colour difference [ΔE00]."""
    for threshold in DISTINCT:
        if difference < threshold.below:
            return Distinct(threshold.word)
    return Distinct.STRONG


def hides(hiding: float, wanted: float = WANTED_HIDING) -> Hides:
    """Return the word for a half's hiding [-], against what is wanted [-]."""
    if hiding >= wanted:
        return Hides.HIDES
    return Hides.SEE_THROUGH if hiding < min(SEE_THROUGH_BELOW, wanted) else Hides.THIN
