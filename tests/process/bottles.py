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


#: Where sampled spectra stand. [nm]
SAMPLED = np.linspace(400, 700, 61)


def _skewed(rng: np.random.Generator, low: float, high: float) -> np.ndarray:
    """A dye's band: steep towards the red, long towards the blue."""
    centre, blue, red = rng.uniform(400, 700), rng.uniform(40, 90), rng.uniform(15, 35)
    spread = np.where(centre < SAMPLED, red, blue)
    return _between(rng, low, high) * np.exp(-(((SAMPLED - centre) / spread) ** 2) / 2)


def _winged(rng: np.random.Generator, low: float, high: float) -> np.ndarray:
    """A Lorentzian, whose wings reach far."""
    centre, half = rng.uniform(380, 720), rng.uniform(15, 90)
    return _between(rng, low, high) / (1 + ((SAMPLED - centre) / half) ** 2)


def _tailed(rng: np.random.Generator, low: float, high: float, place: tuple[float, float]):
    """An edge with a tail of its own on one side."""
    edge, tail = rng.uniform(*place), rng.uniform(3, 30)
    steep = np.clip((SAMPLED - edge) / tail, -60, 60)
    return _between(rng, low, high) / (1 + np.exp(steep)) ** 0.7


def skewed_optics(rng: np.random.Generator, clarity: Clarity) -> Optics:
    """Constants of a third family: skewed and winged bands, grains that resonate somewhere."""
    match clarity:
        case Clarity.CLEAR:
            absorption = sum(_skewed(rng, 0.02, 0.35) for _ in range(int(rng.integers(1, 4))))
            absorption, level = absorption + _winged(rng, 0.001, 0.02), (1e-4, 0.012)
        case Clarity.OPAQUE:
            absorption, level = _tailed(rng, 3e-4, 0.3, (390, 640)), (0.15, 1.6)
            absorption = absorption + (_winged(rng, 0.002, 0.15) if rng.random() < 0.5 else 0)
        case Clarity.PEARL:
            absorption, level = _winged(rng, 3e-4, 0.06), (0.03, 0.45)
        case _:
            absorption = _tailed(rng, 0.03, 0.2, (440, 560)) + _skewed(rng, 0.005, 0.08)
            level = (0.008, 0.1)
    where, wide = rng.uniform(380, 620), rng.uniform(40, 120)
    hump = 1 + rng.uniform(0, 0.8) * np.exp(-(((SAMPLED - where) / wide) ** 2) / 2)
    scattering = _between(rng, *level) * (SAMPLED / 550) ** -rng.uniform(0, 1.8) * hump

    def spectrum(values) -> Spectrum:
        return Spectrum(sampled=tuple(float(each) * PER_DROP for each in values))

    return Optics(
        absorption=spectrum(absorption + _between(rng, 1e-5, 3e-3)),
        scattering=spectrum(scattering),
        anisotropy=float(rng.uniform(0.5, 0.9)),
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
    hides = float(card_hiding(side, depth, np.ones((1, len(side.names))))[0, 0])
    return replace(
        true,
        optics=None,
        optics_origin=Origin.DEFAULT,
        patch=PatchReading(srgb=(red, green, blue), chip=chip) if patch else None,
        hiding=HidingReading(value=round(hides, 2), chip=chip) if hiding else None,
    )
