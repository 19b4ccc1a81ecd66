"""The shape of a body of two media, as the tracing of light needs it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.physics.response.kernel import Skin

Floats = NDArray[np.floating]

#: Steps of the share of v² that the radius of a section is kept at. [-]
DIRECTIONS = 65
#: Length of a body that stands for an endless one, in half widths. [-]
ENDLESS = 1e4


def boxed_radius(boxed: ArrayLike) -> Floats:
    """Squares of the radius of a section between an ellipse and its box.

    Parameters
    ----------
    boxed : float or ndarray, shape (...)
        0 for an ellipse, 1 for the rectangle round it. [-]

    Returns
    -------
    radius : ndarray, shape (..., 65)
        ρ² at even steps of the share of v² in u² + v², u and v being the place in half widths
        and half heights. [-]
    """
    share = np.linspace(0.0, 1.0, DIRECTIONS)
    with np.errstate(divide="ignore"):
        box = np.minimum(1 / (1 - share), 1 / share)
    return 1.0 + np.asarray(boxed, dtype=float)[..., None] * (box - 1.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Body:
    """A body along x with the line between its two media at z = 0.

    At place x the skin is ``(y/w)² + (z/h)² = ρ²``, h being another above and below the line.
    Squares are taken as linear between places, so that a blunt end stays blunt.

    Parameters
    ----------
    length : float
        From x = 0. [m]
    half_width, above, below : ndarray, shape (places,)
        w and both h at even places along the length. [m]
    boxed_above, boxed_below : ndarray, shape (places,)
        0 where that part of the section is half an ellipse, 1 where it is a rectangle. [-]

    Raises
    ------
    OutOfRange
        If the body has no thickness anywhere, or a size is negative or not a number.
    """

    length: float
    half_width: Floats
    above: Floats
    below: Floats
    boxed_above: Floats
    boxed_below: Floats

    def __post_init__(self) -> None:
        sizes = np.stack([self.half_width, self.above, self.below])
        if not np.isfinite(sizes).all() or (sizes < 0).any() or not self.length > 0:
            raise OutOfRange(
                "A body needs a length above zero and half widths and half heights of zero or "
                "more at every place; one of these is negative or not a number. Correct the "
                "mould's stations."
            )
        if not (self.half_width.max() > 0 and (self.above + self.below).max() > 0):
            raise OutOfRange(
                "This body has no thickness anywhere, so no light passes through it. Give the "
                "mould at least one station with a width and a height above zero."
            )

    @staticmethod
    def straight(
        half_width: float,
        above: float,
        below: float,
        *,
        boxed_above: float = 0.0,
        boxed_below: float = 0.0,
    ) -> Body:
        """Return an endless body of one section. [m]"""
        one = np.ones(3)
        return Body(
            length=ENDLESS * half_width,
            half_width=half_width * one,
            above=above * one,
            below=below * one,
            boxed_above=boxed_above * one,
            boxed_below=boxed_below * one,
        )

    @cached_property
    def reference(self) -> float:
        """Largest half width or half height: the unit that the light is traced in. [m]"""
        return float(max(self.half_width.max(), 0.5 * (self.above + self.below).max()))

    @property
    def is_straight(self) -> bool:
        """Whether every section is the same."""
        return bool(np.ptp([self.half_width, self.above, self.below], axis=1).max() == 0)

    @property
    def is_mirrored(self) -> bool:
        """Whether it is alike above and below its line."""
        pairs = ((self.above, self.below), (self.boxed_above, self.boxed_below))
        return all(np.allclose(one, other, rtol=1e-6, atol=1e-9) for one, other in pairs)

    @cached_property
    def skin(self) -> Skin:
        """The body for the kernels, in units of `reference`."""
        unit = self.reference
        boxed = np.stack([self.boxed_above, self.boxed_below], axis=1)
        return Skin(
            width=(self.half_width / unit) ** 2,
            above=(self.above / unit) ** 2,
            below=(self.below / unit) ** 2,
            radius=boxed_radius(boxed),
            length=self.length / unit,
            is_domed=bool((boxed == 0).all()),
        )

    @cached_property
    def key(self) -> str:
        """Name of this shape, whatever its size: bodies alike but for their scale share it."""
        skin = self.skin
        digest = hashlib.blake2b(digest_size=12)
        for part in (skin.width, skin.above, skin.below, skin.radius, np.array(skin.length)):
            digest.update(np.round(part, 6).tobytes())
        return digest.hexdigest()

    def outline(self, position: float, corners: int = 361) -> Floats:
        """Points of the right half of the section's outline, from the back's top to the belly.

        Parameters
        ----------
        position : float
            Share of the length. [-]
        corners : int
            Number of points.

        Returns
        -------
        points : ndarray, shape (corners, 2)
            y and z in units of `reference`. [-]
        """
        skin = self.skin
        at = np.clip(position, 0, 1) * (skin.width.size - 1)
        i = min(int(at), skin.width.size - 2)
        f = at - i
        width, above, below = (
            np.sqrt(each[i] * (1 - f) + each[i + 1] * f)
            for each in (skin.width, skin.above, skin.below)
        )
        radius = skin.radius[i] * (1 - f) + skin.radius[i + 1] * f
        angle = np.linspace(0.0, np.pi, corners)
        u, v = np.sin(angle), np.cos(angle)
        share = np.linspace(0.0, 1.0, DIRECTIONS)
        reach = np.sqrt(
            np.where(v >= 0, np.interp(v**2, share, radius[0]), np.interp(v**2, share, radius[1]))
        )
        return np.stack([reach * u * width, reach * v * np.where(v >= 0, above, below)], axis=-1)
