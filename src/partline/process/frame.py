"""Pixels of one view of a body: which lines of sight each gathers, and how the skin takes part."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array

from partline.physics.fresnel import fresnel_reflectance
from partline.physics.response import Body, Places, places_of
from partline.physics.response.direct import Direct
from partline.physics.response.interpolation import (
    edges,
    fractions_of,
    meeting,
    sight_weights,
    turned_weights,
)
from partline.physics.response.places import FINE_FRACTIONS
from partline.physics.response.table import from_root, to_root

Floats = NDArray[np.floating]
Integers = NDArray[np.intp]

#: Places followed exactly for each one that was traced, along the body.
FINER = 4
#: Lines of sight across each half of a strip.
ACROSS = 3


class Strip(NamedTuple):
    """Where lines of sight lie, one a row, and the strip that each belongs to."""

    strip: Integers
    position: Floats
    height: Floats
    half: Integers
    fraction: Floats
    share: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Sights:
    """Places that are looked at, each the mean of a few lines of sight.

    Parameters
    ----------
    traced : csr_array, shape (points, columns)
        Weights of the table's lines of sight in points of the skin. [-]
    direct : Direct
        What comes through to those points unscattered.
    lines : csr_array, shape (lines, points)
        Weights of the points in each line of sight that is looked along. [-]
    mean : csr_array, shape (places, lines)
        Share of each line in its place, times what the skin lets in. [-]
    """

    traced: csr_array
    direct: Direct
    lines: csr_array
    mean: csr_array

    def of(self, columns: Integers) -> Sights:
        """Return the same for a table of those lines of sight only."""
        return Sights(
            traced=csr_array(self.traced[:, columns]),
            direct=self.direct,
            lines=self.lines,
            mean=self.mean,
        )

    def gather(
        self, scattered: Floats, extinction: Floats, back: Floats, weights: Floats
    ) -> Floats:
        """Return the mean light of each place, shape (places, channels).

        Parameters
        ----------
        scattered : ndarray, shape (wavelengths, columns)
            Scattered light of the table's lines of sight. [-]
        extinction : ndarray, shape (wavelengths, 2)
            Of both halves, times the body's reference length. [-]
        back : ndarray, shape (wavelengths,)
            Light from the half space behind, that in front being 1. [-]
        weights : ndarray, shape (wavelengths, channels)
            From a spectrum to channels, such as X, Y and Z. [-]
        """
        light = from_root(self.traced @ to_root(scattered.T @ weights))
        light += self.direct.light(extinction, back) @ weights
        return self.mean @ from_root(self.lines @ to_root(light))


@dataclass(frozen=True, kw_only=True, eq=False)
class Frame:
    """A picture's pixels, whatever is poured.

    Parameters
    ----------
    sights : Sights
        One place a pixel, row by row.
    cover : ndarray, shape (rows, columns)
        Share of each pixel that the bait fills. [-]
    gloss : ndarray, shape (rows, columns)
        Share of the light in front that the skin mirrors to the eye. [-]
    """

    sights: Sights
    cover: Floats
    gloss: Floats


def entering(cosine: Floats, index: float) -> Floats:
    """Return the share of a line of sight that enters at a cosine outside, shape (...). [-]"""
    inside = np.sqrt(1 - (1 - np.clip(cosine, 0.0, 1.0) ** 2) / index**2)
    return 1 - fresnel_reflectance(inside, index)


def _strips(
    body: Body, angle: float, positions: Floats, low: Floats, high: Floats, across: int
) -> Strip:
    """Cut strips at the line, so that each half is followed by itself."""
    distinct, inverse = np.unique(positions, return_inverse=True)
    edge = edges(body, distinct, angle)[inverse]
    low, high = np.clip([low, high], edge[:, 0], edge[:, 2])
    line = np.clip(edge[:, 1], low, high)
    tall = np.maximum(high - low, 1e-12)
    steps = (np.arange(across) + 0.5) / across
    parts = []
    for half, (begin, end) in enumerate(_halves(low, line, high, angle)):
        span = end - begin
        some = np.flatnonzero(span > 1e-9 * tall)
        at = (begin[some, None] + span[some, None] * steps).ravel()
        which = np.repeat(some, across)
        parts.append(
            Strip(
                strip=which,
                position=positions[which],
                height=at,
                half=np.full(at.size, half),
                fraction=fractions_of(at, edge[which], angle)[half],
                share=np.repeat(span[some] / tall[some] / across, across),
            )
        )
    return Strip(*(np.concatenate(each) for each in zip(*parts, strict=True)))


def _halves(
    low: Floats, line: Floats, high: Floats, angle: float
) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Return the ends of the part above the line and of the part below it."""
    if abs(np.cos(angle)) > 1 - 1e-9:
        seen, unseen = (low, high), (low, low)
        return (seen, unseen) if np.cos(angle) > 0 else (unseen, seen)
    return (line, high), (low, line)


