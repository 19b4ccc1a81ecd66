"""A body put together from ready tables of endless sections: at hand at once, less exact."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from partline.physics.response.body import Body
from partline.physics.response.places import Places
from partline.physics.response.table import (
    EVERY,
    Columns,
    ResponseTable,
    from_root,
    to_root,
)

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]


@dataclass(frozen=True, order=True, slots=True, kw_only=True)
class SectionKind:
    """Shape of a section, whatever its size.

    Parameters
    ----------
    aspect : float
        Height over width. [-]
    split : float
        Share of the height above the line. [-]
    boxed : float
        0 for half an ellipse below the line, 1 for a flat bottom. [-]
    """

    aspect: float
    split: float
    boxed: float

    @property
    def body(self) -> Body:
        """An endless body of that section, half a unit wide."""
        height = 2 * self.aspect
        return Body.straight(
            1.0, height * self.split, height * (1 - self.split), boxed_below=self.boxed
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class SectionedResponse:
    """What a body sends to the eye, each place as if the body went on endlessly from there.

    Parameters
    ----------
    body : Body
        Whatever shape; of sections beyond the ready ones the nearest stands.
    places : Places
        Its lines of sight, at the angles and fractions of the tables.
    tables : mapping of SectionKind to ResponseTable
        A full grid of kinds.
    """

    body: Body
    places: Places
    tables: Mapping[SectionKind, ResponseTable]

    @property
    def index(self) -> float:
        """Refractive index of the body against what is around it. [-]"""
        return next(iter(self.tables.values())).index

    @property
    def error(self) -> float:
        """Standard error of a cube root of light, of the worst table. [-]"""
        return max(table.error for table in self.tables.values())

    @cached_property
    def _mixtures(self) -> list[list[tuple[SectionKind, float]]]:
        """Tables and their weights at each place along the body."""
        kinds = sorted(self.tables)
        axes = [sorted({getattr(kind, name) for kind in kinds}) for name in AXES]
        return [
            _corners(axes, np.array([getattr(shape, name) for name in AXES]))
            for shape in (kind_at(self.body, position) for position in self.places.positions)
        ]

    @cached_property
    def _sizes(self) -> Floats:
        """Reference length of each place's own section against that of the body."""
        return (
            np.array([_half_width(self.body, position) for position in self.places.positions])
            / self.body.reference
        )

    def light(self, scattering: Floats, absorption: Floats, columns: Columns = EVERY) -> Floats:
        """Return scattered light, shape (points, columns, 2); as `ResponseTable.light`."""
        chosen = self.places.columns[columns]
        root = np.zeros((len(scattering), len(chosen), 2), dtype=np.float32)
        for kind in {kind for mixture in self._mixtures for kind, _ in mixture}:
            table = self.tables[kind]
            unit = kind.body.reference
            for place, mixture in enumerate(self._mixtures):
                weight = dict(mixture).get(kind, 0.0)
                here = np.flatnonzero(chosen[:, 1] == place)
                if weight == 0 or not here.size:
                    continue
                size = self._sizes[place] * unit
                own = table.places.number[chosen[here, 0], 0, chosen[here, 2], chosen[here, 3]]
                found = table.light(scattering * size, absorption * size, own)
                root[:, here] += weight * to_root(found)
        return from_root(root)


AXES = ("aspect", "split", "boxed")


def _half_width(body: Body, position: float) -> float:
    grid = np.linspace(0.0, 1.0, body.half_width.size)
    return float(np.sqrt(np.interp(position, grid, body.half_width**2)))


def kind_at(body: Body, position: float) -> SectionKind:
    """Return the kind of a body's section at a share of its length."""
    grid = np.linspace(0.0, 1.0, body.half_width.size)
    above, below = (
        float(np.sqrt(np.interp(position, grid, each**2))) for each in (body.above, body.below)
    )
    wide = max(2 * _half_width(body, position), 1e-9)
    return SectionKind(
        aspect=(above + below) / wide,
        split=above / max(above + below, 1e-12),
        boxed=float(np.interp(position, grid, body.boxed_below)),
    )


def _corners(axes: Sequence[Sequence[float]], at: Floats) -> list[tuple[SectionKind, float]]:
    """Corners of the cell of kinds that a shape lies in, and their weights."""
    ends = []
    for nodes, value in zip(axes, at, strict=True):
        upper = int(np.clip(np.searchsorted(nodes, value), 1, max(len(nodes) - 1, 1)))
        if len(nodes) == 1:
            ends.append([(nodes[0], 1.0)])
            continue
        low, high = nodes[upper - 1], nodes[upper]
        share = float(np.clip((value - low) / (high - low), 0.0, 1.0))
        ends.append([(low, 1 - share), (high, share)])
    found = []
    for corner in product(*ends):
        weight = float(np.prod([share for _, share in corner]))
        if weight > 1e-6:
            kind = SectionKind(**dict(zip(AXES, (value for value, _ in corner), strict=True)))
            found.append((kind, weight))
    return found
