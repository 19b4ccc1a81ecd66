"""How deep each pixel of a view looks into the two halves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError, OutOfRange
from partline.materials.mould import Mould
from partline.physics.response import Body
from partline.physics.response.interpolation import edges, meeting
from partline.physics.response.kernel import sightline
from partline.physics.response.places import eye
from partline.process.cavity import Section, profile
from partline.process.sight import from_belly, from_side

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]
#: Columns of a view that are followed, one in so many; between them depths change little.
STRIDE = 4
#: How a section is looked at: `from_back`, `from_belly` or `from_side`.
Look = Callable[[Section, Floats, float], tuple[Floats, Floats]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Depths:
    """How deep each pixel of a view looks into each half.

    Parameters
    ----------
    own, other : ndarray, shape (rows, columns)
        Length of the line of sight in the half that it enters and in the one beyond. [m]
    first : ndarray of int, shape (rows, columns)
        Side that it enters: 0 or 1.
    pixel : float
        Size of a pixel. [m]

    Raises
    ------
    InputError
        If the arrays do not have one shape, or a value is not a number.
    OutOfRange
        If a depth is negative or a pixel has no size.
    """

    own: Floats
    other: Floats
    first: Integers
    pixel: float

    def __post_init__(self) -> None:
        shape = self.own.shape
        if len(shape) != 2 or self.other.shape != shape or self.first.shape != shape:
            raise InputError("Depths are given row by row and column by column, all alike.")
        both = np.stack([self.own, self.other])
        if not np.all(np.isfinite(both)):
            raise InputError("A depth is not a number.", field="depth")
        if not (np.all(both >= 0) and self.pixel > 0):
            raise OutOfRange(
                "A depth is below 0 m, or a pixel has no size.", low=0.0, unit="m", field="depth"
            )
        if not np.all((self.first == 0) | (self.first == 1)):
            raise InputError("A line of sight enters side 0 or side 1.", field="first")

    @property
    def reach(self) -> Floats:
        """Length in each side, shape (sides, rows, columns). [m]"""
        enters = self.first == 0
        return np.stack(
            [np.where(enters, self.own, self.other), np.where(enters, self.other, self.own)]
        )

    def as_one(self) -> Depths:
        """Return the same view of a bait of one plastic: all that it is deep is its own."""
        none = np.zeros_like(self.other)
        return Depths(
            own=self.own + self.other, other=none, first=none.astype(np.int8), pixel=self.pixel
        )


def flat_depths(shape: tuple[int, int], own: float, other: float, pixel: float) -> Depths:
    """Return the depths of a flat patch that is seen squarely, side 0 first."""
    return Depths(
        own=np.full(shape, float(own)),
        other=np.full(shape, float(other)),
        first=np.zeros(shape, dtype=np.int8),
        pixel=pixel,
    )


def bait_depths(mould: Mould, look: Look, index: float, pixel: float) -> Depths:
    """Return the depths of straight lines of sight into a bait; 0 beside it.

    Parameters
    ----------
    mould : Mould
        With at least one station.
    look : callable
        `partline.process.sight.from_back`, `from_belly` or `from_side`.
    index : float
        Refractive index of the plastic against what is around it. [-]
    pixel : float
        Size of a pixel. [m]
    """
    is_side = look is from_side
    columns = max(round(mould.length / pixel), 2)
    along = profile(mould, (np.arange(columns) + 0.5) / columns)
    above = along.back_half if is_side else along.half_width
    below = along.belly_half if is_side else along.half_width
    rows = 2 * int(np.ceil(max(above.max(), below.max()) / pixel)) + 4
    up = ((rows - 1) / 2 - np.arange(rows))[:, None] * pixel
    height = np.where(up >= 0, above, below)
    place = np.clip(up / np.maximum(height, 1e-12), -1.0, 1.0)
    own, other = np.zeros_like(place), np.zeros_like(place)
    for here, section in along.sections():
        own[:, here], other[:, here] = look(section, place[:, here], index)
    outside = np.abs(up) > height + pixel / 2
    own[outside] = other[outside] = 0.0
    second = np.broadcast_to(up < 0 if is_side else look is from_belly, place.shape)
    return Depths(own=own, other=other, first=second.astype(np.int8), pixel=pixel)


def body_depths(body: Body, angle: float, index: float, pixel: float) -> Depths:
    """Return the depths of refracted lines of sight into a traced body, to the first far skin.

    Parameters
    ----------
    body : Body
        Whatever shape; its upper half is side 0.
    angle : float
        Of the eye about the bait's length: 0 above the back, π below the belly. [rad]
    index : float
        Refractive index of the plastic against what is around it. [-]
    pixel : float
        Size of a pixel; rows and columns are those of `partline.process.frame.frame`. [m]
    """
    columns = max(round(body.length / pixel), 2)
    size = pixel / body.reference
    edge = edges(body, (np.arange(columns) + 0.5) / columns, angle)
    rows = 2 * int(np.ceil(np.abs(edge).max() / size)) + 4
    middle = ((rows - 1) / 2 - np.arange(rows))[:, None] * size
    followed = np.append(np.arange(0, columns - 1, STRIDE), columns - 1)
    low = np.maximum(middle - size / 2, edge[followed, 0])
    high = np.minimum(middle + size / 2, edge[followed, 2])
    filled = high > low
    position = np.broadcast_to((followed + 0.5) / columns, low.shape)[filled]
    starts, cosine = meeting(body, position, (low + high)[filled] / 2, angle)
    found = np.zeros((4, *low.shape))
    found[:3, filled] = _followed(body, starts, cosine > 0, angle, index)
    found[3, filled] = cosine > 0
    every = np.arange(columns)
    own, other, first, seen = (
        np.array([np.interp(every, followed, row) for row in each]) for each in found
    )
    # Beside the outline only the columns that do meet the body count.
    seen = np.where(seen > 0, seen, 1.0)
    return Depths(
        own=own / seen, other=other / seen, first=(first / seen > 0.5).astype(np.int8), pixel=pixel
    )


def _followed(
    body: Body, starts: Floats, is_met: NDArray[np.bool_], angle: float, index: float
) -> Floats:
    """Lengths in the half met first and beyond, and which that is, (3, points). [m], [-]"""
    found = np.zeros((3, len(starts)))
    legs, exits, towards = np.zeros((2, 11)), np.zeros((2, 4)), eye(angle)
    for point in np.flatnonzero(is_met):
        count, _ = sightline(body.skin, starts[point], towards, index, legs, exits)
        is_crossed = count > 1 and legs[0, 7] != legs[1, 7]
        beyond = legs[1, 6] if is_crossed else 0.0
        found[:, point] = legs[0, 6] * body.reference, beyond * body.reference, legs[0, 7]
    return found
