"""What a maker reads off a chip without instruments: its colour, and how it hides a card."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Chip:
    """A flat piece of plain plastic with one colourant in it.

    Parameters
    ----------
    drops : float or None
        Drops of the colourant in every 100 g; this or `share`, or neither where nobody noted it.
    share : float or None
        Mass share of the colourant. [-]
    thickness : float or None
        None where nobody noted it. [m]
    """

    drops: float | None = None
    share: float | None = None
    thickness: float | None = None

    @property
    def is_known(self) -> bool:
        """Whether both loading and thickness were noted."""
        return self.thickness is not None and (self.drops is not None or self.share is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchReading:
    """The colour of a chip over white, matched by eye or picked from a photo.

    Parameters
    ----------
    srgb : tuple of int, or None
        Screen colour, 0 to 255 each; this or `lab`.
    lab : tuple of float, or None
        CIELAB under D65.
    chip : Chip
        What was looked at.
    """

    srgb: tuple[int, int, int] | None = None
    lab: tuple[float, float, float] | None = None
    chip: Chip = Chip()


@dataclass(frozen=True, slots=True, kw_only=True)
class HidingReading:
    """How much of the printed card's step from white to black a chip hides.

    Parameters
    ----------
    value : float
        0 where the step shows unchanged, 1 where it cannot be seen. [-]
    chip : Chip
        What was looked through.
    """

    value: float
    chip: Chip = Chip()


@dataclass(frozen=True, slots=True, kw_only=True)
class StepReading:
    """One thickness of a stepped chip, over the printed card's white, its black, or both.

    Parameters
    ----------
    thickness : float
        [m]
    is_callipered : bool
        Whether a calliper was put to it; otherwise it is what its mould or the card says.
    over_white, over_black : tuple of float, or None
        CIELAB under D65.
    """

    thickness: float
    is_callipered: bool = False
    over_white: tuple[float, float, float] | None = None
    over_black: tuple[float, float, float] | None = None

    @property
    def count(self) -> int:
        """How many colours were read."""
        return (self.over_white is not None) + (self.over_black is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class LotChip:
    """A stepped chip of one lot of a bottle, as it was read: a calibration of that lot.

    Parameters
    ----------
    lot : str
        The lot's code; empty where it has none.
    day : date or None
        When it was read.
    chip : Chip
        Its loading; the thickness stands with each step.
    steps : tuple of StepReading
        Thinnest first.
    doubt : float
        Standard deviation that one colour may be off by, by itself, in each of L*, a*, b*. [-]
    shared_doubt, shared_black : float
        Standard deviation that all colours over white, and all over black, may be off by
        together. [-]
    photo : str
        Code of the photo that it was read in; empty where it was typed in.
    """

    steps: tuple[StepReading, ...]
    doubt: float
    shared_doubt: float
    shared_black: float
    lot: str = ""
    day: date | None = None
    chip: Chip = Chip()
    photo: str = ""

    @property
    def count(self) -> int:
        """How many colours were read off it."""
        return sum(step.count for step in self.steps)
