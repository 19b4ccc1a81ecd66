"""What goes into each cup, as a maker writes it: so much in every 100 g."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from partline.quantities.estimate import Origin


class Measure(StrEnum):
    """How a loading was written down."""

    DROPS = "drops"
    GRAMS = "g"


class Half(StrEnum):
    """Which part of the bait a side fills."""

    BACK = "back"  # cup A
    BELLY = "belly"  # cup B
    WHOLE = "whole"  # a one-colour bait: cup A alone

    @property
    def cup(self) -> str:
        """Letter of the cup that holds it."""
        return "B" if self is Half.BELLY else "A"


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """So much of one supply in every 100 g of the finished cup.

    Parameters
    ----------
    supply : str
        Its name on the shelf.
    amount : float
        In every 100 g of the filled cup, the loading itself included. [drops or g]
    measure : Measure
        What `amount` counts.
    entered : str
        The amount as it was typed.
    origin : Origin
        Where the amount comes from; the maker's own unless a document says otherwise.
    """

    supply: str
    amount: float
    measure: Measure
    entered: str = ""
    origin: Origin = Origin.ENTERED


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeShare:
    """One grade's part of a blend.

    Parameters
    ----------
    grade : str
        Its name on the shelf.
    share : float
        Mass share of the blend; the shares of a blend add up to 1. [-]
    """

    grade: str
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One colour of the bait.

    Parameters
    ----------
    half : Half
        Which part of the bait it fills.
    blend : tuple of GradeShare
        The plastisol.
    loadings : tuple of Loading
        Everything else, in the order it is added.
    """

    half: Half
    blend: tuple[GradeShare, ...]
    loadings: tuple[Loading, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the maker asks of the look.

    Parameters
    ----------
    hiding : float
        Share of a black and white card that each half should hide at the widest station. [-]
    is_default : bool
        Whether nobody said so.
    """

    hiding: float = 0.90
    is_default: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """How the maker means to pour it; every part may be unknown.

    Parameters
    ----------
    start : float or None
        Cup temperature at the first draw. [K]
    push : float or None
        Time of the hand's stroke. [s]
    """

    start: float | None = None
    push: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A one- or two-colour recipe.

    Parameters
    ----------
    name : str
        The maker's own name for it.
    version : int
        Counts up with every edit.
    sides : tuple of Side
        One (the whole bait) or two (back, then belly).
    wanted : Wanted
        What is asked of the look.
    handling : Handling
        How it is meant to be poured.
    note : str
        Whatever the maker wants to remember.
    """

    name: str
    sides: tuple[Side, ...]
    version: int = 1
    wanted: Wanted = Wanted()
    handling: Handling = Handling()
    note: str = ""

    @property
    def is_two_colour(self) -> bool:
        """Whether there is a line to be seen."""
        return len(self.sides) == 2
