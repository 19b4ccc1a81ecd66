"""What is told of a photo: of a bait, of a slice, and of how it was taken."""

from __future__ import annotations

from dataclasses import dataclass

from partline.quantities.estimate import Estimate
from partline.quantities.note import Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """How a measured photo was taken.

    Parameters
    ----------
    number : int or None
        Which print of the card; None where its fifth marker is covered.
    density : float
        Pixels a metre. [pixel/m]
    tilt : float
        Of the view against square above. [rad]
    softness : float
        10 to 90 % of a sharp edge. [m]
    """

    number: int | None
    density: float
    tilt: float
    softness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BaitMeasure:
    """Two baits of one shot, one with its back up and one with its belly up.

    Parameters
    ----------
    back_belly : Estimate
        Back against belly. [ΔE00]
    back, belly : tuple of float
        CIELAB as the photo has them: to be shown, not to be compared with another photo's. [-]
    shot : Shot
        How the photo was taken.
    notes : tuple of Note
        What to know.
    """

    back_belly: Estimate
    back: tuple[float, float, float]
    belly: tuple[float, float, float]
    shot: Shot
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SliceMeasure:
    """A slice, laid with its back to the arrow.

    Parameters
    ----------
    halves : Estimate
        The back's half against the belly's. [ΔE00]
    back_share : Estimate
        Share of the height above the line. [-]
    tilt : Estimate
        Of the line against the pocket. [rad]
    line : Estimate
        10 to 90 % of the step of light. [m]
    height : Estimate
        Of the slice. [m]
    back, belly : tuple of float
        CIELAB of the halves as the photo has them. [-]
    shot : Shot
        How the photo was taken.
    notes : tuple of Note
        What to know.
    """

    halves: Estimate
    back_share: Estimate
    tilt: Estimate
    line: Estimate
    height: Estimate
    back: tuple[float, float, float]
    belly: tuple[float, float, float]
    shot: Shot
    notes: tuple[Note, ...] = ()
