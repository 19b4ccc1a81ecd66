"""The melt of a practice bench: layers, wet glass and dry glass, each with its own warmth."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.process.practice_bench.hidden import Hidden
from partline.quantities.constants import STEFAN_BOLTZMANN

Floats = NDArray[np.floating]

#: Layers from the surface down.
LAYERS = 14
#: Longest step, and longest as a share of the time that a layer takes. [s], [-]
LONGEST, STABLE = 1.0, 0.5
#: Of the glass. [kg/m³], [W/(m·K)]
GLASS_DENSITY, GLASS_CONDUCTIVITY = 2230.0, 1.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Melt:
    """How warm everything is, and the account of heat.

    Parameters
    ----------
    mass : ndarray, shape (cups,)
        Of plastic. [kg]
    layers : ndarray, shape (cups, layers)
        Surface first. [K]
    wet, dry : ndarray, shape (cups,)
        Glass below and above the surface. [K]
    stirrer : ndarray, shape (cups,)
        [K]
    given, lost, moved : ndarray, shape (cups,)
        By the oven; to room and stirrer; with plastic put in less that taken out, told from the
        room's temperature. [J]
    """

    mass: Floats
    layers: Floats
    wet: Floats
    dry: Floats
    stirrer: Floats
    given: Floats
    lost: Floats
    moved: Floats

    @property
    def bulk(self) -> Floats:
        """Mean of the layers: what a stirred melt is. [K]"""
        return np.asarray(self.layers.mean(axis=-1))

    @property
    def surface(self) -> Floats:
        """What a thermometer looks at. [K]"""
        return np.asarray(self.layers[..., 0])


def filled(hidden: Hidden, mass: ArrayLike, temperature: ArrayLike) -> Melt:
    """Return cups with so much plastic [kg], evenly warm [K], the wet glass with it."""
    room = hidden.room
    warm = np.broadcast_to(np.asarray(temperature, dtype=float), room.shape)
    nothing = np.zeros_like(room)
    return Melt(
        mass=np.array(np.broadcast_to(np.asarray(mass, dtype=float), room.shape)),
        layers=np.repeat(warm[:, None], LAYERS, axis=1),
        wet=warm.copy(),
        dry=room + 0.2 * (warm - room),
        stirrer=room.copy(),
        given=nothing,
        lost=nothing.copy(),
        moved=nothing.copy(),
    )


def _depth(hidden: Hidden, mass: Floats) -> Floats:
    return np.asarray(mass / (hidden.density * np.pi / 4 * hidden.bore**2))


def glass_capacities(hidden: Hidden, mass: Floats) -> tuple[Floats, Floats]:
    """Return heat that a degree takes in the wet and in the dry glass. [J/K]"""
    base = np.pi / 4 * hidden.bore**2
    whole = base + np.pi * hidden.bore * hidden.height
    wet = (base + np.pi * hidden.bore * _depth(hidden, mass)) / whole
    held = hidden.glass * hidden.glass_heat
    return np.asarray(held * wet), np.asarray(held * np.maximum(1 - wet, 0.02))


def stored_heat(hidden: Hidden, melt: Melt) -> Floats:
    """Return the heat above the room's temperature in plastic and glass. [J], shape (cups,)."""
    wet, dry = glass_capacities(hidden, melt.mass)
    plastic = melt.mass * hidden.plastic_heat * (melt.bulk - hidden.room)
    return np.asarray(plastic + wet * (melt.wet - hidden.room) + dry * (melt.dry - hidden.room))


def _loss(hidden: Hidden, warm: Floats, area: Floats) -> Floats:
    """Return what an area sheds to air and walls. [W]"""
    lead = warm - hidden.room
    carried = hidden.breeze * np.abs(lead) ** 0.25 * lead
    shone = hidden.emissivity * STEFAN_BOLTZMANN * (warm**4 - hidden.room**4)
    return np.asarray(area * (carried + shone))


