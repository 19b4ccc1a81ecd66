"""How often a cup must be stirred so that salt and flake stay in every draw."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

from partline.materials.supply import Additive, AdditiveKind, Flake, Supply
from partline.physics.rheology import filler_factor
from partline.physics.settling import hindered_share, plate_settling, stokes_settling
from partline.process.composition import Composition
from partline.process.melt_viscosity import HotMelt, grain_share, hot_melt
from partline.quantities.estimate import Estimate, Origin, propagate

#: Share of the cup's depth that grains may sink between two stirs: the share of the top layer's
#: grains that is then missing. A default, until first and last baits have been weighed. [-]
ALLOWED = 0.02
#: How far a grain's size may be off its label, and a cube or a corner off a ball. [-]
SIZE_DOUBT = 0.25
#: Hardly ever more often than this, or less: nobody stirs so fast, or waits so long. [s]
SHORTEST, LONGEST = 2.0, 600.0
#: What salt is taken for where its grain is not known. [m]
USUAL_GRAIN = 200e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Sinking:
    """One supply that sinks.

    Parameters
    ----------
    supply : str
        Its name.
    size : float
        Of grain or flake. [m]
    speed : Estimate
        Downwards. [m/s]
    interval : Estimate
        From a stir until too much has sunk. [s]
    """

    supply: str
    size: float
    speed: Estimate
    interval: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Stirring:
    """When to stir.

    Parameters
    ----------
    sinking : tuple of Sinking
        What sinks in this cup, fastest first; empty without salt and flake.
    between_draws : float
        Shortest time from one draw to the next. [s]
    """

    sinking: tuple[Sinking, ...]
    between_draws: float

    @property
    def interval(self) -> Estimate | None:
        """Of the fastest; None where nothing sinks. [s]"""
        return self.sinking[0].interval if self.sinking else None

    @property
    def is_per_draw(self) -> bool:
        """Whether one stir before each draw is often enough, as far as is known."""
        return self.interval is None or self.interval.value >= 2 * self.between_draws

    @property
    def words(self) -> str:
        """What to do."""
        if self.interval is None:
            return "Nothing in this cup sinks; stir before a reading."
        if self.is_per_draw:
            return "Stir once before every draw."
        return f"Draw within {self.interval.value:.0f} s of stirring."


def stirring(
    plastic: Composition, *, temperature: float, depth: float, between_draws: float
) -> Stirring:
    """Return how often a cup must be stirred.

    Parameters
    ----------
    plastic : Composition
        What stands in the cup.
    temperature : float
        Of the melt, at its hottest while it is drawn from. [K]
    depth : float
        Of the melt. [m]
    between_draws : float
        Shortest time from one draw to the next. [s]

    Returns
    -------
    stirring : Stirring
        With what sinks fastest first.

    Notes
    -----
    Stokes's law with hindrance, in the melt without its grains. The viscosity of a hot melt is
    known to a factor of three to five only, and so is this; first and last baits of a heat,
    weighed against each other, replace it.
    """
    melt = hot_melt(plastic)
    grains = grain_share(plastic)
    found = [
        _sinking(part.supply, plastic, melt, temperature, depth, grains)
        for part in plastic.loadings
        if _size(part.supply) is not None
    ]
    heavy = [each for each in found if each is not None]
    return Stirring(
        sinking=tuple(sorted(heavy, key=lambda each: each.interval.value)),
        between_draws=between_draws,
    )


def _size(supply: Supply) -> float | None:
    match supply:
        case Flake():
            return supply.size
        case Additive(kind=AdditiveKind.SALT):
            return supply.grain or USUAL_GRAIN
        case _:
            return None


def _sinking(
    supply: Supply,
    plastic: Composition,
    melt: HotMelt,
    temperature: float,
    depth: float,
    grains: float,
) -> Sinking | None:
    size = _size(supply)
    excess = supply.density.value - _liquid_density(plastic, temperature)
    if size is None or excess <= 0:
        return None
    crowd = float(hindered_share(min(grains, 1.0)))
    thin = supply.thickness if isinstance(supply, Flake) else None

    def speed(scale: float, size: float) -> float:
        thick = float(melt.viscosity(temperature, scale)) / _grain_factor(melt)
        if thin is None:
            return log(crowd * float(stokes_settling(size, excess, thick)))
        return log(crowd * float(plate_settling(size, thin, excess, thick)))

    width = Estimate.within(
        size, SIZE_DOUBT, Origin.DEFAULT, narrows="first against last baits of a heat, weighed"
    )
    sinks = propagate(
        speed, [melt.scale, width], source="Stokes's law with hindrance, in the hot melt"
    ).map(exp)
    return Sinking(supply=supply.name, size=size, speed=sinks, interval=_interval(sinks, depth))


def _grain_factor(melt: HotMelt) -> float:
    """Return what the grains thicken the melt by: hindrance counts it already."""
    return float(filler_factor(melt.filled))


def _liquid_density(plastic: Composition, temperature: float) -> float:
    """Density of the hot plastisol alone. [kg/m³]"""
    total = plastic.plastisol_share
    cold = total / sum(share / grade.density.value for grade, share in plastic.grades)
    growth = plastic.expansion.value / total * (temperature - 296.15)
    return cold / (1 + growth)


def _interval(sinks: Estimate, depth: float) -> Estimate:
    low, value, high = (
        min(max(ALLOWED * depth / speed, SHORTEST), LONGEST)
        for speed in (sinks.high, sinks.value, sinks.low)
    )
    return Estimate(
        value=value, low=low, high=high, origin=Origin.DEFAULT,
        source=f"until the grains have sunk {ALLOWED:.0%} of the cup's depth",
        narrows="first against last baits of a heat, weighed",
    )  # fmt: skip
