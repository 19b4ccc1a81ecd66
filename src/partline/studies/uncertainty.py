"""Ranges from what is not known exactly: supplies, unmeasured bottles and thickness, sampled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log1p
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import qmc

from partline.materials.mould import Station
from partline.process.optics import SideOptics
from partline.process.supply_doubt import Cause
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]
Thing = TypeVar("Thing")

#: Draws behind a range; a power of two, as the even sequence wants.
DRAWS = 32
#: A scramble whose first 16 draws lie evenly in five doubts too: over the demo's recipes the ends
#: of a live range are then within about a tenth of its width; with others, up to four tenths.
SEED = 29
#: Ends of the central 80 % range. [-]
ENDS = (0.10, 0.90)


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One thing that is not known, and that moves everything it stands in together.

    Parameters
    ----------
    cause : Cause
        What kind of thing.
    name : str
        The supply's name; empty for the mould's thickness.
    """

    cause: Cause
    name: str = ""


def doubts(sides: Sequence[SideOptics], stations: Sequence[Station] = ()) -> tuple[Doubt, ...]:
    """Return what is in doubt, each once, in an order that never changes."""
    amounts = {
        Doubt(cause=side.cause(part), name=name): None
        for side in sides
        for part, (name, spread) in enumerate(zip(side.names, side.spread, strict=True))
        if spread > 0 and _matters(side, part)
    }
    bottles = {
        Doubt(cause=Cause.BOTTLE, name=name): None
        for side in sides
        for part, name in enumerate(side.names)
        if side.count(part)
    }
    thick = [Doubt(cause=Cause.THICKNESS)] if any(each.doubt for each in stations) else []
    return (*sorted(amounts, key=lambda each: each.cause.value), *bottles, *thick)


def _matters(side: SideOptics, part: int) -> bool:
    """Return whether a part does anything to light at all: half of nothing is still nothing."""
    nominal = side.members[part]
    return bool(np.any(nominal.absorption > 0) or np.any(nominal.scattering > 0))


def thickness_spread(station: Station) -> float:
    """Return the standard deviation of the logarithm of a station's thickness. [-]"""
    return log1p(station.doubt) / HALF_RANGE


@dataclass(frozen=True, kw_only=True)
class Draws:
    """What everything in doubt may really be, draw by draw.

    Parameters
    ----------
    doubts : tuple of Doubt
        What was drawn.
    standard : ndarray, shape (draws, doubts)
        The same draws as standard normal numbers. [-]
    factors : list of ndarray, shape (draws, parts)
        What each part's amount is multiplied by; one array a side, log-normal about 1. [-]
    members : list of ndarray, shape (draws, parts)
        Which of the bottles that it may be each part is; one array a side, 0 where it is known.
    thicker : ndarray, shape (draws, stations)
        What each station's thickness is multiplied by. [-]
    """

    doubts: tuple[Doubt, ...]
    standard: Floats
    factors: list[Floats]
    members: list[Integers]
    thicker: Floats

    def and_as_written(self) -> Draws:
        """Return the same with one more draw, in which everything is as written."""
        return Draws(
            doubts=self.doubts,
            standard=self.standard,
            factors=[np.vstack([each, np.ones(each.shape[1])]) for each in self.factors],
            members=[
                np.vstack([each, np.zeros(each.shape[1], dtype=each.dtype)])
                for each in self.members
            ],
            thicker=np.vstack([self.thicker, np.ones(self.thicker.shape[1])]),
        )


