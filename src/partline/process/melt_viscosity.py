"""How thick one side's plastic is while it is hot: resin, temperature, and what is stirred in."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.materials.published import published
from partline.materials.supply import Additive, AdditiveKind, Flake
from partline.physics.gelation import LINE_DOUBT, UNDERCOOLING, gel_temperature
from partline.physics.rheology import (
    filler_factor,
    gel_viscosity,
    melt_scale_from,
    plasticiser_viscosity,
)
from partline.process.composition import Composition
from partline.quantities.estimate import Estimate, Origin, propagate

Floats = NDArray[np.floating]

#: Where the published estimate holds: share of resin, and temperature. [-], [K]
KNOWN_RESIN, KNOWN_AT = 0.20, 445.65
#: How late a cooling melt sets: 10 to 40 K from memory. [K]
LATE = Estimate(
    value=UNDERCOOLING, low=10.0, high=40.0, origin=Origin.MEMORY,
    narrows="the reading at which the cup strings and stops flowing",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class HotMelt:
    """One side's plastic as a hot liquid.

    Parameters
    ----------
    resin : float
        Mass share in resin and plasticiser. [-]
    filled : float
        Volume share of grains. [-]
    sets : Estimate
        Temperature at which it sets on cooling. [K]
    scale : Estimate
        K of its viscosity. [-]
    """

    resin: float
    filled: float
    sets: Estimate
    scale: Estimate

    def viscosity(self, temperature: ArrayLike, scale: float | None = None) -> Floats:
        """Return the viscosity at temperatures, grains included.

        Parameters
        ----------
        temperature : float or ndarray, shape (...)
            [K]
        scale : float, optional
            K to take instead of the likely one. [-]

        Returns
        -------
        viscosity : ndarray, shape (...)
            Infinite where it has set. [Pa·s]
        """
        late = float(gel_temperature(self.resin)) - self.sets.value
        plain = gel_viscosity(
            self.resin, temperature, plasticiser_viscosity(temperature),
            self.scale.value if scale is None else scale, max(late, 0.0),
        )  # fmt: skip
        return np.asarray(plain * filler_factor(self.filled))

    def likely_viscosity(self, temperature: float) -> Estimate:
        """Return the viscosity at a temperature [K] above setting with its range. [Pa·s]"""
        known = propagate(
            lambda scale: log(float(self.viscosity(temperature, scale))), [self.scale],
            source="power of the resin's share, and the way to the gel line",
        )  # fmt: skip
        return known.map(exp)


def melt_scale() -> Estimate:
    """Return K, from the published estimate of a melt of 20 % resin. [-]"""
    known = published("gel", "zero-shear viscosity").estimate()
    solvent = float(plasticiser_viscosity(KNOWN_AT))

    def scale(viscosity: float) -> float:
        return float(melt_scale_from(viscosity, KNOWN_RESIN, KNOWN_AT, solvent))

    found = known.map(scale)
    return Estimate(
        value=found.value, low=found.low, high=found.high, origin=Origin.DEFAULT,
        source="an estimate for 20 % resin near 172 °C: 1 Pa·s, 0.3 to 5",
        narrows="one timed flow of the hot melt",
    )  # fmt: skip


def hot_melt(plastic: Composition) -> HotMelt:
    """Return a side's plastic as a hot liquid.

    A grade's own gel line, as its sheet has it, is where it sets; otherwise that follows from
    the resin.
    """
    total = plastic.plastisol_share
    resin = sum(grade.resin_share.value * share for grade, share in plastic.grades) / total
    lines = [grade.gel_line for grade, _ in plastic.grades if grade.gel_line is not None]
    return HotMelt(
        resin=resin, filled=grain_share(plastic), sets=_sets(resin, lines),
        scale=melt_scale_of(plastic),
    )  # fmt: skip


def melt_scale_of(plastic: Composition) -> Estimate:
    """Return K of a side's plastisol: of its grades by timed flows, where all have one. [-]

    A blend takes the mean of the logarithms by their shares.
    """
    known = [(grade.melt_scale, share) for grade, share in plastic.grades]
    timed = [(scale, share) for scale, share in known if scale is not None]
    if len(timed) < len(known) or not timed:
        return melt_scale()
    if len(timed) == 1:
        return timed[0][0]
    total = sum(share for _, share in timed)
    mixed = propagate(
        lambda *scales: sum(
            log(each) * share / total for each, (_, share) in zip(scales, timed, strict=True)
        ),
        [scale for scale, _ in timed], source="timed flows of the grades, by their shares",
    )  # fmt: skip
    return mixed.map(exp)


def _sets(resin: float, lines: list[float]) -> Estimate:
    melts = float(gel_temperature(resin))
    if lines:
        value = max(lines)
        return Estimate(
            value=value, low=value - LINE_DOUBT, high=value + LINE_DOUBT, origin=Origin.LABEL,
            source="gel line of the grade's sheet, on cooling", narrows=LATE.narrows,
        )  # fmt: skip
    return Estimate(
        value=melts - LATE.value, low=melts - LATE.high, high=melts - LATE.low + LINE_DOUBT,
        origin=Origin.COMPUTED, source="gel line of PVC in plasticiser, less an undercooling",
        narrows=LATE.narrows,
    )  # fmt: skip


def grain_share(plastic: Composition) -> float:
    """Return the volume share of salt and flake. [-]"""
    volume = sum(part.share / part.supply.density.value for part in plastic.parts)
    grains = sum(
        part.share / part.supply.density.value
        for part in plastic.loadings
        if isinstance(part.supply, Flake)
        or (isinstance(part.supply, Additive) and part.supply.kind is AdditiveKind.SALT)
    )
    return grains / volume
