"""How far apart two colours in one photo are, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.physics.colorimetry import xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.studies.photo.tone import Calibration

Floats = NDArray[np.floating]
Flags = NDArray[np.bool_]

#: Pixels this much above a part's median in every channel mirror the lamp. [share of white]
GLOSS = 0.16
#: A part is cut into so many pieces along its length to see how uneven it is.
PIECES = 8
#: A camera's red, green and blue are not the eye's: share of a difference that this may change,
#: and what it changes where there is next to none. Common practice, no source. [-], [ΔE00]
CAMERA, FLOOR = 0.06, 0.4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """A patch of one colour in a photo, in pieces.

    Parameters
    ----------
    codes : ndarray, shape (pieces, 3)
        Median code of each piece, 0 to 255. [-]
    places : ndarray, shape (pieces, 2)
        Middle of each. [m]
    gloss : float
        Share of the part left out because it mirrors the lamp. [-]
    clipped : float
        Share that is as bright as the camera can say, or as dark. [-]
    """

    codes: Floats
    places: Floats
    gloss: float
    clipped: float


def part_of(codes: NDArray[np.uint8], light: Floats, places: Floats, along: Floats) -> Part:
    """Read a part from its pixels.

    Parameters
    ----------
    codes : ndarray of uint8, shape (pixels, 3)
        As the photo has them.
    light : ndarray, shape (pixels, 3)
        What they mean. [-]
    places : ndarray, shape (pixels, 2)
        Where they are. [m]
    along : ndarray, shape (pixels,)
        What the pieces are cut by. [m]
    """
    excess = (light - np.median(light, axis=0)).min(axis=1)
    is_gloss = excess > GLOSS
    edges = np.quantile(along, np.linspace(0, 1, PIECES + 1))
    piece = np.clip(np.searchsorted(edges, along, side="right") - 1, 0, PIECES - 1)
    medians, middles = [], []
    for each in range(PIECES):
        taken = (piece == each) & ~is_gloss
        if np.count_nonzero(taken) >= 4:
            medians.append(np.median(_smooth(codes[taken]), axis=0))
            middles.append(places[taken].mean(axis=0))
    return Part(
        codes=np.array(medians),
        places=np.array(middles),
        gloss=float(is_gloss.mean()),
        clipped=float(np.mean(codes.max(axis=1) >= 254)),
    )


def _smooth(codes: NDArray[np.uint8]) -> Floats:
    """Spread whole codes over their own width, so that a median is finer than a code."""
    ranks = np.arange(len(codes)) / len(codes) - 0.5
    order = np.argsort(codes, axis=0, kind="stable")
    fine = codes.astype(float)
    for channel in range(3):
        values = fine[order[:, channel], channel]
        first = np.searchsorted(values, values, side="left")
        count = np.searchsorted(values, values, side="right") - first
        share = (ranks + 0.5) * len(codes) - first
        fine[order[:, channel], channel] = values + (share + 0.5) / count - 0.5
    return fine


def lab_of(part: Part, calibration: Calibration, primaries: Floats) -> Floats:
    """Return the CIELAB colour of a part against the perfect white, shape (3,). [-]"""
    light = calibration.light(part.codes, part.places).mean(axis=0)
    return _lab(light, primaries)


def _lab(light: Floats, primaries: Floats) -> Floats:
    return xyz_to_lab(light @ primaries.T, primaries.sum(axis=1))


def difference(first: Part, second: Part, calibration: Calibration, primaries: Floats) -> Estimate:
    """Return the colour difference of two parts of one photo with its range.

    Parameters
    ----------
    first, second : Part
        Each in at least two pieces.
    calibration : Calibration
        Of the photo.
    primaries : ndarray, shape (3, 3)
        Of the photo. [-]

    Returns
    -------
    Estimate
        ΔE00, measured. Its doubt adds up what the card leaves open of tone, gain and light, how
        uneven the parts are, and that a camera is no eye.
    """

    def at(values: Floats | None = None, moved: tuple[Floats, Floats] | None = None) -> float:
        lights = [
            calibration.light(part.codes, part.places, values).mean(axis=0)
            for part in (first, second)
        ]
        if moved is not None:
            lights = [np.maximum(a + b, 1e-6) for a, b in zip(lights, moved, strict=True)]
        return float(ciede2000(_lab(lights[0], primaries), _lab(lights[1], primaries)))

    middle = at()
    square = (CAMERA * middle) ** 2 + FLOOR**2
    for way in calibration.directions:
        square += ((at(calibration.values + way) - at(calibration.values - way)) / 2) ** 2
    for which, part in enumerate((first, second)):
        for step in _uneven(part, calibration):
            moved = (step, np.zeros(3)) if which == 0 else (np.zeros(3), step)
            square += (at(moved=moved) - middle) ** 2
    reach = HALF_RANGE * float(np.sqrt(square))
    return Estimate(
        value=middle,
        low=max(middle - reach, 0.0),
        high=middle + reach,
        origin=Origin.MEASURED,
        source="read from one photo on the printed card",
        narrows="a second photo in other light",
        count=1,
    )


def _uneven(part: Part, calibration: Calibration) -> Floats:
    """Independent one-spread changes of a part's mean light, shape (3, 3). [-]"""
    light = calibration.light(part.codes, part.places)
    covariance = np.cov(light.T) / len(light)
    sizes, ways = np.linalg.eigh(covariance)
    return (ways * np.sqrt(np.maximum(sizes, 0.0))).T
