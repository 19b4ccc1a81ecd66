"""How fused plastic passes heat on its way from the cup to a cold bait, each with its range."""

from __future__ import annotations

from functools import cache

from partline.materials.published import published
from partline.quantities.estimate import Estimate, Origin

#: Between a hot melt's 925 and a cold bait's 1016 kg/m³, for the whole way down. [kg/m³]
MEAN_DENSITY = 970.0

#: From plastic into the metal that it was pushed against. Soft plastic clings while it shrinks,
#: so that the early figure, before a gap, is taken; the low end is that of a gap. [W/(m²·K)]
CONTACT = Estimate(
    value=2000.0,
    low=400.0,
    high=3000.0,
    origin=Origin.MEMORY,
    source="melt on metal: 1000 to 3000 early, 200 to 600 once a gap has opened",
    narrows="time when the core is firm, for two shots",
)


@cache
def diffusivity() -> Estimate:
    """Return the thermal diffusivity, a mean from 25 to 170 °C. [m²/s]"""
    return published("gel", "thermal diffusivity").estimate()


@cache
def conductivity() -> Estimate:
    """Return the thermal conductivity. [W/(m·K)]"""
    return published("gel", "thermal conductivity").estimate()


@cache
def mean_specific_heat() -> Estimate:
    """Return the specific heat, a mean from 23 to 175 °C. [J/(kg·K)]"""
    return published("gel", "specific heat", "15 to 25 % resin; mean").estimate()