def draw_doubts(
    sides: Sequence[SideOptics],
    stations: Sequence[Station] = (),
    *,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Draws:
    """Draw what each amount, each unmeasured bottle and the mould's thickness may really be.

    Parameters
    ----------
    sides : sequence of SideOptics
        A supply in both sides is drawn once: it is the same bottle.
    stations : sequence of Station
        Those in doubt grow and shrink together: one hand read them, by one rule.
    draws : int
        A power of two.
    seed : int
        Same seed, same draws.

    Returns
    -------
    Draws
        Everything as written where nothing is in doubt.
    """
    found = doubts(sides, stations)
    even, standard = _even(len(found), draws, seed)
    place = {doubt: i for i, doubt in enumerate(found)}
    factors: list[Floats] = []
    members: list[Integers] = []
    for side in sides:
        logs = np.zeros((draws, len(side.names)))
        which = np.zeros((draws, len(side.names)), dtype=np.intp)
        for part, (name, spread) in enumerate(zip(side.names, side.spread, strict=True)):
            if (doubt := Doubt(cause=side.cause(part), name=name)) in place:
                logs[:, part] = spread * standard[:, place[doubt]]
            if count := side.count(part):
                drawn = even[:, place[Doubt(cause=Cause.BOTTLE, name=name)]]
                which[:, part] = 1 + np.minimum((count * drawn).astype(np.intp), count - 1)
        factors.append(np.exp(logs))
        members.append(which)
    thicker = np.ones((draws, len(stations)))
    if (thick := Doubt(cause=Cause.THICKNESS)) in place:
        spreads = np.array([thickness_spread(station) for station in stations])
        thicker = np.exp(standard[:, place[thick], None] * spreads)
    return Draws(
        doubts=found, standard=standard, factors=factors, members=members, thicker=thicker
    )


def _even(count: int, draws: int, seed: int) -> tuple[Floats, Floats]:
    """Return evenly spread numbers in 0 to 1, and the same as standard normal ones."""
    if not count:
        return np.zeros((draws, 0)), np.zeros((draws, 0))
    even = qmc.Sobol(count, rng=np.random.default_rng(seed)).random(draws)
    # Of every doubt, each share of 1/draws holds one draw: put in its middle, the draws of one
    # doubt alone are as even as can be, and none stands at 0 or 1, where the normal has no value.
    middle = (np.floor(draws * even) + 0.5) / draws
    return middle, ndtri(middle)


def central_range(samples: Floats) -> tuple[float, float]:
    """Return the ends of the central 80 % of samples, shape (draws,).

    Each of evenly spread samples stands for the middle of its share, and it is linear between
    them. With the first and the last for the ends of all that may be, as `numpy.percentile` has
    them, 32 draws of one doubt would hold 77 %.
    """
    shares = (np.arange(samples.size) + 0.5) / samples.size
    low, high = np.interp(ENDS, shares, np.sort(samples))
    return float(low), float(high)


def ranged(
    value: float,
    samples: Floats,
    *,
    picture_error: float = 0.0,
    floor: float = 0.0,
    ceiling: float = np.inf,
    source: str,
    narrows: str = "",
) -> Estimate:
    """Return a value with the central 80 % range of its samples.

    Parameters
    ----------
    value : float
        The figure without doubt in the amounts.
    samples : ndarray, shape (draws,)
        The same figure for each draw.
    picture_error : float
        Bound that 80 % of a model's own errors lie within, added in quadrature.
    floor, ceiling : float
        Smallest and largest possible value.
    source, narrows : str
        As in `Estimate`.
    """
    low, high = central_range(samples)
    below = np.hypot(max(value - low, 0.0), picture_error)
    above = np.hypot(max(high - value, 0.0), picture_error)
    return Estimate(
        value=value,
        low=max(float(value - below), min(floor, value)),
        high=min(float(value + above), max(ceiling, value)),
        origin=Origin.COMPUTED,
        source=source,
        narrows=narrows,
    )


def most_to_blame(samples: Floats, standard: Floats, things: Sequence[Thing]) -> Thing | None:
    """Return the one of the things whose doubt moves the samples most; None where none does.

    Parameters
    ----------
    samples : ndarray, shape (draws,)
        A figure for each draw.
    standard : ndarray, shape (draws, things)
        The draws. [-]
    things : sequence
        What was drawn.
    """
    if not things:
        return None
    moved = np.abs((samples - samples.mean()) @ standard)
    return things[int(moved.argmax())] if moved.max() > 0 else None
