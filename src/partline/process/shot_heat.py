"""A full mould as a network: the shells of every station's plastic, and one lump of metal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from partline.errors import Impossible, OutOfRange
from partline.materials.mould import Mould
from partline.numerics.finite_volume import Modes, Network, modes, shells, value_at_core
from partline.process.cavity import profile
from partline.process.mould_heat import MouldHeat
from partline.process.plastic_heat import CONTACT, MEAN_DENSITY, conductivity, diffusivity
from partline.process.section_cooling import CoolingBody, cooling_body
from partline.quantities.constants import ZERO_CELSIUS

Floats = NDArray[np.floating]

#: Core temperature at which a bait keeps its shape: common practice, no source. [K]
OPEN_AT = 333.15
#: Shells of each body: the core is then within 0.05 % of the time.
CELLS = 24
#: A mould that is still too warm after this long is not opened but cooled. [s]
LONGEST = 3 * 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A mould at the moment it is full.

    Parameters
    ----------
    pour : float
        Temperature of the plastic as it enters. [K]
    wall : float
        Of the mould. [K]
    room : float
        [K]
    open_at : float
        Core temperature to open at. [K]
    """

    pour: float
    wall: float
    room: float
    open_at: float = OPEN_AT


def check_filled(filled: Filled, *, held: bool = True) -> None:
    """Refuse what no cooling can do; `held` where the wall stays as warm as it is.

    Raises
    ------
    OutOfRange
        If the plastic is not hotter than the core is to be.
    Impossible
        If wall or room are not colder than the core is to be.
    """
    if filled.pour <= filled.open_at:
        raise OutOfRange(
            f"Plastic of {filled.pour - ZERO_CELSIUS:.0f} °C is already at or below the "
            f"{filled.open_at - ZERO_CELSIUS:.0f} °C that the mould is to be opened at.",
            low=filled.open_at, unit="K", remedy="Give the temperature it is poured at.",
        )  # fmt: skip
    coolest = max(filled.wall, filled.room) if held else filled.room
    wanted = filled.open_at - ZERO_CELSIUS
    if filled.open_at <= coolest:
        raise Impossible(
            f"A core cannot cool to {wanted:.0f} °C beside a wall or in a room of "
            f"{coolest - ZERO_CELSIUS:.0f} °C.",
            nearest=f"Cool the mould below that, or open at {coolest - ZERO_CELSIUS + 10:.0f} °C.",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotHeat:
    """A full mould as a network: shells of every station, and the metal as the last node.

    Parameters
    ----------
    modes : Modes
        How it settles.
    cores : dict of int to int
        Node of each station's innermost shell, by the station's place.
    """

    modes: Modes
    cores: dict[int, int]

    def start(self, filled: Filled) -> Floats:
        """Return every node's temperature as the mould is full, shape (nodes,). [K]"""
        values = np.full(len(self.modes.rate), filled.pour)
        values[-1] = filled.wall
        return values

    def core(self, place: int, filled: Filled, time: float) -> float:
        """Return the temperature in the middle of a station after a time [s]. [K]"""
        values = self.modes.after(self.start(filled), time)
        first = self.cores[place]
        return float(value_at_core(values[first], values[first + 1]))

    def metal(self, filled: Filled, time: float) -> float:
        """Return the temperature of the mould after a time [s]. [K]"""
        return float(self.modes.after(self.start(filled), time)[-1])

    def opens(self, place: int, filled: Filled) -> float:
        """Return when a station's core is cool enough. [s]

        Raises
        ------
        Impossible
            If it is not within three hours.
        """

        def over(time: float) -> float:
            return self.core(place, filled, time) - filled.open_at

        late = 30.0
        while over(late) > 0:
            late *= 2
            if late > LONGEST:
                raise Impossible(
                    "This mould is too warm to cool the plastic within three hours.",
                    nearest="Cool the mould on a metal plate or in front of a fan first.",
                )
        return float(brentq(over, 0.0, late, xtol=1e-3))


def volume_shares(mould: Mould) -> Floats:
    """Return the share of the bait's volume that is nearest to each station, shape (stations,)."""
    body = profile(mould)
    area = np.zeros_like(body.position)
    for here, section in body.sections():
        above, below = section.areas
        area[here] = above + below
    places = np.array([station.position for station in mould.stations])
    nearest = np.abs(body.position[:, None] - places).argmin(axis=1)
    parts = np.bincount(nearest, weights=area, minlength=len(places))
    return np.asarray(np.maximum(parts, 1e-6 * parts.sum()) / parts.sum())


def slowest_station(mould: Mould) -> int:
    """Return the place of the station that keeps the mould closed longest."""
    return int(np.argmax([cooling_body(station).slowness for station in mould.stations]))


def shot_heat(
    bodies: Sequence[tuple[int, CoolingBody, float]],
    *,
    alpha: float,
    k: float,
    contact: float,
    capacity: float,
    loss: float,
    room: float,
) -> ShotHeat:
    """Join the shells of every station's plastic to one lump of metal.

    Parameters
    ----------
    bodies : sequence of tuple
        Place of a station, what it is cooled as, and its volume in all cavities. [m³]
    alpha, k : float
        Diffusivity and conductivity of the plastic. [m²/s], [W/(m·K)]
    contact : float
        Conductance into the metal. [W/(m²·K)]
    capacity, loss : float
        Of the metal: heat a degree takes, and what it passes to the room. [J/K], [W/K]
    room : float
        [K]
    """
    count = CELLS * len(bodies) + 1
    held, link = np.empty(count), np.zeros((count, count))
    cores = {}
    for row, (place, body, volume) in enumerate(bodies):
        cut, first = shells(body.bend, CELLS), row * CELLS
        inner = np.arange(first, first + CELLS - 1)
        cores[place] = first
        held[first : first + CELLS] = k / alpha * volume * cut.volume
        passed = k * volume / body.size**2
        link[inner, inner + 1] = link[inner + 1, inner] = passed * cut.link
        skin = 1 / (passed * cut.skin) + 1 / (contact * cut.area * volume / body.size)
        link[first + CELLS - 1, -1] = link[-1, first + CELLS - 1] = 1 / skin
    held[-1] = capacity
    leak = np.zeros(count)
    leak[-1] = loss
    network = Network(capacity=held, conductance=link, leak=leak, outside=room)
    return ShotHeat(modes=modes(network), cores=cores)


@lru_cache(maxsize=64)
def metal_heat(mould: Mould, metal: MouldHeat, shot_mass: float, room: float) -> ShotHeat:
    """Return a full mould as a network, every property as it is thought to be.

    Parameters
    ----------
    mould, metal, shot_mass
        As `opening`.
    room : float
        [K]
    """
    mass = metal.mass.value
    return shot_heat(
        cooling_bodies(mould, shot_mass, 1.0), alpha=diffusivity().value, k=conductivity().value,
        contact=CONTACT.value, capacity=metal.capacity(mass), loss=metal.loss(mass), room=room,
    )  # fmt: skip


def cooling_bodies(
    mould: Mould, shot_mass: float, scale: float
) -> list[tuple[int, CoolingBody, float]]:
    """Return each station's place, what it is cooled as, and its volume in all cavities. [m³]

    Parameters
    ----------
    mould : Mould
        Its stations.
    shot_mass : float
        Baits, sprue and runner, shared out by the stations' volumes. [kg]
    scale : float
        True sizes over those told. [-]
    """
    volumes = volume_shares(mould) * shot_mass / MEAN_DENSITY
    found = []
    for place, (station, volume) in enumerate(zip(mould.stations, volumes, strict=True)):
        body = cooling_body(station)
        found.append((place, CoolingBody(size=body.size * scale, bend=body.bend), float(volume)))
    return found
