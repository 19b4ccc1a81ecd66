"""A body's response as a table: smooth, small, and looked up in microseconds.

The light of all lines of sight at one pair of media is a point in a space of few dimensions:
neighbours along the body, across it and in view move together. So the traced light, taken to
its cube root, is kept as that space's base and, at each pair of nodes, as the coordinates in it.
What tracing scattered at random from place to place lies outside that space and drops out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

from partline.numerics.compiled import compiled
from partline.physics.response.grid import Grid
from partline.physics.response.places import Places
from partline.physics.response.tracing import Traced

Floats = NDArray[np.floating]

#: Added to the light before its cube root: about where lightness stops being one. [-]
DARK = 0.002
#: Dimensions of the space that responses lie in.
RANK = 48

#: Every line of sight.
EVERY = slice(None)
Columns = NDArray[np.integer] | slice

kernel = compiled(__file__)


class Response(Protocol):
    """What a body sends to the eye, however it was come by."""

    @property
    def places(self) -> Places:
        """Its lines of sight."""
        ...

    @property
    def index(self) -> float:
        """Refractive index of the body against what is around it. [-]"""
        ...

    @property
    def error(self) -> float:
        """Standard error of a cube root of light. [-]"""
        ...

    def light(
        self,
        scattering: Floats,
        absorption: Floats,
        columns: Columns = EVERY,
    ) -> Floats:
        """Return the scattered light that lines of sight gather.

        Parameters
        ----------
        scattering, absorption : ndarray, shape (points, 2)
            μs(1 − g) and μa of the medium above and below the line, times the body's reference
            length. [-]
        columns : slice or ndarray of int, shape (columns,)
            Which lines of sight; all of them when left out. [-]

        Returns
        -------
        light : ndarray, shape (points, columns, 2)
            As `ResponseTable.light`. [-]
        """
        ...


def to_root(light: Floats) -> Floats:
    """Return the cube root that light is tabled as. [-]"""
    raised = light + DARK
    root: Floats = np.cbrt(raised, out=raised)
    return root


def from_root(root: Floats) -> Floats:
    """Return the light of a tabled cube root; what rounding leaves below zero is zero. [-]"""
    return np.maximum(root**3 - DARK, 0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class ResponseTable:
    """What a body sends to the eye, for any two media.

    Parameters
    ----------
    places : Places
        Its lines of sight.
    index : float
        Refractive index of the body against what is around it. [-]
    grid : Grid
        Nodes of scattering and absorption.
    mean : ndarray, shape (columns × lights,)
        Mean cube root of each line of sight. [-]
    base : ndarray, shape (rank, columns × lights)
        Directions that responses differ in. [-]
    scores : ndarray, shape (n, n, m, m, rank)
        Coordinates in them at each pair of nodes. [-]
    error : float
        Standard error of a cube root, root mean square over the table. [-]
    paths : int
        Paths that a pair of thin media was followed with.
    """

    places: Places
    index: float
    grid: Grid
    mean: Floats
    base: Floats
    scores: Floats
    error: float
    paths: int

    @staticmethod
    def of(
        traced: Traced, places: Places, *, index: float, grid: Grid, rank: int = RANK
    ) -> ResponseTable:
        """Return the table of a trace, with the error that its two halves show."""
        batches, columns, lights = traced.light.shape[:3]
        shape = (grid.scattering,) * 2 + (grid.absorption,) * 2

        def roots(light: Floats) -> Floats:
            rows = light.reshape(columns * lights, -1).T
            return to_root(rows.astype(np.float32))

        mean, base, scores = _reduced(roots(traced.light.mean(axis=0, dtype=np.float32)), rank)
        halves = []
        for batch in range(batches):
            half_mean, half_base, half_scores = _reduced(roots(traced.light[batch]), rank)
            halves.append((half_mean, half_base, half_scores))
        error = _half_difference(halves)
        return ResponseTable(
            places=places,
            index=index,
            grid=grid,
            mean=mean,
            base=base,
            scores=scores.reshape(*shape, -1),
            error=error,
            paths=batches * traced.paths,
        )

    @cached_property
    def _spline(self) -> Floats:
        scores = self.scores.astype(np.float64)
        for axis in range(4):
            matrix = spline_matrix(scores.shape[axis])
            scores = np.moveaxis(np.tensordot(matrix, scores, (1, axis)), 0, axis)
        return np.ascontiguousarray(scores, dtype=np.float32)

    def light(
        self,
        scattering: Floats,
        absorption: Floats,
        columns: Columns = EVERY,
    ) -> Floats:
        """Look up the scattered light that lines of sight gather.

        Parameters
        ----------
        scattering, absorption : ndarray, shape (points, 2)
            μs(1 − g) and μa of the medium above and below the line, times the body's reference
            length. [-]
        columns : slice or ndarray of int, shape (columns,)
            Which lines of sight; all of them when left out. [-]

        Returns
        -------
        light : ndarray, shape (points, columns, 2)
            From an all-round light of 1 in the eye's half space, and in the one behind; the
            surface's own share on entry and its gloss left out. [-]
        """
        place = np.ascontiguousarray(self.grid.coordinates(scattering, absorption))
        scores = np.empty((len(place), self.base.shape[0]), dtype=np.float32)
        _look_up(self._spline, place, scores)
        rank = self.base.shape[0]
        base = self.base.reshape(rank, -1, 2)[:, columns].reshape(rank, -1)
        root = scores @ base
        root += self.mean.reshape(-1, 2)[columns].ravel()
        return from_root(root).reshape(len(place), -1, 2)


def spline_matrix(count: int) -> Floats:
    """Coefficients of the cubic spline through values at even steps, ends "not a knot".

    Light neither starts level at no scattering nor at no absorption, so an end that is held
    level would be wrong just where clear plastics lie.

    Parameters
    ----------
    count : int
        Number of values, at least 4.

    Returns
    -------
    matrix : ndarray, shape (count + 2, count)
        From values to coefficients of uniform B-splines. [-]
    """
    rows = np.zeros((count + 2, count + 2))
    for i in range(count):
        rows[i, i : i + 3] = np.array([1.0, 4.0, 1.0]) / 6
    jump = np.array([1.0, -4.0, 6.0, -4.0, 1.0])  # of the third derivative at a node
    rows[count, :5] = jump
    rows[count + 1, -5:] = jump
    values = np.zeros((count + 2, count))
    values[:count] = np.eye(count)
    matrix: Floats = np.linalg.solve(rows, values)
    return matrix


def _reduced(rows: Floats, rank: int) -> tuple[Floats, Floats, Floats]:
    """Return mean, base and scores of rows, (samples, columns), by their largest variances.

    `rows` is used up: it may be the largest thing in memory.
    """
    mean = rows.mean(axis=0)
    centred = np.subtract(rows, mean, out=rows)
    gram = (centred.T @ centred).astype(np.float64)
    count = len(gram)
    _, vectors = eigh(gram, subset_by_index=[max(count - rank, 0), count - 1])
    base = np.ascontiguousarray(vectors[:, ::-1].T, dtype=rows.dtype)
    return mean, base, centred @ base.T


def _half_difference(halves: list[tuple[Floats, Floats, Floats]]) -> float:
    """Return the standard error of the mean of two smoothed halves, root mean square."""
    (mean_a, base_a, scores_a), (mean_b, base_b, scores_b) = halves
    total, count = 0.0, 0
    for part in np.array_split(np.arange(len(scores_a)), max(len(scores_a) // 2000, 1)):
        difference = scores_a[part] @ base_a + mean_a - scores_b[part] @ base_b - mean_b
        total += float((difference.astype(float) ** 2).sum())
        count += difference.size
    return math.sqrt(total / count) / 2


@kernel
def _weights(place: float, last: int, weight: Floats) -> int:
    """Fill the weights of four B-splines and return the first of them."""
    i = min(int(place), last)
    f = place - i
    weight[0] = (1 - f) ** 3 / 6
    weight[1] = (4 - 6 * f * f + 3 * f**3) / 6
    weight[2] = (1 + 3 * f + 3 * f * f - 3 * f**3) / 6
    weight[3] = f**3 / 6
    return i


@kernel
def _look_up(spline: Floats, place: Floats, out: Floats) -> None:
    """Cubic B-spline in four dimensions for every row of `place`."""
    rank = spline.shape[4]
    begin = np.empty(4, dtype=np.int64)
    weight = np.empty((4, 4))
    for p in range(place.shape[0]):
        for d in range(4):
            begin[d] = _weights(place[p, d], spline.shape[d] - 4, weight[d])
        for r in range(rank):
            out[p, r] = 0.0
        for a in range(4):
            for b in range(4):
                for c in range(4):
                    w_abc = weight[0, a] * weight[1, b] * weight[2, c]
                    for d in range(4):
                        w = np.float32(w_abc * weight[3, d])
                        row = spline[begin[0] + a, begin[1] + b, begin[2] + c, begin[3] + d]
                        for r in range(rank):
                            out[p, r] += w * row[r]
