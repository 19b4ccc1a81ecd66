"""A mould as its maker measures it: cavities, masses, and thickness at a few stations."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from partline.quantities.estimate import Estimate, Origin


class SectionShape(StrEnum):
    """Outline of a section across the body."""

    ROUND = "round"
    ELLIPTIC = "elliptic"
    FLAT_BOTTOMED = "flat-bottomed"
    OUTLINE = "outline"


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionPoint:
    """A point of a section's outline on one flank; the other flank is its mirror image.

    Parameters
    ----------
    across : float
        Off the middle of the body, 0 or more. [m]
    up : float
        Above the line; below it where negative. [m]
    """

    across: float
    up: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A place along the bait where its thickness is known.

    Parameters
    ----------
    name : str
        Such as nose, belly, neck, tail.
    position : float
        Share of the length, 0 at the nose. [-]
    width : float
        Across the body, flank to flank. [m]
    back_half, belly_half : float
        Thickness above and below the line. [m]
    shape : SectionShape
        Outline of the section.
    points : tuple of SectionPoint
        Of the shape "outline": from the highest down one flank to the lowest, never rising and
        never hollow; the sizes above are theirs. Empty of every other shape.
    origin : Origin
        Where its sizes come from.
    doubt : float
        Share that they may be too large or too small by, four times out of five. [-]
    """

    name: str
    position: float
    width: float
    back_half: float
    belly_half: float
    shape: SectionShape
    points: tuple[SectionPoint, ...] = ()
    origin: Origin = Origin.ENTERED
    doubt: float = 0.0

    @property
    def height(self) -> float:
        """Back to belly. [m]"""
        return self.back_half + self.belly_half


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlinePoint:
    """Diameter of a round body at one place along it.

    Parameters
    ----------
    position : float
        Share of the length, 0 at the nose. [-]
    diameter : float
        At that place. [m]
    """

    position: float
    diameter: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mould:
    """One mould.

    Parameters
    ----------
    name : str
        The maker's own name for it.
    cavities : int
        Baits a shot.
    bait_mass : Estimate or None
        Of one bait, as weighed; either this or `bait_volume` is given. [kg]
    bait_volume : Estimate or None
        Of one cold bait, by displacement. [m³]
    weighed_density : float or None
        Cold density of the plastic that `bait_mass` and `sprue_mass` were weighed in; None
        when it was like the plastic to be poured. [kg/m³]
    sprue_mass : Estimate
        Sprue and runner of one shot. [kg]
    length : float
        Of one bait. [m]
    stations : tuple of Station
        From nose to tail, at least one.
    outline : tuple of OutlinePoint
        Diameters of a round body from nose to tail, if known; empty otherwise.
    bottom_mark : str
        How the side that lies down is marked; empty when it is not marked yet.
    gate : float or None
        Smallest width of the gate. [m]
    mass : Estimate or None
        Of the empty mould itself, closed; None where nobody weighed it. [kg]
    material : str
        Such as aluminium.
    note : str
        Whatever the maker wants to remember.
    guesses : tuple of str
        Fields, by their path in the mould's file, that nobody has read or measured yet.
    """

    name: str
    cavities: int
    sprue_mass: Estimate
    length: float
    stations: tuple[Station, ...]
    bait_mass: Estimate | None = None
    bait_volume: Estimate | None = None
    weighed_density: float | None = None
    outline: tuple[OutlinePoint, ...] = ()
    bottom_mark: str = ""
    gate: float | None = None
    mass: Estimate | None = None
    material: str = ""
    note: str = ""
    guesses: tuple[str, ...] = ()

    @property
    def widest(self) -> Station:
        """The station that shows most of the bait's colour: the one of the largest section."""
        return max(self.stations, key=lambda station: station.width * station.height)
