r"""How a bait's section cools, between a bar and a plate.

A section that is neither round nor endlessly wide is cooled as a body whose shells widen with
the way out to a broken power m, between 0 (a plate) and 1 (a round bar), as thick as the section
is at its thinnest. The power is that with which the core has a sixth of its first warmth left
at the same time as in two dimensions.
"""

from __future__ import annotations

from dataclasses import dataclass

from partline.errors import OutOfRange
from partline.materials.mould import Station
from partline.process.section_form import form_of

#: Time until a sixth of the core's warmth is left, in half thickness² over diffusivity: of a
#: plate and of a round bar. [-]
PLATE_TIME, ROUND_TIME = 0.841, 0.398


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingBody:
    """A section as the body that it is cooled as.

    Parameters
    ----------
    size : float
        Half of its lesser thickness. [m]
    bend : float
        Power that its shells widen with, 0 for a plate and 1 for a round bar. [-]
    """

    size: float
    bend: float

    @property
    def slowness(self) -> float:
        """Time that it needs, but for a factor that all bodies share. [m²]"""
        return self.size**2 * (PLATE_TIME + self.bend * (ROUND_TIME - PLATE_TIME))


def ellipse_bend(flatness: float) -> float:
    r"""Power that an ellipse's shells widen with, :math:`m = e^{1.87}`.

    Parameters
    ----------
    flatness : float
        Lesser over greater axis, e, above 0 and up to 1. [-]

    Returns
    -------
    bend : float
        [-]

    Raises
    ------
    OutOfRange
        If the flatness is not above 0 and at most 1.

    Notes
    -----
    Ours, fitted to two-dimensional solutions and exact at both ends: times within 2 % while a
    tenth to a third of the core's warmth is left (tests).
    """
    return _flat(flatness) ** 1.87


def rectangle_bend(flatness: float) -> float:
    r"""Power that a rectangle's shells widen with, :math:`m = 0.72\,e^{2.5}`.

    Parameters
    ----------
    flatness : float
        Lesser over greater side, e, above 0 and up to 1. [-]

    Returns
    -------
    bend : float
        [-]

    Raises
    ------
    OutOfRange
        If the flatness is not above 0 and at most 1.

    Notes
    -----
    Ours, fitted to the exact product of two plates: times within 3 % of it while a tenth to a
    third of the core's warmth is left (tests).
    """
    return 0.72 * _flat(flatness) ** 2.5


def _flat(flatness: float) -> float:
    if not 0 < flatness <= 1:
        raise OutOfRange("A flatness lies above 0 and is at most 1.", low=0.0, high=1.0)
    return flatness


def cooling_body(station: Station) -> CoolingBody:
    """Return the body that a station's section is cooled as.

    Halves of unequal height count as an ellipse of the same height. A flat bottom, or an outline,
    lies between an ellipse and a rectangle by its area: within 4 % of a two-dimensional solution
    for flat bottoms (tests). An outline leaner than the ellipse counts as the ellipse, and opens
    a little earlier than told. What leaves along the bait is left out, so that short thick places
    open a little earlier than told.
    """
    halves = station.height / 2, station.width / 2
    flatness = min(halves) / max(halves)
    bend = ellipse_bend(flatness)
    above, below = form_of(station).boxed
    boxed = (above * station.back_half + below * station.belly_half) / station.height
    bend += max(boxed, 0.0) * (rectangle_bend(flatness) - bend)
    return CoolingBody(size=min(halves), bend=bend)
