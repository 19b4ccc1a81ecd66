"""A syringe's barrel: what a cold one takes from the draw, and what warming it first saves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import pi

import numpy as np

from partline.errors import InputError, OutOfRange
from partline.materials.published import published
from partline.numerics.finite_volume import Network, modes, shells
from partline.process.bench import Syringes
from partline.process.plastic_heat import (
    CONTACT,
    MEAN_DENSITY,
    conductivity,
    diffusivity,
    mean_specific_heat,
)
from partline.quantities.estimate import Estimate, Origin, propagate

#: Inside length of a barrel over its bore: a guess from its look. [-]
LENGTH_PER_BORE = 3.5
#: Shells of the plastic inside.
CELLS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Plastic that has been in a barrel for a while.

    Parameters
    ----------
    mass : float
        [kg]
    drawn_at : float
        Temperature that it was drawn at. [K]
    barrel : float
        Temperature that the barrel had. [K]
    seconds : float
        In the barrel. [s]
    mean : Estimate
        Of the plastic. [K]
    skin : float
        At the barrel's wall. [K]
    worst : float
        Were plastic and whole barrel to share all their heat. [K]
    """

    mass: float
    drawn_at: float
    barrel: float
    seconds: float
    mean: Estimate
    skin: float
    worst: float

    @property
    def lost(self) -> float:
        """What the plastic has lost, in the mean. [K]"""
        return self.drawn_at - self.mean.value


def meeting_temperature(
    mass: float, temperature: float, barrel_mass: float, barrel: float
) -> float:
    """Return where plastic and aluminium would meet, were they to share all their heat.

    Parameters
    ----------
    mass, barrel_mass : float
        Of the plastic and of the aluminium. [kg]
    temperature, barrel : float
        Of the two before they meet. [K]

    Returns
    -------
    meeting : float
        The worst case. [K]
    """
    plastic = mass * mean_specific_heat().value
    metal = barrel_mass * published("aluminium-6061", "specific heat").value
    return (plastic * temperature + metal * barrel) / (plastic + metal)


def bore_of(syringes: Syringes) -> float:
    """Return the bore of a barrel, guessed from its capacity. [m]"""
    return float((4 * syringes.capacity / (pi * LENGTH_PER_BORE)) ** (1 / 3))


@lru_cache(maxsize=256)
def drawn(
    syringes: Syringes,
    mass: float,
    temperature: float,
    *,
    barrel: float,
    seconds: float,
) -> Drawn:
    """Return how warm a draw is after a while in its barrel.

    Parameters
    ----------
    syringes : Syringes
        With their barrels' mass.
    mass : float
        Of plastic in one barrel. [kg]
    temperature : float
        As drawn. [K]
    barrel : float
        As the plastic comes in: preheated, or the room's. [K]
    seconds : float
        From draw to gate. [s]

    Returns
    -------
    drawn : Drawn
        In the mean, at the wall, and at worst.

    Raises
    ------
    InputError
        If the barrel's mass is not known.
    OutOfRange
        If there is no plastic, more than a barrel holds, or the time is below 0.

    Notes
    -----
    Conduction from a still plug into the metal around it and half of the rest, which the range
    covers from the plug's own share to the whole barrel; ends and room are left out, a matter
    of seconds. This heat is the shot's: the cup does not feel it, and it must not be taken off
    the cup's own cooling again.
    """
    if syringes.barrel_mass is None:
        raise InputError(
            "The barrel's mass is not known.",
            field="syringes.barrel_mass",
            remedy="Weigh one empty barrel and enter it with the bench.",
        )
    held = syringes.capacity * MEAN_DENSITY
    if not (0 < mass <= held and seconds >= 0):
        raise OutOfRange(
            f"A barrel of this bench holds up to {held * 1e3:.0f} g; {mass * 1e3:.1f} g for "
            f"{seconds:.0f} s was asked.",
            low=0.0, high=held, unit="kg",
        )  # fmt: skip
    wetted = min(mass / held, 1.0)
    joining = Estimate(
        value=(1 + wetted) / 2, low=wetted, high=1.0, origin=Origin.DEFAULT,
        source="the metal around the plug, and half of the rest",
    )  # fmt: skip
    shape = _Plug(mass=mass, radius=bore_of(syringes) / 2, temperature=temperature,
                  barrel=barrel, seconds=seconds)  # fmt: skip
    inputs = [diffusivity(), CONTACT, syringes.barrel_mass, joining]
    mean = propagate(
        lambda *given: shape.cooled(*given)[0], inputs, source="conduction into the barrel"
    )
    return Drawn(
        mass=mass,
        drawn_at=temperature,
        barrel=barrel,
        seconds=seconds,
        mean=mean,
        skin=shape.cooled(*(each.value for each in inputs))[1],
        worst=meeting_temperature(mass, temperature, syringes.barrel_mass.value, barrel),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plug:
    mass: float
    radius: float
    temperature: float
    barrel: float
    seconds: float

    def cooled(
        self, alpha: float, contact: float, metal_mass: float, joining: float
    ) -> tuple[float, float]:
        """Mean and skin temperature of the plug. [K]"""
        k, cut = conductivity().value, shells(1.0, CELLS)
        capacity = np.empty(CELLS + 1)
        capacity[:-1] = self.mass * mean_specific_heat().value * cut.volume
        capacity[-1] = metal_mass * joining * published("aluminium-6061", "specific heat").value
        # Volume from heat and diffusivity, so that the two agree.
        volume = self.mass * mean_specific_heat().value * alpha / k
        passed = k * volume / self.radius**2
        link = np.zeros((CELLS + 1, CELLS + 1))
        inner = np.arange(CELLS - 1)
        link[inner, inner + 1] = link[inner + 1, inner] = passed * cut.link
        into = contact * cut.area * volume / self.radius
        across = 1 / (1 / (passed * cut.skin) + 1 / into)
        link[-2, -1] = link[-1, -2] = across
        network = Network(capacity=capacity, conductance=link, leak=np.zeros(CELLS + 1))
        start = np.full(CELLS + 1, self.temperature)
        start[-1] = self.barrel
        after = modes(network).after(start, self.seconds)
        skin = after[-1] + across / into * (after[-2] - after[-1])
        return float(after[:-1] @ cut.volume), float(skin)


def preheat_gains(
    syringes: Syringes,
    mass: float,
    temperature: float,
    *,
    barrels: tuple[float, ...],
    seconds: float,
) -> tuple[Drawn, ...]:
    """Return the same draw in barrels of several temperatures [K], to see what warming saves."""
    return tuple(
        drawn(syringes, mass, temperature, barrel=barrel, seconds=seconds) for barrel in barrels
    )


def preheat_cost(barrel_mass: float, room: float, preheat: float) -> float:
    """Return the heat that warming a barrel [kg] from the room [K] takes. [J]"""
    return barrel_mass * published("aluminium-6061", "specific heat").value * (preheat - room)
