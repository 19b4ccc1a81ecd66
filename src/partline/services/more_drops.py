"""The same bait with a little less and a little more of one supply, side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.physics.colorimetry import srgb_to_xyz, xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.process.recipe import Loading, Measure, Recipe
from partline.records.exchange import loading_text
from partline.services.look import draw_scene
from partline.services.scene import Scene

Floats = NDArray[np.floating]

#: Drops more than now in the strip; and what grams are multiplied by.
STEPS, FACTORS = (-2, -1, 0, 1, 2, 4), (0.5, 0.8, 1.0, 1.25, 1.6, 2.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Step:
    """One picture of the strip.

    Parameters
    ----------
    amount : str
        Of the supply in every 100 g, in the maker's words.
    is_now : bool
        Whether it is the recipe as it stands.
    side : ndarray, shape (rows, columns, 3)
        sRGB from the side. [-]
    difference : float
        Mean difference of its pixels from the recipe as it stands, over the view that differs
        most. [ΔE00]
    """

    amount: str
    is_now: bool
    side: Floats
    difference: float


def fewer_and_more(
    recipe: Recipe, mould: Mould, shelf: Shelf, scene: Scene, *, half: str, supply: str
) -> list[Step]:
    """Draw a recipe with fewer and more of one supply.

    Parameters
    ----------
    recipe, mould, shelf, scene
        As for the look.
    half : str
        Side that the supply is in.
    supply : str
        Its name.

    Raises
    ------
    InputError
        If that side holds no such supply.
    """
    loading = _find(recipe, half, supply)
    amounts = _amounts(loading)
    drawn = [
        draw_scene(_with(recipe, half, loading, amount), mould, shelf, scene).views
        for amount in amounts
    ]
    now = drawn[amounts.index(loading.amount)]
    return [
        Step(
            amount=loading_text(_changed(loading, amount)),
            is_now=amount == loading.amount,
            side=views["side"],
            difference=max(mean_difference(views[name], now[name]) for name in now),
        )
        for amount, views in zip(amounts, drawn, strict=True)
    ]


def _find(recipe: Recipe, half: str, supply: str) -> Loading:
    for side in recipe.sides:
        for loading in side.loadings:
            if side.half.value == half and loading.supply.casefold() == supply.casefold():
                return loading
    raise InputError(
        f"There is no {supply or 'supply'} in the {half or 'bait'} to take more of.",
        field="supply", given=supply, remedy="Choose one that the recipe holds.",
    )  # fmt: skip


def _amounts(loading: Loading) -> list[float]:
    if loading.measure is Measure.DROPS:
        found = [loading.amount + step for step in STEPS]
    else:
        found = [loading.amount * factor for factor in FACTORS]
    return sorted({amount for amount in found if amount > 0} | {loading.amount})


def _changed(loading: Loading, amount: float) -> Loading:
    return replace(loading, amount=amount, entered="")


def _with(recipe: Recipe, half: str, loading: Loading, amount: float) -> Recipe:
    return replace(
        recipe,
        sides=tuple(
            replace(
                side,
                loadings=tuple(
                    _changed(each, amount) if each is loading else each for each in side.loadings
                ),
            )
            if side.half.value == half
            else side
            for side in recipe.sides
        ),
    )


def mean_difference(one: Floats, other: Floats) -> float:
    """Return the mean difference of two pictures of a bait, sRGB, where they differ. [ΔE00]"""
    labs = [xyz_to_lab(srgb_to_xyz(each.reshape(-1, 3))) for each in (one, other)]
    differs = ciede2000(*labs)
    # Card beside the bait is the same in both; it must not water the mean down.
    seen = differs > 0
    return float(differs[seen].mean()) if seen.any() else 0.0
