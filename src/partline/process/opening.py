"""When a mould may be opened: the core of its thickest place, and a mould that warms all along."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import exp, log

from partline.errors import Impossible, OutOfRange
from partline.materials.mould import Mould
from partline.process.mould_heat import MouldHeat
from partline.process.plastic_heat import CONTACT, conductivity, diffusivity
from partline.process.section_cooling import CoolingBody, cooling_body
from partline.process.shot_heat import (
    LONGEST,
    Filled,
    ShotHeat,
    check_filled,
    cooling_bodies,
    shot_heat,
    slowest_station,
)
from partline.quantities.estimate import Estimate, Origin, propagate

__all__ = [
    "Closed",
    "Filled",
    "Opened",
    "Opening",
    "StationOpening",
    "follow",
    "opening",
    "through_run",
]

#: A mould that the plastic cannot warm. [J/K]
ENDLESS = 1e12
#: Shots that one answer follows.
MOST_SHOTS = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class StationOpening:
    """When one station's core is cool enough.

    Parameters
    ----------
    name : str
        Of the station.
    body : CoolingBody
        What it is cooled as.
    time : Estimate
        From full to open. [s]
    """

    name: str
    body: CoolingBody
    time: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """When a mould may be opened, its wall being what was told.

    Parameters
    ----------
    stations : tuple of StationOpening
        From nose to tail.
    """

    stations: tuple[StationOpening, ...]

    @property
    def binding(self) -> StationOpening:
        """The station that keeps the mould closed longest."""
        return max(self.stations, key=lambda each: each.time.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """One shot of a run in one mould.

    Parameters
    ----------
    shot : int
        From 1.
    wall : float
        Temperature of the mould as it is filled. [K]
    warmed : float
        As it is opened. [K]
    time : Estimate
        From full to open. [s]
    """

    shot: int
    wall: float
    warmed: float
    time: Estimate


def _times(law: Callable[..., float], inputs: Sequence[Estimate], source: str) -> Estimate:
    """Carry ranges through a law of times, as ratios: a time doubles as easily as it halves."""
    law(*(each.value for each in inputs))  # what is likely must be possible

    def logarithm(*given: float) -> float:
        try:
            return log(law(*given))
        except Impossible:  # at one end of what is known it takes longer than anybody waits
            return log(LONGEST)

    known = propagate(logarithm, inputs, source=source).map(exp)
    return replace(known, narrows=known.narrows or "a reading of the core right after opening")


def _thickness(mould: Mould) -> Estimate:
    """How far the stations' sizes may be off together. [-]"""
    doubt = max(station.doubt for station in mould.stations)
    return Estimate.within(1.0, doubt, Origin.ENTERED, narrows="a calliper across one bait")


