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
        over the line (v = 0) to the lowest (v = −1). Empty of every other shape. [-]
    """

    shape: SectionShape
    flank: tuple[tuple[float, float], ...] = ()

    @cached_property
    def fillings(self) -> tuple[float, float]:
        """Area above and below the line over half width times that half's height. [-]"""
        if self.shape is not SectionShape.OUTLINE:
            return DOME, BOX if self.shape is SectionShape.FLAT_BOTTOMED else DOME
        u, v = np.array(self.flank).T
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
        u, v = np.array(self.flank).T
        above, below = v >= 0, v <= 0
        return np.stack(
            [_reach(u[above], v[above]) ** 2, _reach(u[below][::-1], -v[below][::-1]) ** 2]
        )


def _reach(u: Floats, v: Floats) -> Floats:
    """Distance from the middle of the line to half an outline, shape (directions,).

    Each half is convex on its own; both together need not be once each has its own unit.
    """
    u, v = np.concatenate([[0.0], u]), np.concatenate([v[:1], v])  # closed level at its end
    out_u, out_v = -np.diff(v), np.diff(u)
    offset = out_u * u[:-1] + out_v * v[:-1]
    across, up = directions()
    towards = out_u * across[:, None] + out_v * up[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        way = np.where(towards > 1e-12, offset / towards, np.inf)
    return np.asarray(way.min(axis=-1))


def form_of(station: Station) -> SectionForm:
    """Return the outline of a station's section."""
    if station.shape is not SectionShape.OUTLINE:
        return SectionForm(shape=station.shape)
    across, up = np.array([(point.across, point.up) for point in station.points]).T
    below = int(np.argmax(up < 0))
    if up[below - 1] > 0:  # where it crosses is found before each half gets its own unit
        crossing = np.interp(0.0, up[[below, below - 1]], across[[below, below - 1]])
        across, up = np.insert(across, below, crossing), np.insert(up, below, 0.0)
    u = across / (station.width / 2)
    v = up / np.where(up > 0, station.back_half, station.belly_half)
    return SectionForm(
        shape=station.shape, flank=tuple((float(a), float(b)) for a, b in zip(u, v, strict=True))
    )
