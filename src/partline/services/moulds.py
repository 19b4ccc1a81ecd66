"""A mould in the maker's units, each number with its range and origin."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from partline.materials.mould import Mould
from partline.process.cavity import profile, shape_notes, weighed_volume
from partline.quantities.estimate import Estimate
from partline.services.telling import figure

Json = dict[str, Any]


def mould_as_json(mould: Mould) -> Json:
    """Return a mould in the maker's units.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    grams, millilitres = _in(1e3), _in(1e6)
    return {
        "name": mould.name,
        "cavities": mould.cavities,
        "length_mm": mould.length * 1e3,
        "mould_mass_g": grams(mould.mass, 0),
        "gate_mm": None if mould.gate is None else mould.gate * 1e3,
        "material": mould.material,
        "bottom_mark": mould.bottom_mark,
        "bait_mass_g": grams(mould.bait_mass, 3),
        "bait_volume_ml": millilitres(mould.bait_volume, 3),
        "sprue_mass_g": grams(mould.sprue_mass, 3),
        "volume_by_shape_ml": round(profile(mould).volume * 1e6, 2),
        "volume_by_weighing_ml": _weighed(mould),
        "stations": [
            {
                "name": each.name,
                "position": each.position,
                "shape": each.shape.value,
                "points_mm": [
                    [round(point.across * 1e3, 4), round(point.up * 1e3, 4)]
                    for point in each.points
                ],
                "width_mm": round(each.width * 1e3, 4),
                "back_half_mm": round(each.back_half * 1e3, 4),
                "belly_half_mm": round(each.belly_half * 1e3, 4),
                "origin": each.origin.value,
                "doubt_percent": round(each.doubt * 100, 2),
            }
            for each in mould.stations
        ],
        "guesses": list(mould.guesses),
        "notes": [note.text for note in shape_notes(mould)],
    }


def _in(size: float) -> Callable[[Estimate | None, int], Json | None]:
    def told(known: Estimate | None, digits: int) -> Json | None:
        return None if known is None else figure(known.map(lambda value: value * size), digits)

    return told


def _weighed(mould: Mould) -> float | None:
    volume = weighed_volume(mould)
    return None if volume is None else round(volume * 1e6, 2)