def _rates(
    hidden: Hidden, mass: Floats, power: Floats, state: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the rates of layers, wet glass and dry glass [K/s], and what is lost [W]."""
    layers, wet, dry = state
    depth, top = _depth(hidden, mass), np.pi / 4 * hidden.bore**2
    side = np.pi * hidden.bore * depth
    dry_side = np.pi * hidden.bore * np.maximum(hidden.height - depth, 0.0)
    held_wet, held_dry = glass_capacities(hidden, mass)
    held_layer = mass * hidden.plastic_heat / LAYERS
    thin = depth / LAYERS
    flow = (hidden.churn * top / thin)[:, None] * (layers[:, :-1] - layers[:, 1:])
    shed = _loss(hidden, layers[:, 0], top)
    to_glass = (hidden.grip * side / LAYERS)[:, None] * (layers - wet[:, None])
    to_glass[:, -1] += hidden.grip * top * (layers[:, -1] - wet)
    own = np.broadcast_to(((1 - hidden.oven_glass) * power / LAYERS)[:, None], layers.shape)
    gain = own - to_glass
    gain[:, :-1] -= flow
    gain[:, 1:] += flow
    gain[:, 0] -= shed
    thickness = hidden.glass / (GLASS_DENSITY * (top + np.pi * hidden.bore * hidden.height))
    # The dry wall hangs on the wet one over a few of its own thicknesses of height.
    climb = GLASS_CONDUCTIVITY * np.pi * hidden.bore * thickness / (0.15 * hidden.height)
    up = climb * (wet - dry)
    out_wet = _loss(hidden, wet, side) + hidden.bench * top * (wet - hidden.room)
    out_dry = _loss(hidden, dry, 2 * dry_side)
    wet_rate = (to_glass.sum(axis=1) + hidden.oven_glass * power - up - out_wet) / held_wet
    dry_rate = (up - out_dry) / held_dry
    return gain / held_layer[:, None], wet_rate, dry_rate, shed + out_wet + out_dry


def _longest_step(hidden: Hidden, mass: Floats) -> float:
    """Return the longest step that a thin layer and a thin wall allow. [s]"""
    thin = _depth(hidden, mass) / LAYERS
    across = thin**2 * hidden.density * hidden.plastic_heat / hidden.churn
    held_wet, _ = glass_capacities(hidden, mass)
    gripped = held_wet / (hidden.grip * (np.pi / 4 * hidden.bore**2 + np.pi * hidden.bore * thin))
    return float(min(LONGEST, STABLE * np.min(across), STABLE * np.min(gripped)))


def advanced(
    hidden: Hidden,
    melt: Melt,
    seconds: float,
    *,
    power: ArrayLike = 0.0,
    longest: float = LONGEST,
) -> Melt:
    """Return the cups a while later.

    Parameters
    ----------
    hidden : Hidden
        The true bench.
    melt : Melt
        As it is now.
    seconds : float
        How long. [s]
    power : float or ndarray, shape (cups,)
        That arrives in each cup. [W]
    longest : float
        Longest step. [s]

    Returns
    -------
    melt : Melt
        By the classical fourth-order step; the account of heat is carried along by the same
        step, so that stored and lost is what was given, to rounding.

    Raises
    ------
    OutOfRange
        If the time is below 0.
    """
    if seconds < 0:
        raise OutOfRange("A bench cannot go back in time.", low=0.0, unit="s")
    if seconds == 0:
        return melt
    watts = np.broadcast_to(np.asarray(power, dtype=float), melt.mass.shape)
    count = int(np.ceil(seconds / min(longest, _longest_step(hidden, melt.mass))))
    step = seconds / count
    state, lost = (melt.layers, melt.wet, melt.dry), melt.lost
    for _ in range(count):
        state, shed = _stepped(hidden, melt.mass, watts, state, step)
        lost = lost + shed
    cooled = np.exp(-seconds / hidden.stirrer_time)
    return replace(
        melt,
        layers=state[0],
        wet=state[1],
        dry=state[2],
        stirrer=hidden.room + (melt.stirrer - hidden.room) * cooled,
        given=melt.given + watts * seconds,
        lost=lost,
    )


def _stepped(
    hidden: Hidden,
    mass: Floats,
    power: Floats,
    state: tuple[Floats, Floats, Floats],
    step: float,
) -> tuple[tuple[Floats, Floats, Floats], Floats]:
    """Return the state one step later, and the heat lost in it [J]."""

    def moved(rates: tuple[Floats, ...], share: float) -> tuple[Floats, Floats, Floats]:
        first, second, third = (
            each + share * step * rate for each, rate in zip(state, rates[:3], strict=True)
        )
        return first, second, third

    one = _rates(hidden, mass, power, state)
    two = _rates(hidden, mass, power, moved(one, 0.5))
    three = _rates(hidden, mass, power, moved(two, 0.5))
    four = _rates(hidden, mass, power, moved(three, 1.0))
    mean = tuple(
        (a + 2 * b + 2 * c + d) / 6 for a, b, c, d in zip(one, two, three, four, strict=True)
    )
    return moved(mean, 1.0), step * mean[3]
