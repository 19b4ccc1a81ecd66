"""Flakes of one cut in one half: where they may lie, what they cover, how their faces look."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.errors import OutOfRange
from partline.materials.supply import Flake, FlakeShape
from partline.physics.flake import hexagon_outline, rectangle_outline
from partline.process.composition import Composition
from partline.process.flake_count import BAR_RATIO, face_of

Floats = NDArray[np.floating]

#: Largest flake that is drawn. [m]
LARGEST = 20e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Flakes of one cut in one half: all that says where they lie and what they cover.

    Parameters
    ----------
    side : int
        0 in the first half, 1 in the second.
    shape : FlakeShape
        Outline.
    size : float
        As `Flake.size`. [m]
    number : float
        In the plastic. [1/m³]

    Raises
    ------
    OutOfRange
        If a size or number is impossible.
    """

    side: int
    shape: FlakeShape
    size: float
    number: float

    def __post_init__(self) -> None:
        if not 0 < self.size <= LARGEST:
            raise OutOfRange(
                f"A flake of {self.size * 1e3:g} mm was given; it must be larger than 0 and at "
                f"most {LARGEST * 1e3:g} mm. Look at the label: sizes are often in inches.",
                low=0.0, high=LARGEST, unit="m", field="size",
            )  # fmt: skip
        if not 0 <= self.number < np.inf:
            raise OutOfRange(
                f"{self.number:g} flakes in a cubic metre were given; it must be 0 or more.",
                low=0.0, unit="1/m³", field="number",
            )  # fmt: skip

    @property
    def corners(self) -> Floats:
        """Outline about its middle, shape (corners, 2). [m]"""
        match self.shape:
            case FlakeShape.HEXAGON:
                return hexagon_outline(self.size)
            case FlakeShape.SQUARE:
                return rectangle_outline(self.size)
            case FlakeShape.BAR:
                return rectangle_outline(self.size, BAR_RATIO.value)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlakeKind:
    """One flake of one half, as it stands in the solve.

    Parameters
    ----------
    name : str
        Of the supply.
    cut : Cut
        Where it lies and what it covers.
    extinction : float
        What all of them shade, κ, edges left out as in
        `partline.physics.scattering.flake_coefficients`. [1/m]
    reflectance : ndarray, shape (wavelengths,)
        Of the face. [-]
    """

    name: str
    cut: Cut
    extinction: float
    reflectance: Floats


def rounded_down(number: float) -> float:
    """Return three digits, so that a drop of colour more does not strew all flakes anew.

    What is cut off stays in the mean as a haze; more than there is would be taken off it.
    """
    if not 0 < number < np.inf:
        return number
    step = 10.0 ** (floor(log10(number)) - 2)
    return floor(number / step * (1 + 1e-12)) * step


def kinds_of(plastic: Composition, side: int) -> tuple[FlakeKind, ...]:
    """Return the flakes of one half's plastic that have been loaded.

    Parameters
    ----------
    plastic : Composition
        Of the half.
    side : int
        0 if it is the first of the picture's sides, 1 if it is the second.

    Raises
    ------
    OutOfRange
        If a flake's size or film is impossible.
    """
    found = []
    for part in plastic.loadings:
        if not isinstance(part.supply, Flake) or part.share == 0:
            continue
        flake = part.supply
        plate = face_of(flake)
        volume = part.share * plastic.density.value / flake.density.value
        if not flake.thickness > 0:
            raise OutOfRange(
                f"The film of {flake.name} is {flake.thickness * 1e6:g} µm thick; it must be more "
                "than 0. Look at its label.", low=0.0, unit="m", field="thickness",
            )  # fmt: skip
        number = rounded_down(volume / (plate.area * flake.thickness))
        cut = Cut(side=side, shape=flake.shape, size=flake.size, number=number)
        found.append(
            FlakeKind(
                name=flake.name,
                cut=cut,
                extinction=number * plate.area / 2,
                reflectance=flake.reflectance.at(WAVELENGTHS),
            )
        )
    return tuple(found)
