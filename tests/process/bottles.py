"""Bottles drawn from another family than the one that a guess assumes, and read off chips."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from partline.materials.chip import Chip, HidingReading, PatchReading
from partline.materials.spectrum import Optics, Shape, Spectrum, Term
from partline.materials.supply import Clarity, Colourant
from partline.physics.colorimetry import xyz_to_srgb
from partline.process.appearance import card_hiding, chip_colour
from partline.process.chip_side import chip_side
from partline.quantities.estimate import Estimate, Origin

NM, DROP = 1e-9, 30e-6
#: 1/mm that one drop in 100 g adds, in 1/m per mass share.
PER_DROP = 1e3 / (DROP / 0.1)
EXACT = Estimate.exact(1.0)


def _between(rng: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def _bands(rng: np.random.Generator, count: int, low: float, high: float) -> list[Term]:
    """Gaussian dye bands; heights in 1/mm a drop."""
    return [
        Term(
            shape=Shape.HILL,
            height=_between(rng, low, high) * PER_DROP,
            place=rng.uniform(390, 680) * NM,
            spread=rng.uniform(18, 55) * NM,
        )
        for _ in range(count)
    ]


def _edge(rng: np.random.Generator, height: tuple[float, float], place: tuple[float, float]):
    """A logistic edge, as pigments have."""
    return Term(
        shape=Shape.EDGE,
        height=_between(rng, *height) * PER_DROP,
        place=rng.uniform(*place) * NM,
        spread=rng.uniform(5, 25) * NM,
    )


def true_optics(rng: np.random.Generator, clarity: Clarity) -> Optics:
    """Constants as bands, edges and a floor: no smooth Gaussian process of the logarithm."""
    often = rng.random() < 0.5
    floor = Term(shape=Shape.LEVEL, height=_between(rng, 1e-5, 2e-3) * PER_DROP)
    match clarity:
        case Clarity.CLEAR:
            terms = _bands(rng, int(rng.integers(1, 4)), 0.02, 0.3)
            terms += [_edge(rng, (0.01, 0.1), (420, 560))] if often else []
            scattering, cosine = (1e-4, 0.01), rng.uniform(0.6, 0.9)
        case Clarity.OPAQUE:
            terms = [_edge(rng, (3e-4, 0.3), (405, 620))]
            terms += _bands(rng, 1, 0.003, 0.2) if often else []
            scattering, cosine = (0.2, 1.5), rng.uniform(0.5, 0.75)
        case Clarity.PEARL:
            terms = _bands(rng, 1, 5e-4, 0.05)
            scattering, cosine = (0.04, 0.4), rng.uniform(0.7, 0.9)
        case _:
            terms = [_edge(rng, (0.03, 0.2), (440, 540))]
            terms += _bands(rng, 1, 0.01, 0.1) if often else []
            scattering, cosine = (0.01, 0.08), rng.uniform(0.55, 0.75)
    power = Term(
        shape=Shape.POWER,
        height=_between(rng, *scattering) * PER_DROP,
        spread=-rng.uniform(0.3, 1.5),
    )
    return Optics(
        absorption=Spectrum(terms=(*terms, floor)),
        scattering=Spectrum(terms=(power,)),
        anisotropy=float(cosine),
    )


def bottle(clarity: Clarity = Clarity.CLEAR, *, name: str = "Bottle", **known) -> Colourant:
    """A bottle whose drop and strength are exact, so that only its light is in doubt."""
    return Colourant(
        name=name,
        density=Estimate.exact(1050.0),
        clarity=clarity,
        drop_mass=known.pop("drop_mass", Estimate.exact(DROP)),
        strength=EXACT,
        **known,
    )


def measured(optics: Optics, clarity: Clarity) -> Colourant:
    return bottle(clarity, optics=optics, optics_origin=Origin.MEASURED)


def patch_of(read: Colourant) -> PatchReading:
    """The patch of a bottle that has one."""
    assert read.patch is not None
    return read.patch


def hiding_of(read: Colourant) -> HidingReading:
    """The hiding reading of a bottle that has one."""
    assert read.hiding is not None
    return read.hiding


def entered(true: Colourant, chip: Chip, *, patch: bool = True, hiding: bool = True) -> Colourant:
    """The same bottle as somebody without instruments enters it, rounded as they would."""
    assert chip.thickness is not None
    side, depth = chip_side(true, drops=chip.drops), np.array([chip.thickness])
    red, green, blue = (
        round(float(x) * 255) for x in xyz_to_srgb(chip_colour(side, depth)).rgb[0]
    )
    hides = float(card_hiding(side, depth, np.ones((1, 2)))[0, 0])
    return replace(
        true,
        optics=None,
        optics_origin=Origin.DEFAULT,
        patch=PatchReading(srgb=(red, green, blue), chip=chip) if patch else None,
        hiding=HidingReading(value=round(hides, 2), chip=chip) if hiding else None,
    )
