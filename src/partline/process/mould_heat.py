"""A mould as one lump of metal: what a shot's heat does to it, and how it sheds it again."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

from partline.materials.mould import Mould
from partline.materials.published import published
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.note import Note

#: Metal for a gram of the baits that it holds: two plates a centimetre thicker than the bait, with
#: room for runner and clamps. A guess. [-]
METAL_PER_BAIT, LIGHTEST, HEAVIEST = 40.0, 15.0, 80.0
#: Thickness of a closed mould, from which its surface is guessed. [m]
CLOSED = 0.030
#: What a mould loses to the room, lying open or closed on a bench. [W/(m²·K)]
STILL_AIR = Estimate(
    value=10.0,
    low=7.0,
    high=25.0,
    origin=Origin.DEFAULT,
    source="still air and radiation; a fan takes several times as much",
    narrows="two readings of the empty mould, five minutes apart",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldHeat:
    """What a mould takes up and loses.

    Parameters
    ----------
    mass : Estimate
        Of the metal. [kg]
    specific_heat : float
        Of the metal. [J/(kg·K)]
    density : float
        Of the metal. [kg/m³]
    air : Estimate
        What its surface passes to the room. [W/(m²·K)]
    notes : tuple of Note
        What this leaves out.
    """

    mass: Estimate
    specific_heat: float
    density: float
    air: Estimate = STILL_AIR
    notes: tuple[Note, ...] = ()

    def capacity(self, mass: float) -> float:
        """Return the heat that a degree takes in a mould of this mass [kg]. [J/K]"""
        return mass * self.specific_heat

    def area(self, mass: float) -> float:
        """Return the surface of a mould of this mass [kg]: a square block, all round. [m²]"""
        face = mass / self.density / CLOSED
        return 2 * face + 4 * face**0.5 * CLOSED

    def loss(self, mass: float) -> float:
        """Return what a mould of this mass [kg] passes to the room. [W/K]"""
        return self.air.value * self.area(mass)

    def cooled(self, temperature: float, room: float, time: float, mass: float) -> float:
        """Return the temperature [K] of the empty mould after a time [s] in a room [K]."""
        fade = exp(-time * self.loss(mass) / self.capacity(mass))
        return room + (temperature - room) * fade


def mould_heat(mould: Mould, mass: Estimate | None = None) -> MouldHeat:
    """Return a mould in terms of heat.

    Parameters
    ----------
    mould : Mould
        Its own mass where somebody weighed it; else its baits tell how heavy it may be.
    mass : Estimate, optional
        To be taken instead. [kg]
    """
    return MouldHeat(
        mass=mass or mould.mass or _guessed(mould),
        specific_heat=published("aluminium-6061", "specific heat").value,
        density=published("aluminium-6061", "density").value,
        notes=_notes(mould),
    )


def _guessed(mould: Mould) -> Estimate:
    if mould.bait_mass is not None:
        bait = mould.bait_mass.value
    elif mould.bait_volume is not None:
        bait = mould.bait_volume.value * 1000.0
    else:
        bait = 0.010
    held = bait * mould.cavities
    return Estimate(
        value=held * METAL_PER_BAIT,
        low=held * LIGHTEST,
        high=held * HEAVIEST,
        origin=Origin.DEFAULT,
        source="forty times the mass of the baits that it holds",
        narrows="the mould on a kitchen scale, its mass kept with it",
    )


def _notes(mould: Mould) -> tuple[Note, ...]:
    if not mould.material or "alumin" in mould.material.casefold():
        return ()
    text = (
        f"Opening times are for aluminium, which evens out its heat at once; this mould is of "
        f"{mould.material}, which may keep the skin far warmer. Time the first shot."
    )
    return (Note(text=text, about=mould.name),)