def opening(mould: Mould, filled: Filled, metal: MouldHeat, shot_mass: float) -> Opening:
    """Return when each station may be opened, the wall staying as warm as it was told.

    Parameters
    ----------
    mould : Mould
        Its stations are cooled one by one.
    filled : Filled
        How it was filled; the wall is taken as the reading of the working mould.
    metal : MouldHeat
        The high end of the range lets the mould keep the shot's heat.
    shot_mass : float
        Baits, sprue and runner. [kg]

    Raises
    ------
    OutOfRange, Impossible
        As `check_filled`.

    Notes
    -----
    Constant properties; nothing leaves along the bait. Sprue and runner warm the mould in step
    with the baits.
    """
    check_filled(filled)

    @cache
    def heat(alpha: float, k: float, contact: float, scale: float, warming: float) -> ShotHeat:
        mass = metal.mass.value
        return shot_heat(
            cooling_bodies(mould, shot_mass, scale), alpha=alpha, k=k, contact=contact,
            capacity=metal.capacity(mass) / warming if warming else ENDLESS,
            loss=metal.loss(mass), room=filled.room,
        )  # fmt: skip

    warming = Estimate(
        value=0.0, low=0.0, high=1.0, origin=Origin.DEFAULT, narrows=metal.mass.narrows
    )
    inputs = [diffusivity(), conductivity(), CONTACT, _thickness(mould), warming]
    return Opening(
        stations=tuple(
            StationOpening(
                name=station.name,
                body=cooling_body(station),
                time=_times(
                    lambda *given, place=place: heat(*given).opens(place, filled),
                    inputs,
                    "conduction in the section, wall as told",
                ),
            )
            for place, station in enumerate(mould.stations)
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """How long a mould stayed closed after a shot, and open before the next.

    Parameters
    ----------
    closed : float or None
        From full to open; None to open it as soon as it may be. [s]
    every : float
        From this filling to the next at the least; it is not filled before it is open. [s]
    """

    closed: float | None = None
    every: float = 0.0


def through_run(
    mould: Mould, filled: Filled, metal: MouldHeat, shot_mass: float, *, shots: int, every: float
) -> tuple[Opened, ...]:
    """Follow one mould through a run: each shot leaves it warmer, the room takes some back.

    Parameters
    ----------
    mould, filled, metal, shot_mass
        As `opening`; the wall is that before the first shot.
    shots : int
        How many, 1 to 500.
    every : float
        From one filling to the next, at the least. [s]

    Returns
    -------
    opened : tuple of Opened
        One a shot.

    Raises
    ------
    OutOfRange, Impossible
        As `check_filled`; or if there are too many shots, or a shot cannot cool in three hours.
    """
    if not 1 <= shots <= MOST_SHOTS:
        raise OutOfRange(
            f"{shots} shots were asked for; one answer follows 1 to {MOST_SHOTS}.",
            low=1, high=MOST_SHOTS, field="shots", given=str(shots),
        )  # fmt: skip
    return follow(mould, filled, metal, shot_mass, [Closed(every=every)] * shots)


def follow(
    mould: Mould, filled: Filled, metal: MouldHeat, shot_mass: float, shots: Sequence[Closed]
) -> tuple[Opened, ...]:
    """Follow one mould through shots of which some have been opened already.

    Parameters
    ----------
    mould, filled, metal, shot_mass
        As `opening`; the wall is that before the first shot.
    shots : sequence of Closed
        In order.

    Returns
    -------
    opened : tuple of Opened
        One a shot; `time` is when it may be opened, `warmed` the mould's temperature when it was.

    Raises
    ------
    OutOfRange, Impossible
        As `check_filled`, or if a shot cannot cool in three hours.
    """
    check_filled(filled, held=False)
    binding = slowest_station(mould)

    @cache
    def run(
        alpha: float, contact: float, scale: float, mass: float, air: float
    ) -> list[tuple[float, float, float]]:
        lump = replace(metal, air=Estimate.exact(air))
        heat = shot_heat(
            cooling_bodies(mould, shot_mass, scale), alpha=alpha, k=conductivity().value,
            contact=contact, capacity=lump.capacity(mass), loss=lump.loss(mass),
            room=filled.room,
        )  # fmt: skip
        rows, wall = [], filled.wall
        for shot in shots:
            now = replace(filled, wall=wall)
            time = heat.opens(binding, now)
            closed = time if shot.closed is None else shot.closed
            warmed = heat.metal(now, closed)
            rows.append((wall, warmed, time))
            wall = lump.cooled(warmed, filled.room, max(shot.every - closed, 0.0), mass)
        return rows

    inputs = [diffusivity(), CONTACT, _thickness(mould), metal.mass, metal.air]
    middle = run(*(each.value for each in inputs))
    found: list[Opened] = []
    for number, (wall, warmed, _) in enumerate(middle):
        time = _times(
            lambda *given, number=number: run(*given)[number][2],
            inputs,
            "conduction in the section, and a mould that keeps what it was given",
        )
        if found and wall >= found[-1].wall:
            # Whatever the mould is, it opens later from a warmer wall.
            time = replace(time, low=min(max(time.low, found[-1].time.low), time.value))
        found.append(Opened(shot=number + 1, wall=wall, warmed=warmed, time=time))
    return tuple(found)