def _matrix(share: Floats, strip: Integers, count: int) -> csr_array:
    return csr_array(coo_array((share, (strip, np.arange(strip.size))), shape=(count, strip.size)))


def strips(
    body: Body,
    places: Places,
    angle: float,
    index: float,
    positions: Floats,
    span: tuple[Floats, Floats],
) -> Sights:
    """Return the mean light of a few strips across a view, each line of sight followed exactly.

    Parameters
    ----------
    body, places
        The body and what was traced of it.
    angle : float
        Of the eye. [rad]
    index : float
        Refractive index of the body against what is around it. [-]
    positions : ndarray, shape (strips,)
        Share of the length. [-]
    span : tuple of ndarray, shape (strips,)
        Lower and upper end of each strip, upwards in the picture in units of the body's
        reference; cut at the line, so that each half is followed by itself. [-]
    """
    rows = _strips(body, angle, positions, *span, ACROSS)
    starts, cosine = meeting(body, rows.position, rows.height, angle)
    count = rows.strip.size
    return Sights(
        traced=turned_weights(body, places, angle, index, starts, rows.half),
        direct=Direct.of(body, starts, angle, index),
        lines=csr_array(coo_array((np.ones(count), (np.arange(count),) * 2))),
        mean=_matrix(rows.share * entering(cosine, index), rows.strip, positions.size),
    )


def frame(body: Body, places: Places, angle: float, index: float, pixel: float) -> Frame:
    """Return the pixels of one view, nose at the left.

    Parameters
    ----------
    body, places
        The body and what was traced of it.
    angle : float
        Of the eye. [rad]
    index : float
        Refractive index of the body against what is around it. [-]
    pixel : float
        Size of a pixel. [m]

    Notes
    -----
    A pixel on the line is shared by area between the halves.
    """
    columns = max(round(body.length / pixel), 2)
    positions = (np.arange(columns) + 0.5) / columns
    size = pixel / body.reference
    edge = edges(body, positions, angle)
    rows = 2 * int(np.ceil(np.abs(edge).max() / size)) + 4
    middle = ((rows - 1) / 2 - np.arange(rows))[:, None] * size
    low = np.maximum(middle - size / 2, edge[:, 0])
    high = np.minimum(middle + size / 2, edge[:, 2])
    cover = np.clip((high - low) / size, 0.0, 1.0)
    filled = np.flatnonzero(cover.ravel() > 0)
    place = np.broadcast_to(positions, cover.shape).ravel()[filled]
    cut = _strips(body, angle, place, low.ravel()[filled], high.ravel()[filled], 1)
    _, cosine = meeting(body, cut.position, cut.height, angle)
    fine = places_of(
        body, np.array([angle]), FINER * (len(places.positions) - 1) + 1, FINE_FRACTIONS
    )
    starts = fine.starts[tuple(fine.columns.T)]
    gloss = np.bincount(
        filled[cut.strip], cut.share * (1 - entering(cosine, index)), minlength=cover.size
    )
    return Frame(
        sights=Sights(
            traced=turned_weights(body, places, angle, index, starts, fine.columns[:, 2]),
            direct=Direct.of(body, starts, angle, index),
            lines=sight_weights(fine, 0, cut.position, cut.fraction, cut.half, is_dense=True),
            mean=_matrix(cut.share * entering(cosine, index), filled[cut.strip], cover.size),
        ),
        cover=cover,
        gloss=gloss.reshape(cover.shape),
    )
