"""The simple body that stands in for a bait nobody has measured across yet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from partline.materials.mould import Mould, SectionShape, Station
from partline.process.cavity import USUAL_DENSITY, profile
from partline.quantities.estimate import Estimate

#: Where it is told, and how thick it is there against its thickest: a round, straight body that
#: tapers to its tail. Common practice, no source.
STATIONS: tuple[tuple[str, float, float], ...] = (
    ("nose", 0.05, 0.70),
    ("belly", 0.35, 1.00),
    ("neck", 0.80, 0.55),
    ("tail", 1.00, 0.30),
)
#: Length over thickness, and mass, of a bait of which nothing is known. Common practice.
SLENDER = 11.0  # [-]
USUAL_MASS = 0.008  # [kg]
#: How far the thickness may be off, by how many of weight and length are known. [-]
DOUBT = {2: 0.25, 1: 0.35, 0: 0.50}


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A stand-in's measures.

    Parameters
    ----------
    mass : float
        Of one bait. [kg]
    length, diameter : float
        Of the whole, and where it is thickest. [m]
    known : int
        How many of weight and length were told.
    """

    mass: float
    length: float
    diameter: float
    known: int

    @property
    def doubt(self) -> float:
        """Half of the central 80 % range of every thickness, against itself. [-]"""
        return DOUBT[self.known]


def simple_body(mass: float | None, length: float | None) -> Body:
    """Return the simple body of a bait's mass [kg] and length [m], either of them unknown.

    Its volume is the bait's: what is known is met exactly, what is not follows from a usual
    slenderness, and from a usual weight when nothing is known.
    """
    known = sum(each is not None for each in (mass, length))
    if length is None:
        mass = USUAL_MASS if mass is None else mass
        diameter = (mass / USUAL_DENSITY / _fullness() / SLENDER) ** (1 / 3)
        length = SLENDER * diameter
    elif mass is None:
        diameter = length / SLENDER
        mass = _fullness() * diameter**2 * length * USUAL_DENSITY
    else:
        diameter = (mass / USUAL_DENSITY / _fullness() / length) ** 0.5
    return Body(mass=mass, length=length, diameter=diameter, known=known)


@cache
def _fullness() -> float:
    """Return the simple body's volume over thickness² × length. [-]"""
    unit = Mould(
        name="simple body",
        cavities=1,
        sprue_mass=Estimate.exact(0.0),
        length=1.0,
        stations=tuple(
            Station(
                name=name, position=position, width=0.1 * share, back_half=0.05 * share,
                belly_half=0.05 * share, shape=SectionShape.ROUND,
            )
            for name, position, share in STATIONS
        ),
    )  # fmt: skip
    return profile(unit).volume / 0.1**2
