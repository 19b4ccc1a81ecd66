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

#: Directions that the radius of half a section is kept at: an odd number, for a box has its corner
#: at the middle one.
DIRECTIONS = 65
#: Length of a body that stands for an endless one, in half widths. [-]
ENDLESS = 1e4


def directions() -> Floats:
    """Return the directions that a radius is kept at, as u and v, shape (2, 65).

    They stand at even steps of the share v/(u + v), from across to upright. [-]
    """
    share = np.linspace(0.0, 1.0, DIRECTIONS)
    return np.stack([1 - share, share]) / np.hypot(1 - share, share)


def boxed_radius(boxed: ArrayLike) -> Floats:
    """Squares of the radius of a section between an ellipse and its box.

    Parameters
    ----------
    boxed : float or ndarray, shape (...)
        0 for an ellipse, 1 for the rectangle round it. [-]

    Returns
    -------
    radius : ndarray, shape (..., 65)
        ρ² in the `directions`, u and v being the place in half widths and half heights. [-]
    """
    box = 1 / np.max(directions() ** 2, axis=0)
    return 1.0 + np.asarray(boxed, dtype=float)[..., None] * (box - 1.0)


def _boxedness() -> tuple[Floats, float]:
    """Return weights over the directions, and where they put a dome.

    Half of the integral of ρ² over the angle is an area.
    """
    angle = (np.arange(4096) + 0.5) / 4096 * np.pi / 2
    turn = np.sin(angle) / (np.sin(angle) + np.cos(angle))
    share = np.linspace(0.0, 1.0, DIRECTIONS)
    weights = np.array([np.interp(turn, share, row).mean() for row in np.eye(DIRECTIONS)])
    box = float(boxed_radius(1.0) @ weights)
    return weights / (box - 1.0), float(weights.sum() / (box - 1.0))


_BOXED_WEIGHTS, _DOMED = _boxedness()


@dataclass(frozen=True, kw_only=True, eq=False)
class Body:
    """A body along x with the line between its two media at z = 0.

    At place x the skin is ``(y/w)² + (z/h)² = ρ²``, h being another above and below the line, and
    ρ another in every direction. Squares are taken as linear between places, so that a blunt end
    stays blunt.

    Parameters
    ----------
    length : float
        From x = 0. [m]
    half_width, above, below : ndarray, shape (places,)
        w and both h at even places along the length. [m]
    radius : ndarray, shape (places, 2, directions)
        ρ² above and below, as `boxed_radius` has it. [-]

    Raises
    ------
    OutOfRange
        If the body has no thickness anywhere, or a size is negative or not a number.
    """

    length: float
    half_width: Floats
    above: Floats
    below: Floats
    radius: Floats

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
            radius=boxed_radius(np.array([[boxed_above, boxed_below]] * 3)),
        )

    @property
    def boxed(self) -> Floats:
        """How boxy each half is by its area, shape (places, 2): 0 a dome, 1 a rectangle. [-]"""
        return np.asarray(self.radius @ _BOXED_WEIGHTS - _DOMED)

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
        pairs = ((self.above, self.below), (self.radius[:, 0], self.radius[:, 1]))
        return all(np.allclose(one, other, rtol=1e-6, atol=1e-9) for one, other in pairs)

    @cached_property
    def skin(self) -> Skin:
        """The body for the kernels, in units of `reference`."""
        unit = self.reference
        return Skin(
            width=(self.half_width / unit) ** 2,
            above=(self.above / unit) ** 2,
            below=(self.below / unit) ** 2,
            radius=np.ascontiguousarray(self.radius),
            inner=self._inner,
            length=self.length / unit,
            is_domed=bool((self.radius == 1).all()),
        )

    @property
    def _inner(self) -> Floats:
        """What `Skin.inner` holds; of an outline by the distance of its nearest edge."""
        is_outline = ~np.isclose(self.radius, boxed_radius(self.boxed), atol=1e-9).all(axis=(1, 2))
        inner = np.ones(len(self.radius))
        for place in np.flatnonzero(is_outline):
            width, heights = self.half_width[place], (self.above[place], self.below[place])
            if not min(width, *heights) > 0:
                continue
            nearest = np.inf
            for height, square in zip(heights, self.radius[place], strict=True):
                y, z = np.sqrt(square) * directions() * [[width], [height]]
                edge = np.hypot(np.diff(y), np.diff(z))
                off = np.abs(y[:-1] * z[1:] - y[1:] * z[:-1])
                nearest = min(nearest, float((off / np.maximum(edge, 1e-12 * width)).min()))
            inner[place] = min(nearest / min(width, max(heights)), 1.0)
        return inner

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
        turn, share = np.abs(v) / (u + np.abs(v)), np.linspace(0.0, 1.0, DIRECTIONS)
        reach = np.sqrt(
            np.where(v >= 0, np.interp(turn, share, radius[0]), np.interp(turn, share, radius[1]))
        )
        return np.stack([reach * u * width, reach * v * np.where(v >= 0, above, below)], axis=-1)
