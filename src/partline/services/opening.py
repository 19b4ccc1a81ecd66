"""When a mould may be opened, said in the maker's units: now, and shot after shot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from partline.materials.mould import Mould
from partline.process.bench import Bench
from partline.process.mould_heat import MouldHeat, mould_heat
from partline.process.opening import Opened, Opening, opening, through_run
from partline.process.poured_side import cold_bait_mass
from partline.process.shot_heat import OPEN_AT, Filled
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind, parse
from partline.services.cautions import CAUTIONS
from partline.services.telling import figure

Json = dict[str, Any]

#: Where nothing is said: into the middle of the usual bands, a warmed mould, a room. [K]
USUAL_POUR, WARM_MOULD, USUAL_ROOM = 163 + ZERO_CELSIUS, 40 + ZERO_CELSIUS, 22 + ZERO_CELSIUS
#: From one filling of a mould to the next: a short heat between. Common practice. [s]
USUAL_EVERY = 300.0
#: Density of the plastic that a mould without one was weighed in. [kg/m³]
USUAL_DENSITY = Estimate.within(1020.0, 0.02, Origin.DEFAULT)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningAnswer:
    """When a mould may be opened, with all it was made from.

    Parameters
    ----------
    mould : Mould
        Which.
    bench : Bench or None
        Whose thermometer and room; None for the usual ones.
    filled : Filled
        How it was filled.
    metal : MouldHeat
        The mould in terms of heat.
    shot_mass : float
        Baits, sprue and runner. [kg]
    opening : Opening
        The wall staying as told.
    run : tuple of Opened
        Shot after shot; empty where nobody asked.
    every : float
        From one filling to the next at the least. [s]
    """

    mould: Mould
    bench: Bench | None
    filled: Filled
    metal: MouldHeat
    shot_mass: float
    opening: Opening
    run: tuple[Opened, ...] = ()
    every: float = USUAL_EVERY


def shot_mass_of(mould: Mould, density: Estimate = USUAL_DENSITY) -> float:
    """Return what a full mould holds in plastic of a density [kg/m³]. [kg]"""
    baits = mould.cavities * cold_bait_mass(mould, density).value
    return baits + mould.sprue_mass.value


def open_mould(
    mould: Mould,
    bench: Bench | None = None,
    given: Mapping[str, str] | None = None,
    *,
    shots: int = 0,
) -> OpeningAnswer:
    """Say when a mould may be opened.

    Parameters
    ----------
    mould : Mould
        Which.
    bench : Bench, optional
        Whose room and thermometer.
    given : mapping of str to str, optional
        As typed: ``from``, ``wall``, ``open-at``, ``every``, ``mould-mass``; empty for the usual.
    shots : int
        Shots to follow the warming mould through; 0 for none.

    Raises
    ------
    Ambiguous, InputError, OutOfRange
        If something typed cannot be used.
    Impossible
        If the core cannot become as cool as wanted.
    """
    typed = given or {}
    filled = Filled(
        pour=_temperature(typed, "from", (110, 200), USUAL_POUR),
        wall=_temperature(typed, "wall", (0, 110), WARM_MOULD),
        room=bench.room if bench else USUAL_ROOM,
        open_at=_temperature(typed, "open-at", (30, 110), OPEN_AT),
    )
    mass = None
    if typed.get("mould-mass"):
        heavy = parse(typed["mould-mass"], Kind.MASS, field="mould-mass", low=0.02, high=50.0)
        mass = Estimate.exact(heavy.value)
    metal = mould_heat(mould, mass)
    every = USUAL_EVERY
    if typed.get("every"):
        every = parse(typed["every"], Kind.TIME, field="every", low=10.0, high=7200.0).value
    weight = shot_mass_of(mould)
    found = opening(mould, filled, metal, weight)
    run: tuple[Opened, ...] = ()
    if shots:
        run = through_run(mould, filled, metal, weight, shots=shots, every=every)
    return OpeningAnswer(
        mould=mould, bench=bench, filled=filled, metal=metal, shot_mass=weight, opening=found,
        run=run, every=every,
    )  # fmt: skip


def _temperature(
    given: Mapping[str, str], key: str, span: tuple[float, float], usual: float
) -> float:
    if not given.get(key):
        return usual
    low, high = (end + ZERO_CELSIUS for end in span)
    return parse(given[key], Kind.TEMPERATURE, field=key, plausible=(low, high)).value


def shown(temperature: float, bench: Bench | None) -> Json:
    """Return a temperature [K] in °C, and as the bench's thermometer shows it."""
    celsius = temperature - ZERO_CELSIUS
    return {
        "celsius": round(celsius, 1),
        "shown": bench.reading(temperature) if bench else f"{celsius:.0f} °C",
    }


def minutes(seconds: float) -> str:
    """Return a time as a clock shows it, such as 3:14."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def opening_as_json(answer: OpeningAnswer) -> Json:
    """Return when a mould may be opened in the maker's units.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    filled, bench, metal = answer.filled, answer.bench, answer.metal
    binding = answer.opening.binding
    return {
        "mould": answer.mould.name,
        "bench": bench.name if bench else None,
        "from": shown(filled.pour, bench),
        "wall": shown(filled.wall, bench),
        "open_at": shown(filled.open_at, bench),
        "open_s": figure(binding.time, 0),
        "station": binding.name,
        "stations": [
            {"name": each.name, "half_thickness_mm": round(each.body.size * 1e3, 2),
             "open_s": figure(each.time, 0)}
            for each in answer.opening.stations
        ],
        "mould_mass_g": figure(metal.mass.map(lambda kg: kg * 1e3), 0),
        "shot_g": round(answer.shot_mass * 1e3, 1),
        "every_s": round(answer.every),
        "run": [
            {"shot": each.shot, "wall": shown(each.wall, bench),
             "wall_when_opened": shown(each.warmed, bench), "open_s": figure(each.time, 0)}
            for each in answer.run
        ],
        "notes": _notes(answer),
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def _notes(answer: OpeningAnswer) -> list[str]:
    told = [
        "The wall is taken as the mould reads while it works; the longer end of the range lets "
        "the mould keep the whole shot's heat.",
        "Read a mould on a matt spot or a strip of tape: bare metal reads far too low.",
    ]
    if answer.run:
        told.append(
            f"Shot after shot the mould is filled every {minutes(answer.every)} min or once it is "
            "open, and keeps what the room does not take. A fan, or a cold metal plate between "
            "shots, shortens this more than anything else."
        )
    told += [note.text for note in answer.metal.notes]
    return told
