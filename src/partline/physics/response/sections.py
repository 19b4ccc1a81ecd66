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

#: A kind of less weight is left out. [-]
LEAST_WEIGHT = 1e-6


@dataclass(frozen=True, order=True, slots=True, kw_only=True)
class SectionKind:
    """Shape of a section, whatever its size.

    Parameters
    ----------
    above, below : float
        Heights above and below the line, in half widths. [-]
    boxed : float
        0 for half an ellipse below the line, 1 for a flat bottom. [-]
    """

    above: float
    below: float
    boxed: float = 0.0

    @property
    def body(self) -> Body:
        """An endless body of that section, half a unit wide."""
        return Body.straight(1.0, self.above, self.below, boxed_below=self.boxed)

    @property
    def is_turned(self) -> bool:
        """Whether it is another kind's section with back and belly exchanged."""
        return self.boxed == 0 and self.above > self.below

    @property
    def upright(self) -> SectionKind:
        """The kind that is traced for it."""
        return SectionKind(above=self.below, below=self.above) if self.is_turned else self


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyKinds:
    """Kinds that tables are made of.

    Parameters
    ----------
    domes : tuple of float
        Heights of half ellipses, in half widths, rising. [-]
    boxes : tuple of float
        Heights of the part below the line of flat bottoms. [-]

    Notes
    -----
    What is seen of a half hangs on its own height first. From the side a low dome bends a level
    line of sight down through the line before it comes to the far wall, and the other half shows
    through; a high one does not. The paraxial law says when: half an ellipse of height h and half
    width w is a lens of curvature h²/w there, so the line is met where h² < 2w²(1 − 1/n)
    (h = 0.81 w in air, 0.46 w in water). Nodes stand close on both sides of that step.
    """

    domes: tuple[float, ...]
    boxes: tuple[float, ...]

    @property
    def traced(self) -> tuple[SectionKind, ...]:
        """Every kind that needs a table: of two half ellipses the lower one lies above."""
        domed = [(a, b, 0.0) for a, b in product(self.domes, self.domes) if a <= b]
        boxed = [(a, b, 1.0) for a, b in product(self.domes, self.boxes)]
        return tuple(SectionKind(above=a, below=b, boxed=c) for a, b, c in domed + boxed)

    def mixture(self, kind: SectionKind) -> dict[SectionKind, float]:
        """Return the kinds about a shape and their weights, which sum to 1.

        Parameters
        ----------
        kind : SectionKind
            Any; beyond the last node that one stands.
        """
        found: dict[SectionKind, float] = {}
        for boxed, depths, part in (
            (0.0, self.domes, 1 - kind.boxed),
            (1.0, self.boxes, kind.boxed),
        ):
            if part <= LEAST_WEIGHT:
                continue
            for above, one in _ends(self.domes, kind.above):
                for below, other in _ends(depths, kind.below):
                    if (weight := part * one * other) > LEAST_WEIGHT:
                        found[SectionKind(above=above, below=below, boxed=boxed)] = weight
        return found


def _ends(nodes: tuple[float, ...], at: float) -> list[tuple[float, float]]:
    """Nodes on both sides of a value, and their shares."""
    if len(nodes) == 1:
        return [(nodes[0], 1.0)]
    upper = int(np.clip(np.searchsorted(nodes, at), 1, len(nodes) - 1))
    low, high = nodes[upper - 1], nodes[upper]
    share = float(np.clip((at - low) / (high - low), 0.0, 1.0))
    return [(low, 1 - share), (high, share)]


def mixtures_of(
    body: Body, places: Places, kinds: ReadyKinds
) -> tuple[dict[SectionKind, float], ...]:
    """Return which kinds stand for a body's section at each place along it, with weights.

    Parameters
    ----------
    body : Body
        Whatever shape.
    places : Places
        Its lines of sight.
    kinds : ReadyKinds
        Those that there are tables of.
    """
    return tuple(kinds.mixture(kind_at(body, position)) for position in places.positions)


@dataclass(frozen=True, kw_only=True, eq=False)
class SectionedResponse:
    """What a body sends to the eye, each place as if the body went on endlessly from there.

    Parameters
    ----------
    body : Body
        Whatever shape; of sections beyond the ready ones the nearest stands.
    places : Places
        Its lines of sight, at the angles and fractions of the tables.
    mixtures : sequence of dict
        Kinds and weights at each place along, as of `mixtures_of`.
    tables : mapping of SectionKind to ResponseTable
        Of every upright kind among them.
    """

    body: Body
    places: Places
    mixtures: Sequence[Mapping[SectionKind, float]]
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
        for place, mixture in enumerate(self.mixtures):
            here = np.flatnonzero(chosen[:, 1] == place)
            if not here.size:
                continue
            view, _, half, fraction = chosen[here].T
            for kind, weight in mixture.items():
                table = self.tables[kind.upright]
                own, exchanged = table.places.number[view, 0, half, fraction], slice(None)
                if kind.is_turned:
                    last = len(table.places.angles) - 1
                    own = table.places.number[last - view, 0, 1 - half, fraction]
                    exchanged = slice(None, None, -1)
                size = self._sizes[place] * kind.body.reference
                found = table.light(
                    scattering[:, exchanged] * size, absorption[:, exchanged] * size, own
                )
                root[:, here] += weight * to_root(found)
        return from_root(root)


def _half_width(body: Body, position: float) -> float:
    grid = np.linspace(0.0, 1.0, body.half_width.size)
    return float(np.sqrt(np.interp(position, grid, body.half_width**2)))


def kind_at(body: Body, position: float) -> SectionKind:
    """Return the kind of a body's section at a share of its length."""
    grid = np.linspace(0.0, 1.0, body.half_width.size)
    above, below = (
        float(np.sqrt(np.interp(position, grid, each**2))) for each in (body.above, body.below)
    )
    wide = max(_half_width(body, position), 1e-9)
    return SectionKind(
        above=above / wide,
        below=below / wide,
        boxed=float(np.clip(np.interp(position, grid, body.boxed[:, 1]), 0.0, 1.0)),
    )
