"""How a body's table is made: passes of tracing, each of which gives a usable table."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from partline.physics.response import grid as grid_room
from partline.physics.response import kernel
from partline.physics.response import places as places_room
from partline.physics.response.body import Body
from partline.physics.response.grid import Grid
from partline.physics.response.places import FRACTIONS, Places, places_of
from partline.physics.response.table import RANK, ResponseTable
from partline.physics.response.tracing import Traced, trace

Floats = NDArray[np.floating]

#: Angles that a table is traced from: two between the usual three, so that any other is near one.
ANGLES: Floats = np.linspace(0.0, np.pi, 5)


@cache
def _laws() -> bytes:
    """Content of the files that a table depends on, as it was when first asked."""
    digest = hashlib.blake2b(digest_size=12)
    for room in (kernel, grid_room, places_room):
        digest.update(Path(str(room.__file__)).read_bytes())
    return digest.digest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """What a table is made of, and how.

    Parameters
    ----------
    index : float
        Refractive index of the body against what is around it. [-]
    along : int
        Places along a body that is not straight.
    angles : tuple of float
        Of the eyes that it is traced from, even in 0 to π. [rad]
    passes : tuple of int
        Paths a batch of each pass; the first one is the preview.
    rank : int
        Dimensions that the table keeps.
    grid : Grid
        Nodes of scattering and absorption.
    """

    index: float
    along: int = 16
    angles: tuple[float, ...] = tuple(map(float, ANGLES))
    passes: tuple[int, ...] = (60, 140, 200, 200, 200, 200)
    rank: int = RANK
    grid: Grid = field(default_factory=Grid)

    def key(self, body: Body) -> str:
        """Name of a body's table: another shape, index, grid or kernel is another name."""
        digest = hashlib.blake2b(digest_size=12)
        parts = (body.key, f"{self.index:.3f}", self.along, self.grid, self.rank)
        digest.update(repr(parts).encode())
        digest.update(np.array(self.angles).tobytes() + FRACTIONS.tobytes())
        digest.update(_laws())
        return digest.hexdigest()

    def places(self, body: Body) -> Places:
        """Return the lines of sight of a body's table."""
        return places_of(body, np.array(self.angles), self.along)

    def one_pass(
        self,
        body: Body,
        places: Places,
        number: int,
        *,
        workers: int = 1,
        step: Callable[[float], bool] | None = None,
    ) -> Traced | None:
        """Trace one pass; None when `step` said to stop. Seeds follow from the number."""
        return trace(
            body,
            places,
            index=self.index,
            grid=self.grid,
            paths=self.passes[number],
            seed=1 + number,
            workers=workers,
            step=step,
        )

    def table(self, body: Body, places: Places, traced: Traced) -> ResponseTable:
        """Return the table of what was traced so far."""
        whole = traced.mirrored(places) if body.is_mirrored else traced
        return ResponseTable.of(whole, places, index=self.index, grid=self.grid, rank=self.rank)
