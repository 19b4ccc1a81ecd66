"""A bench in the maker's units, each number with its range and origin."""

from __future__ import annotations

from typing import Any

from partline.process.bench import Bench
from partline.quantities.estimate import Estimate
from partline.services.shelf import celsius
from partline.services.telling import figure

Json = dict[str, Any]


def bench_as_json(bench: Bench) -> Json:
    """Return a bench in the maker's units.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    vessel, syringes = bench.vessel, bench.syringes
    oven, thermometer = bench.oven, bench.thermometer
    return {
        "name": bench.name,
        "temperatures": "°F" if bench.reads_fahrenheit else "°C",
        "room_celsius": celsius(bench.room),
        "ceiling_celsius": None if bench.ceiling is None else celsius(bench.ceiling),
        "is_ceiling_locked": bench.is_ceiling_locked,
        "reject_percent": round(bench.reject_share * 100, 3),
        "block_loss_g": _figure(bench.block_loss, 1e3),
        "cup": {
            "capacity_ml": round(vessel.capacity * 1e6, 3),
            "fill_percent": round(vessel.fill_limit * 100, 3),
            "film_g": _figure(vessel.film, 1e3),
            "mass_g": _figure(vessel.mass, 1e3),
        },
        "syringe": {
            "capacity_ml": round(syringes.capacity * 1e6, 3),
            "usable_percent": round(syringes.usable_share * 100, 3),
            "heel_g": _figure(syringes.heel, 1e3),
            "barrel_g": _figure(syringes.barrel_mass, 1e3),
            "preheat_celsius": None if syringes.preheat is None else celsius(syringes.preheat),
            "shots_per_draw": syringes.shots_per_draw,
        },
        "oven": None
        if oven is None
        else {
            "power_w": _figure(oven.power, 1),
            "share_percent": _figure(oven.share, 100),
        },
        "thermometer": None
        if thermometer is None
        else {
            "emissivity": thermometer.emissivity,
            "between_cups_k": thermometer.between_cups,
            "absolute_k": thermometer.absolute,
            "offset_k": _figure(thermometer.offset, 1),
        },
        "scale_factor": None if bench.scale is None else _figure(bench.scale.factor, 1),
        "guesses": list(bench.guesses),
    }


def _figure(known: Estimate | None, size: float) -> Json | None:
    return None if known is None else figure(known.map(lambda value: value * size), 3)
