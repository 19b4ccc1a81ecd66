"""What a hidden bench's colours really do to light: two streams, bottles off their labels.

The tool reckons with many directions and the labels' constants. Here two streams (Kubelka and
Munk, with the skin of Saunderson) carry light through constants that stray from the labels in
strength and in hue.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.physics.colorimetry import luminance, reflectance_to_xyz, xyz_to_lab
from partline.physics.two_flux import kubelka_munk, saunderson
from partline.process.cavity import half_thickness
from partline.process.composition import compose
from partline.process.optics import side_optics
from partline.process.recipe import Recipe, Side

Floats = NDArray[np.floating]
#: Of the card's halves, and what a skin reflects from outside and from inside.
WHITE, BLACK, OUTER, INNER = 0.85, 0.04, 0.04, 0.6
#: Middle of what is seen. [nm or m, as the table has it]
MIDDLE = float(np.median(WAVELENGTHS))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottles:
    """How a bench's bottles stray from their labels, by name.

    Parameters
    ----------
    strength : mapping of str to float
        True over labelled. [-]
    tilt : mapping of str to float
        Exponent of the wavelength by which it strays in hue. [-]
    path : float
        Way of stray light through a layer, over the layer. [-]
    """

    strength: Mapping[str, float]
    tilt: Mapping[str, float]
    path: float = 1.05

    def of(self, name: str) -> Floats:
        """Return what a bottle's labelled constants are multiplied by, shape (wavelengths,)."""
        tilted = (WAVELENGTHS / MIDDLE) ** self.tilt.get(name, 0.0)
        return np.asarray(self.strength.get(name, 1.0) * tilted)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What light does at the widest station and near the tail.

    Parameters
    ----------
    belly, tail : float
        Share of the card's step that the thinner half hides there. [-]
    step : float
        Lightness step between the halves on a cut. [L*]
    apart : float
        Colour difference of the halves on a cut. [ΔE, CIE 1976]
    """

    belly: float
    tail: float
    step: float
    apart: float


def _coefficients(side: Side, shelf: Shelf, bottles: Bottles) -> tuple[Floats, Floats]:
    optics = side_optics(compose(side, shelf))
    factor = np.array([bottles.of(name) for name in optics.names])
    away = (1 - optics.anisotropy)[:, None]
    absorbed = (factor * optics.absorption).sum(axis=0)
    scattered = (factor * optics.scattering * away).sum(axis=0)
    return np.asarray(bottles.path * absorbed), np.asarray(0.75 * scattered)


def _over(k: Floats, s: Floats, thickness: float, card: float) -> Floats:
    """Reflectance of a slab on a card, its skin included."""
    layer = kubelka_munk(k, s, thickness)
    inside = layer.reflectance + layer.transmittance**2 * card / (1 - layer.reflectance * card)
    return saunderson(inside, OUTER, INNER)


def _hiding(k: Floats, s: Floats, thickness: float) -> float:
    pale, dark = (float(luminance(_over(k, s, thickness, c))) for c in (WHITE, BLACK))
    bare_pale, bare_dark = (
        float(luminance(saunderson(np.full(k.shape, c), OUTER, INNER))) for c in (WHITE, BLACK)
    )
    return 1 - (pale - dark) / (bare_pale - bare_dark)


def seen(recipe: Recipe, mould: Mould, shelf: Shelf, bottles: Bottles, stretch: float) -> Seen:
    """Return what light does to a bait of a recipe; `stretch` is true over told thickness. [-]"""
    tail = mould.stations[-2]
    hides, labs = [], []
    for side in recipe.sides:
        k, s = _coefficients(side, shelf, bottles)
        wide, thin = (stretch * half_thickness(each, side.half) for each in (mould.widest, tail))
        hides.append((_hiding(k, s, wide), _hiding(k, s, thin)))
        labs.append(xyz_to_lab(reflectance_to_xyz(_over(k, s, 3 * wide, 0.4))))
    return Seen(
        belly=min(each[0] for each in hides),
        tail=min(each[1] for each in hides),
        step=float(labs[1][0] - labs[0][0]),
        apart=float(np.linalg.norm(labs[1] - labs[0])),
    )
