"""How much of one colourant a half needs to hide what is wanted, station by station."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Station
from partline.materials.supply import Colourant
from partline.process.appearance import card_hiding
from partline.process.cavity import half_thickness
from partline.process.composition import Composition, Part
from partline.process.optics import SideOptics
from partline.process.recipe import Half
from partline.quantities.estimate import HALF_RANGE
from partline.studies.uncertainty import central_range, thickness_spread

Floats = NDArray[np.floating]

#: Multiples of today's loading that are tried, and the directions they are solved in.
TRIED = np.geomspace(1 / 16, 64.0, 31)
NODES = 4
#: Liquid colour softens the plastic; beyond this much of it the answer is another colourant.
#: Common practice, no source. [kg/kg]
MOST_COLOUR = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """The loading that would reach the wanted hiding in one half.

    Parameters
    ----------
    supply : str
        The colourant that is raised or lowered; every other part stays.
    now : float
        Its loading today, in every 100 g. [drops or g]
    unit : str
        drops or g.
    factors : tuple of (station name, float or None)
        Multiple of today's loading that each station needs; None where none within reach does.
    most : float
        Largest multiple that leaves the plastic's feel alone. [-]
    hiding : ndarray, shape (tried, stations)
        Hiding at each multiple in `TRIED`. [-]
    spread : float
        Standard deviation of the logarithm of the loading: by the colourant's amount, strength
        and, where nobody has measured it, what it does to light; by everything else in the half;
        and by the mould's thickness. [-]
    """

    supply: str
    now: float
    unit: str
    factors: tuple[tuple[str, float | None], ...]
    most: float
    hiding: Floats
    spread: float = 0.0

    def factor(self, station: str) -> float | None:
        """Return the multiple that a station needs, or None where it cannot be had. [-]"""
        return dict(self.factors)[station]

    @property
    def limiting(self) -> str:
        """The station that needs most."""
        return max(self.factors, key=lambda each: np.inf if each[1] is None else each[1])[0]

    def amount(self, factor: float) -> tuple[float, float, float]:
        """Return a loading and its central 80 % range, from what is in doubt. [drops or g]"""
        amount = self.now * factor
        doubt = float(np.exp(HALF_RANGE * self.spread))
        return amount, amount / doubt, amount * doubt

    def hiding_at(self, factor: float, place: int) -> float:
        """Return the hiding [-] at a multiple [-] of today's loading, at one station."""
        return float(np.interp(np.log(factor), np.log(TRIED), self.hiding[:, place]))


def _amount(part: Part) -> tuple[float, str]:
    if part.drops is not None:
        return part.drops, "drops"
    return part.share * 100.0, "g"


def _leading(side: SideOptics, colours: list[int], thickness: float) -> int:
    """Return the part whose increase by a quarter raises the hiding most."""
    if len(colours) == 1:
        return colours[0]
    factors = np.ones((len(colours), len(side.names)))
    factors[np.arange(len(colours)), colours] = 1.25
    hiding = card_hiding(side, np.array([thickness]), factors, nodes=NODES)
    return colours[int(hiding[:, 0].argmax())]


def need(
    plastic: Composition,
    side: SideOptics,
    stations: Sequence[Station],
    *,
    wanted: float,
    half: Half,
) -> Need | None:
    """Return the loading of a half's leading colourant that would hide what is wanted.

    Parameters
    ----------
    plastic : Composition
        Of the half.
    side : SideOptics
        Of the same half, in the same order of parts.
    stations : sequence of Station
        Where it must hide.
    wanted : float
        Share of the card's step to hide. [-]
    half : Half
        Whose thickness counts.

    Returns
    -------
    Need or None
        None where the half has no colourant to raise.
    """
    colours = [i for i, p in enumerate(plastic.parts) if isinstance(p.supply, Colourant)]
    colours = [i for i in colours if plastic.parts[i].share > 0]
    if not colours:
        return None
    widest = max(range(len(stations)), key=lambda i: stations[i].width * stations[i].height)
    thicknesses = np.array([half_thickness(station, half) for station in stations])
    lead = _leading(side, colours, float(thicknesses[widest]))
    factors = np.ones((TRIED.size, len(side.names)))
    factors[:, lead] = TRIED
    # More colourant hides more; a solver's last digit must not say otherwise.
    hiding = np.maximum.accumulate(card_hiding(side, thicknesses, factors, nodes=NODES), axis=0)
    part = plastic.parts[lead]
    others = sum(plastic.parts[i].share for i in colours) - part.share
    most = max((MOST_COLOUR - others) / part.share, 1.0)
    now, unit = _amount(part)
    needed = tuple(
        (station.name, _reached(hiding[:, place], wanted, most))
        for place, station in enumerate(stations)
    )
    return Need(
        supply=part.supply.name,
        now=now,
        unit=unit,
        factors=needed,
        most=most,
        hiding=hiding,
        spread=hypot(
            float(side.spread[lead]),
            _bottle_spread(side, lead, float(thicknesses[widest]), hiding[:, widest]),
            _others_spread(
                side, lead, float(thicknesses[widest]), hiding[:, widest], needed[widest][1] or 1.0
            ),
            # As much thinner, so much more of it: hiding goes by their product.
            thickness_spread(stations[widest]),
        ),
    )


def _bottle_spread(side: SideOptics, lead: int, thickness: float, nominal: Floats) -> float:
    """Return the spread of ln loading from not knowing what a colourant does to light. [-]

    Each bottle that it may be hides like some multiple of the nominal one.
    """
    count = side.count(lead)
    if not count:
        return 0.0
    members = np.zeros((count, len(side.names)), dtype=np.intp)
    members[:, lead] = 1 + np.arange(count)
    ones = np.ones((count, len(side.names)))
    seen = card_hiding(side, np.array([thickness]), ones, members=members, nodes=NODES)[:, 0]
    low, high = central_range(np.interp(seen, nominal, np.log(TRIED)))
    return (high - low) / (2 * HALF_RANGE)


def _others_spread(
    side: SideOptics, lead: int, thickness: float, nominal: Floats, factor: float
) -> float:
    """Return the spread of ln loading from all that is not the leading colourant. [-]

    Where the rest of the half hides more or less than it is taken to, so much less or more of
    the leading colourant is needed; each of the others by itself, at the loading that is needed.
    """
    others = [i for i in np.flatnonzero(side.spread) if i != lead]
    if not others:
        return 0.0
    ends = np.ones((2 * len(others), len(side.names)))
    ends[:, lead] = factor
    away = np.exp(HALF_RANGE * side.spread[others])
    ends[np.arange(len(others)), others] = away
    ends[len(others) + np.arange(len(others)), others] = 1 / away
    seen = card_hiding(side, np.array([thickness]), ends, nodes=NODES)[:, 0]
    more, less = np.interp(seen, nominal, np.log(TRIED)).reshape(2, -1)
    return float(np.linalg.norm(more - less)) / (2 * HALF_RANGE)


def _reached(hiding: Floats, wanted: float, most: float) -> float | None:
    if hiding[-1] < wanted:
        return None
    if hiding[0] >= wanted:
        return float(TRIED[0])
    above = int(np.argmax(hiding >= wanted))
    span = hiding[above] - hiding[above - 1]
    part = (wanted - hiding[above - 1]) / span if span > 0 else 0.0
    factor = float(TRIED[above - 1] * (TRIED[above] / TRIED[above - 1]) ** part)
    return factor if factor <= most else None
