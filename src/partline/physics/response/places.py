"""Where a body is looked at: places along it and across each view, dense where much changes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from partline.physics.response.body import Body

Floats = NDArray[np.floating]

#: Places between the line and the edge of a half, as shares of the way: about even in its root,
#: for colours of the other half fade like that beside the line. [-]
FRACTIONS = np.array([0.004, 0.03, 0.1, 0.25, 0.45, 0.66, 0.86, 0.985])
#: The same for light that is followed exactly, whose edges are sharp. [-]
FINE_FRACTIONS = np.array(
    [0.006, 0.03, 0.08, 0.15, 0.25, 0.36, 0.48, 0.6, 0.7, 0.79, 0.86, 0.92, 0.96, 0.982, 0.995]
)
#: Share of the length that the ends are kept off by. [-]
ENDS = 0.003
#: How much a change of size by e counts against a step of the whole length, and how much coming
#: nearer by e to an end that is cut off. [-]
CHANGE, NEARING = 0.4, 0.12


@dataclass(frozen=True, kw_only=True, eq=False)
class Places:
    """Lines of sight of one body.

    Parameters
    ----------
    positions : ndarray, shape (along,)
        Shares of the length. [-]
    course : ndarray, shape (fine, 2)
        Share of the length against the count of places passed, for interpolation. [-]
    angles : ndarray, shape (views,)
        Of the eye about the body's length: 0 above the back, π/2 at the flank, π below. [rad]
    fractions : ndarray, shape (fractions,)
        Shares of the way from the line to the edge of a half. [-]
    starts : ndarray, shape (views, along, 2, fractions, 3)
        Where the line of sight meets the skin, above the line and below it, in units of the
        body's reference length. [-]
    is_seen : ndarray, shape (views, 2)
        Whether that half is seen from there at all.
    """

    positions: Floats
    course: Floats
    angles: Floats
    fractions: Floats
    starts: Floats
    is_seen: NDArray[np.bool_]

    @cached_property
    def columns(self) -> NDArray[np.intp]:
        """View, place along, half, fraction of each line of sight that is traced, (count, 4)."""
        shape = self.starts.shape[:4]
        every = np.stack(np.unravel_index(np.arange(np.prod(shape)), shape), axis=-1)
        return every[self.is_seen[every[:, 0], every[:, 2]]]

    @cached_property
    def number(self) -> NDArray[np.intp]:
        """Column of each view, place along, half and fraction; −1 where that half is not seen."""
        number = np.full(self.starts.shape[:4], -1)
        number[tuple(self.columns.T)] = np.arange(len(self.columns))
        return number

    def along(self, position: Floats) -> Floats:
        """Return where shares of the length lie among the places.

        Parameters
        ----------
        position : ndarray, shape (...)
            Shares of the length. [-]

        Returns
        -------
        course : ndarray, shape (...)
            Count of places passed. [-]
        """
        return np.interp(position, self.course[:, 0], self.course[:, 1])


def eye(angle: float) -> Floats:
    """Return the direction towards an eye at that angle, shape (3,). [-]"""
    return np.array([0.0, np.sin(angle), np.cos(angle)])


def upwards(angle: float) -> Floats:
    """Return the direction that is up in the picture of that eye, y and z. [-]"""
    return np.array([-np.cos(angle), np.sin(angle)])


def across(body: Body, position: float, angle: float) -> tuple[float, float, float]:
    """Return the lower edge, the line and the upper edge of a section as that eye sees it.

    Lengths are in units of the body's reference length, upwards in the picture. [-]
    """
    points = _both_flanks(body.outline(position))
    height = points @ upwards(angle)
    line = -np.cos(angle) * points[:, 0].max()
    return float(height.min()), float(line), float(height.max())


def _both_flanks(right: Floats) -> Floats:
    left = right[::-1] * np.array([-1.0, 1.0])
    return np.concatenate([right, left[1:]])


def _spread(body: Body, count: int) -> tuple[Floats, Floats]:
    """Places along the body, dense where its size changes fast, and the course to them."""
    if body.is_straight:
        return np.array([0.5]), np.array([[0.0, 0.0], [1.0, 0.0]])
    fine = np.linspace(ENDS, 1 - ENDS, 2001)
    grid = np.linspace(0.0, 1.0, body.half_width.size)
    effort = np.ones(fine.size - 1)
    for size in (body.half_width, body.above, body.below):
        square = np.interp(fine, grid, size**2)
        log = 0.5 * np.log(np.maximum(square, 1e-9 * body.reference**2))
        effort += CHANGE / 3 * np.abs(np.diff(log)) / np.diff(fine)
    middle = (fine[1:] + fine[:-1]) / 2
    for end, distance in ((0, middle), (-1, 1 - middle)):
        blunt = float(max(body.half_width[end], body.above[end], body.below[end])) / body.length
        if blunt > 0:
            effort += NEARING / (distance + blunt)
    passed = np.concatenate([[0.0], np.cumsum(effort * np.diff(fine))])
    passed *= (count - 1) / passed[-1]
    return np.interp(np.arange(count), passed, fine), np.stack([fine, passed], axis=-1)


def _fan(body: Body, position: float, angle: float, half: int, fractions: Floats) -> Floats | None:
    """Points of the skin seen from there on one half, at fractions from line to edge."""
    points = _both_flanks(body.outline(position, 1441))
    top = half == 0
    height = points @ upwards(angle)
    towards = points @ np.array([np.sin(angle), np.cos(angle)])
    # The seen side of a convex outline runs from its lowest to its highest point.
    low, high = int(height.argmin()), int(height.argmax())
    ring = np.arange(points.shape[0] - 1)
    one = np.take(ring, range(min(low, high), max(low, high) + 1))
    other = np.take(ring, range(max(low, high), min(low, high) + ring.size + 1), mode="wrap")
    seen = max((one, other), key=lambda way: towards[way].mean())
    on = points[seen][:, 1] > 0 if top else points[seen][:, 1] < 0
    if on.sum() < 8:
        return None
    own = points[seen][on]
    rise = own @ upwards(angle)
    order = np.argsort(rise)
    own, rise = own[order], rise[order]
    if abs(np.cos(angle)) > 1 - 1e-9:  # the line lies at both edges: from flank to middle
        begin, end = rise[-1], 0.0
    elif top:
        begin, end = rise[0], rise[-1]
    else:
        begin, end = rise[-1], rise[0]
    wanted = begin + fractions * (end - begin)
    return np.stack([np.interp(wanted, rise, own[:, k]) for k in (0, 1)], axis=-1)


def places_of(body: Body, angles: Floats, along: int, fractions: Floats = FRACTIONS) -> Places:
    """Return the lines of sight that a body's table is made of.

    Parameters
    ----------
    body : Body
        Whatever shape, each section of it convex.
    angles : ndarray, shape (views,)
        Of the eye, from 0 to π; a body is alike on both flanks. [rad]
    along : int
        Places along it; one for a straight body.
    fractions : ndarray, shape (fractions,)
        Rising shares of the way from the line to the edge of a half. [-]

    Returns
    -------
    places : Places
        As many as asked for.
    """
    positions, course = _spread(body, along)
    starts = np.zeros((angles.size, positions.size, 2, fractions.size, 3))
    is_seen = np.zeros((angles.size, 2), dtype=bool)
    for v, angle in enumerate(angles):
        for p, position in enumerate(positions):
            for half in (0, 1):
                fan = _fan(body, float(position), float(angle), half, fractions)
                if fan is None:
                    continue
                is_seen[v, half] = True
                starts[v, p, half, :, 0] = position * body.skin.length
                starts[v, p, half, :, 1:] = fan
    return Places(
        positions=positions,
        course=course,
        angles=angles,
        fractions=fractions,
        starts=starts,
        is_seen=is_seen,
    )
