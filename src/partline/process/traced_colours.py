"""Colours of many recipes in one bait at once, from light traced through its shape."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Station
from partline.physics.colorimetry import WEIGHTS, xyz_to_lab
from partline.physics.response.table import from_root, to_root
from partline.process.card import GREY
from partline.process.rendering import PictureError
from partline.process.traced import Plastic, TracedRenderer

Floats = NDArray[np.floating]

#: Recipes worked on together: enough to keep the processor busy, little enough for its cache.
TOGETHER = 128


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TracedColours:
    """Back and belly view of one station, for any number of recipes.

    Parameters
    ----------
    renderer : TracedRenderer
        Of the bait.
    station : Station
        Where it is looked at.
    """

    renderer: TracedRenderer
    station: Station

    @property
    def error(self) -> PictureError:
        """How far its colours may be off."""
        return self.renderer.error

    @property
    def is_provisional(self) -> bool:
        """Whether a better model is to follow."""
        return self.renderer.is_provisional

    def lab(self, absorption: Floats, reduced: Floats) -> Floats:
        """Return CIELAB of the back and the belly view, over grey by daylight.

        Parameters
        ----------
        absorption, reduced : ndarray, shape (recipes, wavelengths, 2)
            μa and μs(1 − g) above and below the line, all wavelengths or every second one. [1/m]

        Returns
        -------
        lab : ndarray, shape (recipes, 2, 3)
            Back view, then belly view; the middle of each, gloss left out. [-]
        """
        parts = [
            self._some(absorption[some], reduced[some])
            for some in np.array_split(
                np.arange(len(absorption)), max(-(-len(absorption) // TOGETHER), 1)
            )
        ]
        return np.concatenate(parts)

    def _some(self, absorption: Floats, reduced: Floats) -> Floats:
        count, wavelengths = absorption.shape[:2]
        step = (WEIGHTS.shape[0] - 1) // (wavelengths - 1)
        weights = WEIGHTS[::step] * (WEIGHTS.sum(axis=0) / WEIGHTS[::step].sum(axis=0))
        unit = self.renderer.body.reference
        flat = Plastic(
            absorption=absorption.reshape(-1, 2) * unit, reduced=reduced.reshape(-1, 2) * unit
        )
        spots = self.renderer.spots((self.station.position,))[:2]
        columns = np.unique(np.concatenate([spot.traced.indices for spot in spots]))
        back = np.full(len(flat.absorption), GREY)
        light = self.renderer.scattered(flat, back, columns)
        light = light.reshape(count, wavelengths, columns.size)
        root = to_root(np.einsum("nwc,wx->cnx", light, weights)).reshape(columns.size, -1)
        extinction = flat.extinction
        seen = []
        for spot in spots:
            few = spot.of(columns)
            through = few.direct.light(extinction, back).reshape(-1, count, wavelengths) @ weights
            lit = from_root(few.traced @ root) + through.reshape(len(through), -1)
            seen.append((few.mean @ (few.lines @ lit)).reshape(count, 3))
        return xyz_to_lab(np.stack(seen, axis=1))
