"""What each supply in a cup does to light, ready to be added up."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, log

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.materials.supply import Additive, AdditiveKind, Colourant, Flake, Grade
from partline.physics.grain import coarse_grain_scattering
from partline.physics.scattering import flake_coefficients
from partline.process.composition import Composition, Part
from partline.quantities.estimate import Estimate
from partline.quantities.note import Note

Floats = NDArray[np.floating]

#: Standard deviations between the ends of a central 80 % range of a normal quantity, halved.
EIGHTY_PERCENT = 1.2815515655446004
#: Mean cosine of salt grains in fused plastic, 50 to 200 µm: 0.989 to 0.994 by Mie theory.
SALT_ANISOTROPY = 0.99


@dataclass(frozen=True, slots=True, kw_only=True)
class SideOptics:
    """The contributions of one side's parts at the table wavelengths.

    Parameters
    ----------
    names : tuple of str
        One a part; a supply in both sides has one name, so that its doubt moves both.
    absorption, scattering : ndarray, shape (parts, wavelengths)
        What each part adds at its loading. [1/m]
    anisotropy : ndarray, shape (parts,)
        Mean cosine of each part's scattering. [-]
    spread : ndarray, shape (parts,)
        Standard deviation of the logarithm of each part's amount and strength. [-]
    index : float
        Refractive index of the plastic. [-]
    notes : tuple of Note
        What these coefficients leave out.
    """

    names: tuple[str, ...]
    absorption: Floats
    scattering: Floats
    anisotropy: Floats
    spread: Floats
    index: float
    notes: tuple[Note, ...] = ()


def log_spread(estimate: Estimate) -> float:
    """Return the standard deviation of the logarithm that a positive 80 % range implies. [-]"""
    if estimate.is_exact or estimate.low <= 0:
        return 0.0
    return log(estimate.high / estimate.low) / (2 * EIGHTY_PERCENT)


def _grade(grade: Grade, part: Part) -> tuple[Floats, Floats, float]:
    optics = grade.optics
    return (
        part.share * optics.absorption.at(WAVELENGTHS),
        part.share * optics.scattering.at(WAVELENGTHS),
        optics.anisotropy,
    )


def _colourant(colour: Colourant, part: Part) -> tuple[Floats, Floats, float]:
    amount = part.share * colour.strength.value
    optics = colour.optics
    return (
        amount * optics.absorption.at(WAVELENGTHS),
        amount * optics.scattering.at(WAVELENGTHS),
        optics.anisotropy,
    )


def _flake(flake: Flake, part: Part, density: float) -> tuple[Floats, Floats, float]:
    volume = part.share * density / flake.density.value
    face = flake.reflectance.at(WAVELENGTHS)
    absorption, scattering = flake_coefficients(volume, flake.thickness, face)
    return absorption, scattering, 0.0


def _additive(additive: Additive, part: Part, density: float) -> tuple[Floats, Floats, float]:
    nothing = np.zeros_like(WAVELENGTHS)
    if additive.kind is not AdditiveKind.SALT or additive.grain is None:
        return nothing, nothing, 0.0
    volume = part.share * density / additive.density.value
    return nothing, nothing + coarse_grain_scattering(volume, additive.grain), SALT_ANISOTROPY


def _part(part: Part, density: float) -> tuple[Floats, Floats, float]:
    match part.supply:
        case Grade() as grade:
            return _grade(grade, part)
        case Colourant() as colour:
            return _colourant(colour, part)
        case Flake() as flake:
            return _flake(flake, part, density)
        case Additive() as additive:
            return _additive(additive, part, density)
        case _:
            nothing = np.zeros_like(WAVELENGTHS)
            return nothing, nothing, 0.0


def _spread(part: Part) -> float:
    if not isinstance(part.supply, Colourant):
        return 0.0
    counted = log_spread(part.supply.drop_mass) if part.drops is not None else 0.0
    return hypot(counted, log_spread(part.supply.strength))


def side_optics(plastic: Composition) -> SideOptics:
    """Return what a side's parts do to light.

    Parameters
    ----------
    plastic : Composition
        Of one side.

    Returns
    -------
    SideOptics
        Flake stands for its mean, an even scatterer of its own face's colour; salt for smooth
        grains much larger than the wavelength; softener, hardener and scent for nothing.
    """
    density = plastic.density.value
    rows = [_part(part, density) for part in plastic.parts]
    indices = [grade.refractive_index.value * share for grade, share in plastic.grades]
    return SideOptics(
        names=tuple(part.supply.name for part in plastic.parts),
        absorption=np.array([row[0] for row in rows]),
        scattering=np.array([row[1] for row in rows]),
        anisotropy=np.array([row[2] for row in rows]),
        spread=np.array([_spread(part) for part in plastic.parts]),
        index=sum(indices) / plastic.plastisol_share,
        notes=_notes(plastic),
    )


def _notes(plastic: Composition) -> tuple[Note, ...]:
    notes = []
    for part in plastic.loadings:
        supply = part.supply
        if isinstance(supply, Colourant) and supply.clarity.value == "fluorescent":
            text = f"{supply.name} glows; its extra brightness is not predicted, only its body."
            notes.append(Note(text=text, about=supply.name))
        if isinstance(supply, Colourant) and supply.clarity.value == "pearl":
            text = (
                f"{supply.name} is taken as a haze; how it shifts with the angle is not predicted."
            )
            notes.append(Note(text=text, about=supply.name))
        if isinstance(supply, Flake):
            text = f"{supply.name} is in the picture as its mean colour, not as single flakes."
            notes.append(Note(text=text, about=supply.name))
    return tuple(notes)
