"""How soft a photo is: the card's own black edges, which were printed sharp."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression

from partline.studies.photo.flat import Flat
from partline.studies.photo.refusal import PhotoRefused, Reason
from partline.studies.photo.tone import Calibration
from partline.studies.photo_card import MM, Box, marker_boxes

Floats = NDArray[np.floating]

#: A profile is followed this far to both sides of an edge. [m]
REACH = 2.2 * MM
#: Softest edge that still leaves a line of a millimetre to be told. [m]
SOFTEST = 0.75 * MM
#: Steps of a profile over one pixel of the flat picture.
FINER = 4
#: Share of a marker's side that is followed, its corners left out. [-]
SIDE = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Softness:
    """Width of a sharp edge in a photo, 10 to 90 %.

    Parameters
    ----------
    across : float
        Of upright edges, smeared across the card. [m]
    down : float
        Of level edges, smeared down the card. [m]
    spread : float
        Standard deviation between single edges, as a share. [-]
    """

    across: float
    down: float
    spread: float

    @property
    def largest(self) -> float:
        """The worse of both. [m]"""
        return max(self.across, self.down)

    def along(self, angle: float) -> float:
        """Return the width of an edge whose normal leans by an angle [rad] from straight down."""
        return float(np.hypot(self.down * np.cos(angle), self.across * np.sin(angle)))


def width_of_step(places: Floats, values: Floats) -> float:
    """Return the distance over which a rising profile goes from 10 to 90 % of its step.

    Parameters
    ----------
    places : ndarray, shape (steps,)
        Rising. [m]
    values : ndarray, shape (steps,)
        0 before the step and 1 after it, noise aside. [-]

    Notes
    -----
    The profile is first made to rise by the nearest such profile, which is what noise calls for.
    """
    rising = isotonic_regression(values).x
    # Flat pieces have no one place: the middle of each is taken.
    level, first = np.unique(rising, return_index=True)
    last = len(rising) - 1 - np.unique(rising[::-1], return_index=True)[1]
    middle = (places[first] + places[last]) / 2
    ten, ninety = np.interp([0.1, 0.9], level, middle)
    return float(ninety - ten)


def measure_softness(flat: Flat, calibration: Calibration) -> Softness:
    """Measure a photo's softness on the outer edges of the markers.

    Raises
    ------
    PhotoRefused
        If the photo is too soft to see a line.
    """
    across: list[float] = []
    down: list[float] = []
    for box in marker_boxes():
        for edge, is_upright in _edges(box):
            width = _edge_width(flat, calibration, edge)
            if width is not None:
                (across if is_upright else down).append(width)
    if min(len(across), len(down)) < 3:
        raise _too_soft(None)
    medians = float(np.median(across)), float(np.median(down))
    both = np.concatenate([np.array(across) / medians[0], np.array(down) / medians[1]])
    soft = Softness(
        across=medians[0],
        down=medians[1],
        spread=float(1.4826 * np.median(np.abs(both - 1.0))),
    )
    if soft.largest > SOFTEST:
        raise _too_soft(soft.largest)
    return soft


def _too_soft(width: float | None) -> PhotoRefused:
    told = "a sharp edge is smeared beyond measure"
    if width is not None:
        told = f"a sharp edge is smeared over {width / MM:.1f} mm"
    return PhotoRefused(
        Reason.BLUR,
        f"This photo is blurred: {told}; at most {SOFTEST / MM:.2f} mm still let a line be told.",
        remedy="Tap the card to focus, hold still or rest your elbows, add light, wipe the lens.",
    )


def _edges(box: Box) -> list[tuple[tuple[Floats, Floats], bool]]:
    """Return for each side its ends (corners left out) with the way inwards."""
    corners = box.corners
    found = []
    for place in range(4):
        start, end = corners[place], corners[(place + 1) % 4]
        along = end - start
        inwards = np.array([-along[1], along[0]]) / np.linalg.norm(along)
        margin = (1 - SIDE) / 2
        ends = np.array([start + margin * along, end - margin * along])
        found.append(((ends, inwards), bool(abs(inwards[0]) > 0.5)))
    return found


def _edge_width(flat: Flat, calibration: Calibration, edge: tuple[Floats, Floats]) -> float | None:
    """Return the 10 to 90 % width of one edge; None where it is too faint to be read."""
    ends, inwards = edge
    long = np.linalg.norm(ends[1] - ends[0])
    count = max(int(long * flat.density), 8)
    start = ends[0] + np.linspace(0, 1, count)[:, None] * (ends[1] - ends[0])
    steps = np.arange(-REACH, REACH, 1 / (FINER * flat.density))
    codes = flat.profiles(start, steps[:, None] * inwards)
    places = start[:, None, :] + steps[:, None] * inwards
    light = calibration.light(codes, places).mean(axis=-1)
    profile = np.median(light, axis=0)
    end = max(len(steps) // 5, 2)
    white, black = np.median(profile[:end]), np.median(profile[-end:])
    if white - black < 0.2:
        return None
    return width_of_step(steps, (white - profile) / (white - black))
