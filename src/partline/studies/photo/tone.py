"""From a photo's codes to reflected light: tone curve, colour gain and uneven light in one fit.

A phone's picture is neither linear nor exactly sRGB, its white balance is a guess, and the light
falls off towards the corners. In logarithms all of these add up::

    ln r = s(v) + c(v) − g(channel) − q(x, y)

with s the sRGB decoding of a code v, c a smooth correction to it, g a gain and q a low polynomial
over the card. What the card is printed for is known only roughly, so each grey's print error is
fitted too, held by a prior. The sum is linear in everything unknown: one robust least squares.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.studies.photo.patches import PAPER, Patches
from partline.studies.photo_card import HEIGHT, STEP_REFLECTANCES, WIDTH

Floats = NDArray[np.floating]

#: Codes at which the correction of the tone curve is free; straight in between. [0 to 1]
KNOTS: Floats = np.array([0.06, 0.16, 0.28, 0.42, 0.58, 0.76, 0.96])
#: How far phones bend the tone curve from sRGB, and how sharply; a guess that the photos of
#: `benchmarks/bench_photo.py` stay within. [-]
TONE, TONE_BEND = 0.5, 0.15
#: How far a print strays: all middle greys together (ink spreads), and each by itself; the
#: deepest black by more. Common practice, no source. [-]
INK_SPREAD, PRINT, INK = 0.06, 0.03, 0.12
#: How even a lit card is: sizes of the polynomial's terms, second order and third. [-]
UNEVEN, UNEVEN_THIRD = 0.4, 0.1
#: What a patch strays from the model by noise, grain and a wavy sheet. [-]
SCATTER = 0.012
#: The same as a share of a code, which counts in the dark. [8-bit step]
STEP = 0.7
#: A patch that misses by more than this many of its own spreads counts less and less.
ROBUST = 4.0
ROUNDS = 12
#: Terms of the polynomial over the card: first to third order.
PLACE_TERMS = 9


@dataclass(frozen=True, kw_only=True, eq=False)
class Calibration:
    """What a photo's codes mean in reflected light.

    Parameters
    ----------
    values : ndarray, shape (parameters,)
        Corrections at `KNOTS`, gains of three channels, terms of the polynomial. [-]
    covariance : ndarray, shape (parameters, parameters)
        Of these. [-]
    misses : ndarray, shape (patches, 3)
        By how much each patch is brighter than fitted, in logarithms. [-]
    """

    values: Floats
    covariance: Floats
    misses: Floats
    _tables: dict[bytes, Floats] = field(default_factory=dict, init=False, repr=False)

    def light(self, codes: ArrayLike, places: ArrayLike, values: Floats | None = None) -> Floats:
        """Return light as a share of what a perfect white would send.

        Parameters
        ----------
        codes : ndarray, shape (..., 3)
            0 to 255. [-]
        places : ndarray, shape (..., 2)
            On the card. [m]
        values : ndarray, shape (parameters,)
            Other values than the fitted ones, to see what they would change. [-]

        Returns
        -------
        light : ndarray, shape (..., 3)
            Linear red, green and blue. [-]
        """
        chosen = self.values if values is None else values
        codes = np.asarray(codes)
        level = _terms(np.asarray(places, dtype=float)) @ chosen[len(KNOTS) + 3 :]
        table = self._table(chosen)
        if codes.dtype == np.uint8:
            shown = np.stack([table[codes[..., each], each] for each in range(3)], axis=-1)
        else:
            steps = np.arange(256)
            shown = np.stack(
                [np.interp(codes[..., each], steps, table[:, each]) for each in range(3)], axis=-1
            )
        return shown * np.exp(-level)[..., None]

    def _table(self, values: Floats) -> Floats:
        """Light of each code before the uneven light is taken out, shape (256, 3)."""
        key = values.tobytes()
        if key not in self._tables:
            codes = np.arange(256, dtype=float)
            curve = _decoded(codes) + _hats(codes) @ values[: len(KNOTS)]
            gain = values[len(KNOTS) : len(KNOTS) + 3]
            self._tables[key] = np.exp(curve[:, None] - gain)
        return self._tables[key]

    @cached_property
    def directions(self) -> Floats:
        """Independent one-spread changes of `values`, shape (directions, parameters)."""
        sizes, ways = np.linalg.eigh(self.covariance)
        return (ways * np.sqrt(np.maximum(sizes, 0.0))).T


def calibrate(patches: Patches) -> Calibration:
    """Fit a photo's tone curve, gains and light to what is known of the card.

    Parameters
    ----------
    patches : Patches
        From `read_patches`.

    Returns
    -------
    Calibration
        Its tone curve rises everywhere.
    """
    bend = TONE_BEND
    while True:
        made = _fit(patches, bend)
        if np.all(np.diff(made._table(made.values), axis=0) > 0):
            return made
        bend /= 2  # a stiffer curve: sRGB itself rises


def _fit(patches: Patches, bend: float) -> Calibration:
    matrix, target, spread = _equations(patches)
    prior, expected = _priors(bend, matrix.shape[1])
    weight = 1.0 / spread
    rows, solution = _solved(matrix, target, weight, prior, expected)
    for _ in range(ROUNDS):
        miss = (target - matrix @ solution) / spread
        # Geman and McClure's weights: far beyond `ROBUST` spreads a patch hardly pulls at all.
        weight = 1.0 / (1.0 + (miss / ROBUST) ** 2) / spread
        rows, solution = _solved(matrix, target, weight, prior, expected)
    kept = len(KNOTS) + 3 + PLACE_TERMS
    return Calibration(
        values=solution[:kept],
        covariance=np.linalg.inv(rows.T @ rows)[:kept, :kept],
        misses=(matrix @ solution - target).reshape(-1, 3),
    )


def _solved(
    matrix: Floats, target: Floats, weight: Floats, prior: Floats, expected: Floats
) -> tuple[Floats, Floats]:
    """Return the weighted rows and the solution of least squares."""
    rows = np.concatenate([matrix * weight[:, None], prior])
    right = np.concatenate([target * weight, expected])
    solution, *_ = np.linalg.lstsq(rows, right, rcond=None)
    return rows, solution


def _equations(patches: Patches) -> tuple[Floats, Floats, Floats]:
    """Return rows, right sides and spreads: a row for each patch and channel."""
    count, levels = len(patches.levels), len(STEP_REFLECTANCES)
    channel = np.tile(np.eye(3), (count, 1))
    place = np.repeat(_terms(patches.places), 3, axis=0)
    codes = patches.codes.reshape(-1)
    level = np.repeat(patches.levels, 3)
    print_error = np.eye(levels)[level][:, 1:]  # the paper is what all is measured against
    matrix = np.concatenate([_hats(codes), -channel, -place, -print_error], axis=1)
    target = np.log(np.array(STEP_REFLECTANCES))[level] - _decoded(codes)
    # A code's worth in logarithms, roughly the exponent of the curve over the code.
    spread = np.hypot(SCATTER, 2.2 * STEP / np.maximum(codes, 1.0))
    # Three channels of one patch share most of what the model leaves out.
    return matrix, target, spread * np.where(level == PAPER, 1.5, 1.2)


def _priors(bend: float, unknowns: int) -> tuple[Floats, Floats]:
    """Return rows of what is known beforehand, each over its spread."""
    knots = len(KNOTS)
    first_print = knots + 3 + PLACE_TERMS
    rows = []
    for knot in range(knots):
        rows.append(_row(unknowns, {knot: 1 / TONE}))
    for knot in range(1, knots - 1):
        rows.append(_row(unknowns, {knot - 1: 1 / bend, knot: -2 / bend, knot + 1: 1 / bend}))
    for channel in range(3):
        rows.append(_row(unknowns, {knots + channel: 1 / 3.0}))
    for term in range(PLACE_TERMS):
        size = UNEVEN if term < 5 else UNEVEN_THIRD
        rows.append(_row(unknowns, {knots + 3 + term: 1 / size}))
    root = np.linalg.inv(np.linalg.cholesky(_print_covariance()))
    for each in root:
        row = np.zeros(unknowns)
        row[first_print:] = each
        rows.append(row)
    matrix = np.array(rows)
    return matrix, np.zeros(len(matrix))


def _row(unknowns: int, entries: dict[int, float]) -> Floats:
    row = np.zeros(unknowns)
    for place, value in entries.items():
        row[place] = value
    return row


def _print_covariance() -> Floats:
    """How the printed greys may be off, paper left out, in logarithms."""
    depth = np.log(np.array(STEP_REFLECTANCES))
    depth = (depth / depth[0] - 1)[1:]
    share = depth / depth[-1]
    together = INK_SPREAD * 4 * share * (1 - share)
    alone = np.full(len(share), PRINT)
    alone[-1] = INK
    return np.outer(together, together) + np.diag(alone**2)


def _decoded(codes: Floats) -> Floats:
    """Logarithm of the light that sRGB means by a code; IEC 61966-2-1 (from memory)."""
    encoded = np.maximum(codes, 0.5) / 255
    high = ((np.maximum(encoded, 0.04045) + 0.055) / 1.055) ** 2.4
    return np.log(np.where(encoded <= 0.04045, encoded / 12.92, high))


def _hats(codes: Floats) -> Floats:
    """Weight of each knot at codes, shape (codes, knots)."""
    value = np.clip(codes / 255, KNOTS[0], KNOTS[-1])
    return np.stack([np.interp(value, KNOTS, each) for each in np.eye(len(KNOTS))], axis=-1)


def _terms(places: Floats) -> Floats:
    """Terms of the light's polynomial at places, shape (..., 9); none is a constant."""
    x = places[..., 0] / (WIDTH / 2) - 1
    y = places[..., 1] / (HEIGHT / 2) - 1
    return np.stack(
        [x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3], axis=-1
    )  # fmt: skip
