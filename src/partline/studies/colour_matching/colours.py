"""What a search asks of a model of light, and the slab model that answers for now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Station
from partline.physics.colorimetry import WEIGHTS, xyz_to_lab
from partline.physics.layered_media import Scene, slab_solver
from partline.process.card import GREY
from partline.process.optics import SideOptics
from partline.process.rendering import PictureError
from partline.process.slab_renderer import SlabRenderer

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Mean cosine that a reduced scattering coefficient is given back its peak with. [-]
FORWARD = 0.7
#: Directions a hemisphere and step through the wavelengths: to search, to polish, for the figures.
SEARCH, POLISH, FIGURES = (4, 2), (8, 1), (16, 1)
#: Candidates solved at once; more would not fit the processor's caches.
TOGETHER = 256


class Colours(Protocol):
    """A model of what a bait looks like, for many candidates at once.

    Two that compare equal must answer alike: libraries are kept by them.
    """

    @property
    def error(self) -> PictureError:
        """How far its colours may be off."""
        ...

    @property
    def is_provisional(self) -> bool:
        """Whether a better model is to follow."""
        ...

    def lab(self, absorption: Floats, reduced: Floats) -> Floats:
        """Return CIELAB under D65 of the back view and the belly view.

        Parameters
        ----------
        absorption, reduced : ndarray, shape (candidates, wavelengths, 2)
            μa and μs(1 − g) of the half above the line and of the half below it. [1/m]

        Returns
        -------
        lab : ndarray, shape (candidates, 2, 3)
            Back view, then belly view.
        """
        ...

    def __hash__(self) -> int:
        """Return the same for models that answer alike."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Models:
    """The models of one search: a cheap one to look with, better ones to judge with.

    The search looks with the cheap one, shifted at each place by what the polishing one says
    there, so that the cheap one need only be right about differences.

    Parameters
    ----------
    search, polish, figures : Colours
        They may be one and the same.
    """

    search: Colours
    polish: Colours
    figures: Colours


@dataclass(frozen=True, slots=True, kw_only=True)
class SlabColours:
    """A slab as thick as one station's halves, over grey, seen from all round.

    Parameters
    ----------
    back_half, belly_half : float
        [m]
    index : float
        Refractive index of the plastic. [-]
    nodes : int
        Directions a hemisphere.
    step : int
        Every which of the table's wavelengths is solved.
    """

    back_half: float
    belly_half: float
    index: float
    nodes: int = FIGURES[0]
    step: int = FIGURES[1]
    is_provisional: bool = True

    @property
    def error(self) -> PictureError:
        """That of the slab picture."""
        return SlabRenderer().error

    def lab(self, absorption: Floats, reduced: Floats) -> Floats:
        """Return CIELAB of the back view and the belly view, as `Colours.lab`."""
        parts = [
            self._lab(absorption[start : start + TOGETHER], reduced[start : start + TOGETHER])
            for start in range(0, len(absorption), TOGETHER)
        ]
        return np.concatenate(parts) if parts else np.zeros((0, 2, 3))

    def _lab(self, absorption: Floats, reduced: Floats) -> Floats:
        # Two candidates share a row where their wavelengths fill only half of its lanes.
        count, share = len(absorption), 2 if self.step > 1 else 1
        media = np.stack([absorption, reduced])[:, :, :: self.step]
        if count % share:
            media = np.concatenate([media, media[:, -1:]], axis=1)
        wavelengths = media.shape[2]
        rows = media.transpose(3, 1, 0, 2).reshape(2, -1, share, 2, wavelengths)
        rows = rows.transpose(0, 1, 3, 2, 4).reshape(-1, 2 * share * wavelengths)
        first, which = _distinct(rows)  # a half that does not change is decomposed once
        few = rows[first].reshape(-1, 2, share * wavelengths)
        solver = slab_solver(Scene(nodes=self.nodes, index=self.index))
        modes = solver.media(few[:, 0], few[:, 1] / (1 - FORWARD), anisotropy=FORWARD)
        upper, lower = which.reshape(2, -1)
        order = np.concatenate([np.stack([upper, lower], 1), np.stack([lower, upper], 1)])
        depth = np.array([[self.back_half, self.belly_half], [self.belly_half, self.back_half]])
        seen = solver.reflectance(modes, order, np.repeat(depth, len(upper), axis=0), GREY)
        light = seen.diffuse_without_gloss.reshape(2, -1, wavelengths)[:, :count]
        weights = WEIGHTS[:: self.step]
        weights = weights / weights[:, 1].sum()
        lab: Floats = xyz_to_lab(light @ weights, weights.sum(axis=0))
        return lab.transpose(1, 0, 2)


def _distinct(rows: Floats) -> tuple[Integers, Integers]:
    """Return the first of each distinct row, and which of these each row is."""
    whole = np.ascontiguousarray(rows).view(np.dtype((np.void, rows.itemsize * rows.shape[1])))
    places: dict[bytes, int] = {}
    which = np.array([places.setdefault(row.tobytes(), len(places)) for row in whole.ravel()])
    first = np.full(len(places), -1)
    first[which[::-1]] = np.arange(len(rows))[::-1]
    return first, which


def slab_models(station: Station, sides: Sequence[SideOptics]) -> Models:
    """Return the slab models of a station for plastic like that of these sides."""

    def model(nodes: int, step: int) -> SlabColours:
        return SlabColours(
            back_half=station.back_half,
            belly_half=station.belly_half,
            index=round(float(np.mean([side.index for side in sides])), 4),
            nodes=nodes,
            step=step,
        )

    return Models(search=model(*SEARCH), polish=model(*POLISH), figures=model(*FIGURES))
