"""Predict a look and say it in the maker's units, for page, command line and card alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from partline.errors import Invalid
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.cavity import half_thickness
from partline.process.composition import compose
from partline.process.flake_count import FlakesInSide, flakes_in_side
from partline.process.optics import USUAL, Condition, side_optics
from partline.process.recipe import Half, Recipe
from partline.process.recipe_check import check_against_shelf
from partline.process.rendering import VIEWS, Backdrop, Quality, View
from partline.quantities.estimate import Estimate
from partline.quantities.note import Note
from partline.quantities.rounding import deserved_decimals
from partline.records.ready_tables import IN_AIR
from partline.services.cautions import CAUTIONS
from partline.services.origins import look_inputs
from partline.services.scene import Pictures, Scene, draw
from partline.services.tables import keeper
from partline.services.telling import figure
from partline.services.why import why_as_dicts
from partline.studies.advice import Advice, advise
from partline.studies.loading import Need
from partline.studies.look import Difference, HalfLook, Look, StationLook, predict_look
from partline.studies.uncertainty import DRAWS

Json = dict[str, object]
Floats = NDArray[np.floating]

#: Plastics whose refractive index differs by less are not told apart by an eye: the references of
#: `benchmarks/bench_look.py` differ from the ready tables by 0.026, and those by ΔE00 0.60. [-]
INDEX_ALIKE = 0.01

NO_CUPS: Mapping[Half, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAnswer:
    """A predicted look with what it was asked of.

    Parameters
    ----------
    recipe, mould, shelf
        What was asked.
    look : Look
        The prediction.
    advice : tuple of Advice
        What to change.
    """

    recipe: Recipe
    mould: Mould
    shelf: Shelf
    look: Look
    advice: tuple[Advice, ...]


def preview_look(
    recipe: Recipe,
    mould: Mould,
    shelf: Shelf,
    *,
    draws: int = DRAWS,
    condition: Condition = USUAL,
) -> LookAnswer:
    """Predict a look.

    Raises
    ------
    Invalid
        If the recipe asks for something that is not on the shelf; names every such place.
    """
    problems = check_against_shelf(recipe, shelf)
    if problems:
        raise Invalid(tuple(problems), what=f"Recipe “{recipe.name}”")
    look = predict_look(
        recipe, mould, shelf, renderer=keeper().renderer(mould), draws=draws, condition=condition
    )
    return LookAnswer(recipe=recipe, mould=mould, shelf=shelf, look=look, advice=advise(look))


def draw_pictures(
    recipe: Recipe, mould: Mould, shelf: Shelf
) -> dict[tuple[View, Backdrop], Floats]:
    """Return the usual views over a pale and a dark card, by daylight, as sRGB arrays."""
    drawn: dict[tuple[View, Backdrop], Floats] = {}
    for card in (Backdrop.PALE, Backdrop.DARK):
        views = draw_scene(recipe, mould, shelf, Scene(card=card)).views
        drawn |= {(view, card): views[view.value] for view in VIEWS}
    return drawn


def draw_scene(recipe: Recipe, mould: Mould, shelf: Shelf, scene: Scene) -> Pictures:
    """Return the bait from every side in a scene.

    Raises
    ------
    OutOfRange
        If it is too dark there to see anything.
    """
    plastics = [compose(side, shelf) for side in recipe.sides]
    return draw(keeper().renderer(mould, scene.medium), plastics, mould, scene)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _range(estimate: Estimate, digits: int) -> list[float]:
    return [round(estimate.low, digits), round(estimate.high, digits)]


def _difference(difference: Difference | None) -> Json | None:
    if difference is None:
        return None
    return {
        **figure(difference.value, 1),
        "unit": "ΔE00",
        "verdict": difference.verdict.value,
        "station": difference.station,
    }


def _half_fields(seen: HalfLook) -> Json:
    name = seen.half.value
    fields: Json = {
        f"{name}_hiding": round(seen.hiding.value, 3),
        f"{name}_hiding_range": _range(seen.hiding, 3),
        f"{name}_verdict": seen.word.value,
        f"{name}_colour": [round(part, 4) for part in seen.colour],
        f"{name}_own_colour": [round(part, 4) for part in seen.own_colour],
        f"{name}_hiding_narrows": seen.hiding.narrows,
    }
    if seen.see_through is not None:
        fields[f"{name}_see_through_narrows"] = seen.see_through.narrows
        fields[f"{name}_see_through"] = round(seen.see_through.value, 1)
        fields[f"{name}_see_through_range"] = _range(seen.see_through, 1)
    return fields


def _station(seen: StationLook) -> Json:
    first, station = seen.halves[0], seen.station
    fields: Json = {
        "name": station.name,
        "position": station.position,
        "half_thickness_mm": round(first.thickness * 1e3, 3),
        "width_mm": round(station.width * 1e3, 3),
        "shape": station.shape.value,
    }
    for half in seen.halves:
        fields |= _half_fields(half)
    if seen.back_belly is None or seen.side is None:
        return fields | {"back_hiding": fields["whole_hiding"], "belly_hiding": None,
                         "see_through": None}  # fmt: skip
    return fields | {
        "belly_half_thickness_mm": round(seen.halves[1].thickness * 1e3, 3),
        "see_through": fields["back_see_through"],
        "back_belly": round(seen.back_belly.value.value, 1),
        "back_belly_range": _range(seen.back_belly.value, 1),
        "back_belly_verdict": seen.back_belly.verdict.value,
        "back_belly_narrows": seen.back_belly.value.narrows,
        "side": round(seen.side.value.value, 1),
        "side_range": _range(seen.side.value, 1),
        "side_verdict": seen.side.verdict.value,
        "side_narrows": seen.side.value.narrows,
    }


def _loading(key: str, amount: tuple[float, float, float] | None, digits: int) -> Json:
    """Return a needed loading, its range and the decimals that it deserves when it is told."""
    if amount is None:
        return {key: None, f"{key}_range": None, f"{key}_decimals": None}
    value, low, high = amount
    return {
        key: round(value, digits),
        f"{key}_range": [round(low, digits), round(high, digits)],
        f"{key}_decimals": deserved_decimals(value, low, high),
    }


def _need(need: Need | None, half: Half, cup_mass: float | None) -> Json:
    if need is None:
        return {"half": half.value, "supply": None, "stations": []}
    per_cup = None if cup_mass is None else cup_mass / 0.1
    stations = []
    for name, factor in need.factors:
        amount = None if factor is None else need.amount(factor)
        cup = None
        if amount is not None and per_cup is not None:
            value, low, high = amount
            cup = (value * per_cup, low * per_cup, high * per_cup)
        stations.append(
            {"station": name} | _loading("per_100_g", amount, 3) | _loading("in_cup", cup, 2)
        )
    return {
        "half": half.value,
        "supply": need.supply,
        "unit": need.unit,
        "now_per_100_g": round(need.now, 3),
        "now_in_cup": None if per_cup is None else round(need.now * per_cup, 1),
        "limiting_station": need.limiting,
        "stations": stations,
    }


def _index_notes(answer: LookAnswer) -> list[Note]:
    """Say so where a plastic bends light unlike the one that the tables were traced for."""
    found = []
    for side in answer.recipe.sides:
        index = side_optics(compose(side, answer.shelf)).index
        if answer.look.quality is not Quality.SLAB and abs(index - IN_AIR) > INDEX_ALIKE:
            text = (
                f"The {side.half.value}'s plastic has a refractive index of {index:.3f}; light "
                f"was traced for {IN_AIR:.3f}. Skin and rim look a little different."
            )
            found.append(Note(text=text, about="plastic"))
    return found


def _flakes_of(answer: LookAnswer) -> list[FlakesInSide]:
    widest = answer.mould.widest
    found: list[FlakesInSide] = []
    for side in answer.recipe.sides:
        plastic = compose(side, answer.shelf)
        thick = half_thickness(widest, side.half)
        found += flakes_in_side(side.half, plastic, side_optics(plastic), thick, answer.mould)
    return found


def _flakes(seen: FlakesInSide) -> Json:
    return {
        "half": seen.half.value,
        "supply": seen.name,
        "per_cm2": figure(seen.count.shown.map(lambda number: number * 1e-4), 1),
        "covered": figure(seen.count.covered, 3),
        "seen_mm_deep": figure(seen.depth.map(lambda depth: depth * 1e3), 1),
        "notes": [note.text for note in seen.notes],
    }


def _advice(advice: Advice) -> Json:
    return {
        "action": advice.action.value,
        "text": advice.text,
        "half": advice.half.value if advice.half else None,
        "supply": advice.supply or None,
        "from": _rounded(advice.amount_now),
        "to": _rounded(advice.amount_then),
        "unit": f"{advice.unit} per 100 g" if advice.unit else None,
        "factor": _rounded(advice.factor),
        "expected_hiding": _rounded(advice.expected_hiding),
    }


def look_as_json(answer: LookAnswer, *, cup_masses: Mapping[Half, float] = NO_CUPS) -> Json:
    """Return a look in the maker's units.

    Parameters
    ----------
    answer : LookAnswer
        From `preview_look`.
    cup_masses : mapping of Half to float
        Of the cups the needed loadings are told for; none where no pour is planned. [kg]

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    look, recipe = answer.look, answer.recipe
    widest = look.at_widest
    return {
        "recipe": {"name": recipe.name, "version": recipe.version},
        "mould": answer.mould.name,
        "distinctness": {
            "back_belly": _difference(widest.back_belly),
            "side": _difference(widest.side),
        },
        "halves": {
            seen.half.value: {
                "hiding": figure(seen.hiding, 3),
                "verdict": seen.word.value,
                "station": widest.station.name,
                "wanted": look.wanted,
            }
            for seen in widest.halves
        },
        "stations": [_station(seen) for seen in look.stations],
        "needed": [
            _need(need, side.half, cup_masses.get(side.half))
            for need, side in zip(look.needs, recipe.sides, strict=True)
        ],
        "advice": [_advice(each) for each in answer.advice],
        "picture": {
            "quality": look.quality.value,
            "provisional": look.is_provisional,
            "error_median": look.picture_error.median,
            "error_95": look.picture_error.high,
            "error_source": look.picture_error.source,
        },
        "flakes": [_flakes(each) for each in _flakes_of(answer)],
        "notes": [note.text for note in (*look.notes, *_index_notes(answer))],
        "origins": [each.as_dict() for each in look_inputs(recipe, answer.mould, answer.shelf)],
        "why": why_as_dicts(look.quality),
        "cautions": list(CAUTIONS),
    }
