"""Outline of a section whatever its size: a dome, a flat bottom, or point by point."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import SectionShape, Station
from partline.physics.response.body import boxed_radius, directions

Floats = NDArray[np.floating]

#: Area of half a section over half width times its height: of a dome and of a flat bottom. [-]
DOME, BOX = 0.5 * np.pi, 2.0


@dataclass(frozen=True, kw_only=True)
class SectionForm:
    """What a section looks like when its half width and both its heights are 1.

    Parameters
    ----------
    shape : SectionShape
        Kind of outline.
    flank : tuple of (float, float)
        Of the shape "outline": u across and v up, from the highest point (v = 1) down one flank
        to the lowest (v = −1). Empty of every other shape. [-]
    """

    shape: SectionShape
    flank: tuple[tuple[float, float], ...] = ()

    @cached_property
    def fillings(self) -> tuple[float, float]:
        """Area above and below the line over half width times that half's height. [-]"""
        if self.shape is not SectionShape.OUTLINE:
            return DOME, BOX if self.shape is SectionShape.FLAT_BOTTOMED else DOME
        u, v = self._crossed.T
        strips = (u[1:] + u[:-1]) * (v[:-1] - v[1:])  # both flanks
        is_above = v[1:] >= 0
        return float(strips[is_above].sum()), float(strips[~is_above].sum())

    @property
    def boxed(self) -> tuple[float, float]:
        """How boxy each half is by its area: 0 as a dome, 1 as a flat bottom. [-]"""
        above, below = ((filling - DOME) / (BOX - DOME) for filling in self.fillings)
        return above, below

    @property
    def radius(self) -> Floats:
        """Squares of the radius, shape (2, directions), as `partline.physics.response.Body`."""
        if self.shape is not SectionShape.OUTLINE:
            return boxed_radius(np.array([0.0, float(self.shape is SectionShape.FLAT_BOTTOMED)]))
        across, up = directions()
        return np.stack([self._reach(across, up) ** 2, self._reach(across, -up) ** 2])

    @property
    def _crossed(self) -> Floats:
        """The flank with a point where it crosses the line, shape (points, 2)."""
        points = np.array(self.flank)
        below = int(np.argmax(points[:, 1] < 0))
        (u0, v0), (u1, v1) = points[below - 1], points[below]
        crossing = (u0 + (u1 - u0) * v0 / (v0 - v1), 0.0)
        return np.insert(points, below, crossing, axis=0)

    def _reach(self, du: Floats, dv: Floats) -> Floats:
        """Distance from the middle of the line to the outline along unit directions, (...)."""
        u, v = self._crossed.T
        # A convex outline lies within all its edges; level ones close the top and the bottom.
        u, v = np.concatenate([[0.0], u, [0.0]]), np.concatenate([v[:1], v, v[-1:]])
        along_u, along_v = np.diff(u), np.diff(v)
        out_u, out_v = -along_v, along_u  # outward, walking down the right flank
        offset = out_u * u[:-1] + out_v * v[:-1]
        towards = out_u * du[..., None] + out_v * dv[..., None]
        with np.errstate(divide="ignore", invalid="ignore"):
            way = np.where(towards > 1e-12, offset / towards, np.inf)
        return np.asarray(way.min(axis=-1))


def form_of(station: Station) -> SectionForm:
    """Return the outline of a station's section."""
    if station.shape is not SectionShape.OUTLINE:
        return SectionForm(shape=station.shape)
    half = station.width / 2
    flank = tuple(
        (
            point.across / half,
            point.up / (station.back_half if point.up > 0 else station.belly_half),
        )
        for point in station.points
    )
    return SectionForm(shape=station.shape, flank=flank)
