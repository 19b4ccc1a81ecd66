"""One side's plastic as mass shares of the supplies on the shelf."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from partline.errors import Imbalance
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant, Grade, Supply
from partline.physics.mixtures import expanded_density, mixture_density
from partline.process.recipe import Loading, Measure, Side
from partline.quantities.estimate import Estimate, propagate

#: Loadings are written for this much of the filled cup. [kg]
LOADING_BASIS = 0.100


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One supply's share of the plastic.

    Parameters
    ----------
    supply : Supply
        From the shelf.
    share : float
        Mass share. [-]
    drops : float or None
        In every 100 g, where it was written in drops.
    """

    supply: Supply
    share: float
    drops: float | None = None


@dataclass(frozen=True, kw_only=True)
class Composition:
    """Everything in one cup, by mass share; the shares add up to 1.

    Parameters
    ----------
    parts : tuple of Part
        Grades first, then loadings in the order they are added.
    """

    parts: tuple[Part, ...]

    @property
    def grades(self) -> tuple[tuple[Grade, float], ...]:
        """Each grade and its share of the whole."""
        return tuple((p.supply, p.share) for p in self.parts if isinstance(p.supply, Grade))

    @property
    def loadings(self) -> tuple[Part, ...]:
        """Everything that is not plastisol."""
        return tuple(p for p in self.parts if not isinstance(p.supply, Grade))

    @property
    def plastisol_share(self) -> float:
        """Mass share of all grades together. [-]"""
        return sum(share for _, share in self.grades)

    @cached_property
    def density(self) -> Estimate:
        """Cold density. [kg/m³]"""
        shares = np.array([p.share for p in self.parts])
        return propagate(
            lambda *densities: float(mixture_density(shares, densities)),
            [p.supply.density for p in self.parts],
            source="ideal volumes of the parts",
        )

    @cached_property
    def expansion(self) -> Estimate:
        """Volumetric expansion: the grades' mean; powders hardly grow. [1/K]"""
        total = self.plastisol_share
        shares = [share / total for _, share in self.grades]
        return propagate(
            lambda *each: sum(w * b for w, b in zip(shares, each, strict=True)) * total,
            [grade.expansion for grade, _ in self.grades],
            source="mean of the grades, by mass",
        )

    def hot_density(self, temperature: float) -> float:
        """Density at a temperature [K] to [kg/m³]."""
        return float(expanded_density(self.density.value, self.expansion.value, temperature))

    @property
    def band(self) -> tuple[float, float]:
        """Working band that every grade's label allows. [K]"""
        low = max(grade.band_low for grade, _ in self.grades)
        high = min(grade.band_high for grade, _ in self.grades)
        return low, high

    @property
    def hottest_working(self) -> float:
        """Highest end of any grade's working band. [K]"""
        return max(grade.band_high for grade, _ in self.grades)

    @property
    def ceiling(self) -> float:
        """Lowest of the labels' maxima. [K]"""
        return min(grade.ceiling for grade, _ in self.grades)


def loading_share(loading: Loading, supply: Supply) -> float:
    """Return the mass share [-] that a loading asks for.

    Raises
    ------
    InputError
        If drops are asked of something that has no drop mass.
    """
    if loading.measure is Measure.GRAMS:
        return loading.amount * 1e-3 / LOADING_BASIS
    if isinstance(supply, Colourant):
        return loading.amount * supply.drop_mass.value / LOADING_BASIS
    message = f"{supply.name} is not counted in drops: no drop of it has been weighed."
    raise Imbalance(message, given=loading.entered, remedy="Write its loading in g per 100 g.")


def compose(side: Side, shelf: Shelf) -> Composition:
    """Look a side's supplies up on the shelf and share out its 100 %.

    The plastisol is what is left of 100 g when everything else is in.

    Raises
    ------
    InputError
        If a supply is not on the shelf.
    Imbalance
        If the loadings leave less than half the cup to the plastisol.
    """
    loadings = []
    for loading in side.loadings:
        supply = shelf.find(loading.supply)
        drops = loading.amount if loading.measure is Measure.DROPS else None
        loadings.append(Part(supply=supply, share=loading_share(loading, supply), drops=drops))
    left = 1.0 - sum(part.share for part in loadings)
    if left < 0.5:
        raise Imbalance(
            f"The loadings of the {side.half} come to {(1 - left) * 100:.4g} g in every 100 g; "
            "less than half would be plastisol.",
            field=side.half.value,
            remedy="Take some away, or check the units.",
        )
    grades = tuple(
        Part(supply=shelf.grade(each.grade), share=each.share * left) for each in side.blend
    )
    return Composition(parts=(*grades, *loadings))
