"""What a maker reads off a chip without instruments: its colour, and how it hides a card."""

from __future__ import annotations

from dataclasses import dataclass


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
