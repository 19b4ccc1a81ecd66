"""A match as arrays: whole drops in, coefficients of the halves and colours out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant
from partline.physics.colour_difference import ciede2000
from partline.process.composition import LOADING_BASIS, compose
from partline.process.optics import side_optics
from partline.process.recipe import Half, Loading, Measure, Recipe, Side
from partline.process.traced import transport
from partline.studies.colour_matching.colours import Colours, Models
from partline.studies.colour_matching.limits import Limits, checked_cup
from partline.studies.colour_matching.wanted import WantedLook, metric_at

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Loading that each bottle is looked at with; what it does is in proportion. [g in 100 g]
TRIED = 0.01
#: Halves of the bait that each side fills, and the view that shows it: 0 back, 1 belly.
FILLS: Mapping[Half, tuple[int, ...]] = {Half.BACK: (0,), Half.BELLY: (1,), Half.WHOLE: (0, 1)}
VIEWS: Mapping[Half, int] = {Half.BACK: 0, Half.BELLY: 1, Half.WHOLE: 0}


@dataclass(frozen=True, kw_only=True, eq=False)
class Cup:
    """One cup whose colour is looked for.

    Parameters
    ----------
    side : Side
        Its plastisol and what stays in it: flake, salt, softener; no colour.
    mass : float
        Of its filling. [kg]
    wanted : WantedLook
        What its side of the bait is to look like.
    plain : ndarray, shape (2, wavelengths)
        μa and μs(1 − g) without any colour. [1/m]
    adds : ndarray, shape (bottles, 2, wavelengths)
        What a unit mass share of each bottle adds, less the plastisol that it takes the place
        of. [1/m]
    drop : ndarray, shape (bottles,)
        Mass share of one drop of each bottle in this cup. [-]
    """

    side: Side
    mass: float
    wanted: WantedLook
    plain: Floats
    adds: Floats
    drop: Floats


def coloured(loading: Loading, shelf: Shelf) -> bool:
    """Whether a loading is a bottle of colour."""
    return isinstance(shelf.find(loading.supply), Colourant)


def without_colour(side: Side, shelf: Shelf) -> Side:
    """Return a side with everything but its bottles of colour."""
    kept = tuple(each for each in side.loadings if not coloured(each, shelf))
    return replace(side, loadings=kept)


def cup_of(
    side: Side, mass: float, wanted: WantedLook, bottles: tuple[Colourant, ...], shelf: Shelf
) -> Cup:
    """Return a cup to look for, what its side holds beside colour staying as it is."""
    plain = without_colour(side, shelf)
    tried = tuple(
        Loading(supply=each.name, amount=TRIED, measure=Measure.GRAMS) for each in bottles
    )
    known = replace(shelf, colourants=bottles)  # a bottle that is not owned may be tried too
    plastic = compose(replace(plain, loadings=(*plain.loadings, *tried)), known)
    optics = side_optics(plastic)
    of_part = np.stack([
        np.stack([each.absorption[0], each.scattering[0] * (1 - each.anisotropy[0])])
        for each in optics.members
    ])  # fmt: skip
    grades, kept, parts = len(plastic.grades), len(plain.loadings), len(plastic.parts)
    # A grade's haze stands before all loadings, its own colour after them.
    clear = (of_part[:grades].sum(axis=0) + of_part[parts:].sum(axis=0)) / plastic.plastisol_share
    rest = 1.0 - sum(part.share for part in plastic.loadings[:kept])
    colours = of_part[grades + kept : parts] / (TRIED * 1e-3 / LOADING_BASIS)
    return Cup(
        side=plain,
        mass=checked_cup(mass, side.half.value),
        wanted=wanted,
        plain=of_part[grades : grades + kept].sum(axis=0) + rest * clear,
        adds=colours - clear,
        drop=np.array([each.drop_mass.value for each in bottles]) / mass,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Problem:
    """Everything that a search needs.

    Parameters
    ----------
    bottles : tuple of Colourant
        To choose from.
    cups : tuple of Cup
        Those whose colour is looked for, back first.
    still : ndarray, shape (2, wavelengths, 2)
        μa and μs(1 − g) of the halves whose colour is not looked for. [1/m]
    models : Models
        Of light.
    limits : Limits
        What is allowed.
    """

    bottles: tuple[Colourant, ...]
    cups: tuple[Cup, ...]
    still: Floats
    models: Models
    limits: Limits

    @cached_property
    def wanted(self) -> Floats:
        """CIELAB of each looked-for side, shape (cups, 3)."""
        return np.array([cup.wanted.lab for cup in self.cups])

    @cached_property
    def metric(self) -> Floats:
        """As `metric_at`, of each looked-for side, shape (cups, 3, 3)."""
        return metric_at(self.wanted)

    @cached_property
    def views(self) -> list[int]:
        """View that shows each looked-for side."""
        return [VIEWS[cup.side.half] for cup in self.cups]

    @cached_property
    def drop(self) -> Floats:
        """Mass share of one drop, shape (cups, bottles). [-]"""
        return np.array([cup.drop for cup in self.cups])

    @cached_property
    def per_100_g(self) -> Floats:
        """Drops in 100 g that one drop in the cup makes, shape (cups, 1). [-]"""
        return LOADING_BASIS / np.array([[cup.mass] for cup in self.cups])

    def coefficients(self, drops: Floats) -> tuple[Floats, Floats]:
        """Return μa and μs(1 − g) of the halves, each of shape (candidates, wavelengths, 2).

        Parameters
        ----------
        drops : ndarray, shape (candidates, cups, bottles)
            In each cup, whole or not.
        """
        out = np.repeat(self.still[None], len(drops), axis=0)
        for place, cup in enumerate(self.cups):
            share = drops[:, place] * cup.drop
            mixed = cup.plain + np.tensordot(share, cup.adds, axes=1)
            for half in FILLS[cup.side.half]:
                out[..., half] = np.maximum(mixed, 0.0)
        return out[:, 0], out[:, 1]

    def lab(self, drops: Floats, model: Colours) -> Floats:
        """Return CIELAB of each looked-for side, shape (candidates, cups, 3)."""
        seen: Floats = model.lab(*self.coefficients(drops))
        return seen[:, self.views]

    def difference(self, lab: Floats, wanted: Floats | None = None) -> Floats:
        """Return ΔE00 of each side from what is wanted, shape (candidates, cups)."""
        return ciede2000(lab, self.wanted if wanted is None else wanted)

    def room(self, drops: Floats) -> Floats:
        """Return how many times over each side may hold its colour, shape (candidates, cups). [-]

        Below 1 a limit is broken.
        """
        cups = [self.room_of(drops[..., cup, :], cup) for cup in range(len(self.cups))]
        return np.stack(cups, axis=-1)

    def room_of(self, drops: Floats, cup: int) -> Floats:
        """Return the same of one cup, shape (candidates,), for drops of shape (..., bottles)."""
        room = self.limits.most_share / np.maximum(drops @ self.drop[cup], 1e-12)
        if self.limits.most_drops is not None:
            counted = drops.sum(axis=-1) * self.per_100_g[cup, 0]
            room = np.minimum(room, self.limits.most_drops / np.maximum(counted, 1e-12))
        return room


def problem_of(
    recipe: Recipe,
    shelf: Shelf,
    bottles: tuple[Colourant, ...],
    *,
    wanted: Mapping[Half, WantedLook],
    cups: Mapping[Half, float],
    limits: Limits,
    models: Models,
) -> Problem:
    """Return the search for the sides of a recipe that something is wanted of.

    Parameters
    ----------
    recipe : Recipe
        Gives plastisol, flake and salt; of sides that nothing is wanted of, the colour too.
    shelf : Shelf
        What the recipe is poured from.
    bottles : tuple of Colourant
        To choose from.
    wanted : mapping of Half to WantedLook
        For one side of the recipe at least.
    cups : mapping of Half to float
        Filling of each cup; 100 g where it is not said. [kg]
    limits, models
        As in `Problem`.

    Raises
    ------
    InputError
        If a supply that stays is not on the shelf.
    """
    sides = [side_optics(compose(_still(side, shelf, wanted), shelf)) for side in recipe.sides]
    absorption, reduced = transport(sides)
    return Problem(
        bottles=bottles,
        cups=tuple(
            cup_of(side, cups.get(side.half, LOADING_BASIS), wanted[side.half], bottles, shelf)
            for side in recipe.sides
            if side.half in wanted
        ),
        still=np.stack([absorption[0], reduced[0]]),
        models=models,
        limits=limits,
    )


def _still(side: Side, shelf: Shelf, wanted: Mapping[Half, WantedLook]) -> Side:
    return without_colour(side, shelf) if side.half in wanted else side
