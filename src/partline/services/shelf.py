"""The shelf in the maker's units, each number with its range and origin."""

from __future__ import annotations

from partline.materials.shelf import Shelf
from partline.materials.supply import Additive, Colourant, Flake, Grade, Supply
from partline.process.ingredients import kind_of
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate
from partline.services.telling import figure

Json = dict[str, object]


def celsius(kelvin: float) -> float:
    """Return a temperature [K] in °C, to a tenth."""
    return round(kelvin - ZERO_CELSIUS, 1)


def _grade(grade: Grade) -> tuple[str, Json]:
    resin = figure(grade.resin_share.map(lambda share: share * 100), 1)
    text = (
        f"{grade.resin_share.value * 100:.0f} % resin, label band {celsius(grade.band_low):.0f}–"
        f"{celsius(grade.band_high):.0f} °C, target {celsius(grade.target):.0f} °C, "
        f"ceiling {celsius(grade.ceiling):.0f} °C"
    )
    return text, {
        "resin_percent": resin,
        "band_celsius": [celsius(grade.band_low), celsius(grade.band_high)],
        "target_celsius": celsius(grade.target),
        "ceiling_celsius": celsius(grade.ceiling),
    }


def _colourant(colour: Colourant) -> tuple[str, Json]:
    drop = figure(colour.drop_mass.map(lambda kg: kg * 1e6), 1)
    tender = ", heat-tender" if colour.is_heat_tender else ""
    text = (
        f"{colour.clarity.value}, drop {drop['value']} mg ({drop['low']}–{drop['high']}, "
        f"{drop['origin']}){tender}"
    )
    return text, {
        "clarity": colour.clarity.value,
        "drop_mg": drop,
        "strength": figure(colour.strength, 3),
        "optics_origin": colour.optics_origin.value,
        "is_heat_tender": colour.is_heat_tender,
    }


def _flake(flake: Flake) -> tuple[str, Json]:
    limits = []
    if flake.is_metal:
        limits.append("metal: never in the microwave oven")
    if flake.heat_limit is not None:
        limits.append(f"sheds above {celsius(flake.heat_limit):.0f} °C")
    text = ", ".join([f"{flake.colour} {flake.size * 1e3:.2g} mm".strip(), *limits])
    limit = flake.heat_limit
    return text, {
        "size_mm": flake.size * 1e3,
        "shape": flake.shape.value,
        "film_um": round(flake.thickness * 1e6, 3),
        "is_metal": flake.is_metal,
        "heat_limit_celsius": None if limit is None else celsius(limit),
    }


def _additive(additive: Additive) -> tuple[str, Json]:
    grain = "" if additive.grain is None else f", grain {additive.grain * 1e6:.0f} µm"
    size = None if additive.grain is None else round(additive.grain * 1e6, 3)
    return f"{additive.kind.value}{grain}", {"grain_um": size}


def _told(supply: Supply) -> tuple[str, Json]:
    match supply:
        case Grade():
            return _grade(supply)
        case Colourant():
            return _colourant(supply)
        case Flake():
            return _flake(supply)
        case Additive():
            return _additive(supply)
        case _:
            return "", {}


def _stock(supply: Supply) -> Json:
    stock, price = supply.stock, supply.stock.price
    mass, volume = (price.mass, price.volume) if price else (None, None)
    return {
        "mass_now_g": _grams(stock.mass_now),
        "gross_g": _grams(stock.gross),
        "tare_g": _grams(stock.tare),
        "price_paid": price.paid if price else None,
        "price_amount_g": None if mass is None else round(mass * 1e3, 3),
        "price_amount_ml": None if volume is None else round(volume * 1e6, 3),
        "price_per_kg": round(price.per_mass(supply.density.value), 4) if price else None,
        "received": stock.received.isoformat() if stock.received else None,
        "opened": stock.opened.isoformat() if stock.opened else None,
    }


def _grams(known: Estimate | None) -> Json | None:
    return None if known is None else figure(known.map(lambda kg: kg * 1e3), 2)


def shelf_as_json(shelf: Shelf) -> list[Json]:
    """Return every supply with a summary in words."""
    supplies = []
    for supply in shelf:
        summary, fields = _told(supply)
        if supply.guesses:
            # A default must never look like a label that somebody has read.
            summary = f"{summary}. Guessed, read the label: {', '.join(supply.guesses)}"
        supplies.append({
            "name": supply.name,
            "kind": kind_of(supply),
            "lot": supply.lot,
            "summary": summary,
            "guesses": list(supply.guesses),
            "density_g_per_ml": figure(supply.density.map(lambda rho: rho * 1e-3), 3),
            "hazard_sheet": supply.hazard_sheet,
            **_stock(supply),
            **fields,
        })  # fmt: skip
    return supplies
