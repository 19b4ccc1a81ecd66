"""What is taken for a supply when its label says nothing: marked so, and waiting for a scale.

What is printed of the stuff it is made of comes from the table of properties; the rest is a
default, with a range wide enough for what is sold.
"""

from __future__ import annotations

from dataclasses import replace

from partline.materials.published import published
from partline.materials.supply import AdditiveKind
from partline.quantities.estimate import Estimate, Origin

_SPOON = "one level spoon of it on the scale"


def colourant_density() -> Estimate:
    """Return the density of a bottle of colour: a paste of pigment in plasticiser. [kg/m³]"""
    return _liquid(1050, 950, 1400, "a paste of pigment in plasticiser")


def flake_density() -> Estimate:
    """Return the density of flake: polyester film. [kg/m³]"""
    return published("pet-flake", "density").estimate()


def additive_density(kind: AdditiveKind) -> Estimate:
    """Return the density of an additive of this kind. [kg/m³]"""
    if kind is AdditiveKind.SALT:
        return published("salt", "density").estimate()
    value, low, high, source = {
        AdditiveKind.SOFTENER: (985, 970, 1056, "a plasticiser"),
        AdditiveKind.HARDENER: (1100, 985, 1390, "resin in plasticiser"),
        AdditiveKind.SCENT: (950, 850, 1100, "an oil"),
    }[kind]
    return _liquid(value, low, high, source)


def flake_bulk_density() -> Estimate:
    """Return the density of flake loose in a spoon. [kg/m³]"""
    return replace(published("flake", "bulk density").estimate(), narrows=_SPOON)


def salt_bulk_density() -> Estimate:
    """Return the density of fine salt loose in a spoon. [kg/m³]"""
    return replace(published("fine-salt", "bulk density").estimate(), narrows=_SPOON)


def grade_expansion() -> Estimate:
    """Return the volumetric expansion of fused plastic. [1/K]"""
    return published("gel", "volumetric expansion").estimate()


def strength() -> Estimate:
    """Return a lot's colouring power against the constants given for it. [-]"""
    narrows = "a chip on the printed card"
    return Estimate.within(1.0, 0.2, Origin.DEFAULT, source="lots differ", narrows=narrows)


def own_strength() -> Estimate:
    """Return the strength of a lot that its readings were taken of: its own. [-]"""
    return Estimate.exact(1.0, Origin.DEFAULT, source="its readings are of this lot")


def drop_mass() -> Estimate:
    """Return the mass of a drop of a bottle that nobody has weighed a drop of. [kg]"""
    return Estimate(
        value=30e-6,
        low=20e-6,
        high=45e-6,
        origin=Origin.DEFAULT,
        source="dropper tips differ",
        narrows="weigh 50 drops",
    )


def refractive_index() -> Estimate:
    """Return the refractive index of fused plastic. [-]"""
    source = "Lorentz–Lorenz mean of resin and plasticiser at 20 % resin"
    return Estimate(value=1.494, low=1.490, high=1.500, origin=Origin.COMPUTED, source=source)


def _liquid(value: float, low: float, high: float, source: str) -> Estimate:
    return Estimate(
        value=value,
        low=low,
        high=high,
        origin=Origin.DEFAULT,
        source=source,
        narrows="a syringe filled to a mark, weighed empty and full",
    )
