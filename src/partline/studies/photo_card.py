"""Where everything lies on the printed photo card: one plan for print, reader and trials.

Lengths in metres from the card's upper left corner, x to the right, y down, the card lying with
its long side across. Nothing here is a copy of another card: markers are ArUco's open pattern,
the rest is laid out for a bait, its slices and a chip.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from partline.errors import OutOfRange
from partline.process.card import CARD_BLACK, CARD_WHITE, GREY

Floats = NDArray[np.floating]

MM = 1e-3
WIDTH, HEIGHT = 250 * MM, 180 * MM
#: Length of the line that is measured with a ruler after printing. [m]
RULED = 100 * MM
#: White left round whatever stands in a place, and beyond a pocket's outline. [m]
RIM = 1.2 * MM

#: Inner 5 × 5 cells of the markers 0 to 49 of OpenCV's ``DICT_5X5_50``, row by row, 1 is white.
#: A test holds them against the library, which printing does without.
MARKER_BITS: tuple[int, ...] = (
    0x145B2BC, 0x01C06E6, 0x1AF0EDD, 0x10395F7, 0x1AEB524, 0x1D4082D, 0x0D3D7EC, 0x0E2146B,
    0x10D6132, 0x1313FA5, 0x13CEE03, 0x1A2DAC0, 0x1E62B11, 0x05E7166, 0x1FCFCA8, 0x051E37F,
    0x097A758, 0x0BEA26F, 0x0F64DC4, 0x1061DE8, 0x12DDA75, 0x150E440, 0x16B0CA1, 0x0BA12DE,
    0x19CD023, 0x1A59972, 0x1C3CE8B, 0x0224246, 0x03B9672, 0x024223B, 0x027376E, 0x0368873,
    0x040D0CE, 0x04AAAC8, 0x04643BA, 0x07A6FEA, 0x0998AAC, 0x082D101, 0x09AAD1D, 0x0863C72,
    0x0AD2825, 0x0A52F9E, 0x0D849F7, 0x0C309D9, 0x0DA7E31, 0x0E9627A, 0x0E9B997, 0x0F94806,
    0x0F59125, 0x0F6B7D7,
)  # fmt: skip
#: Cells of a marker across, its black border included.
CELLS = 7
#: The fifth marker says which print of the card this is.
FIRST_NUMBER, LAST_NUMBER = 1, len(MARKER_BITS) - 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An upright rectangle on the card.

    Parameters
    ----------
    left, top, width, height : float
        From the card's upper left corner. [m]
    """

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge. [m]"""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge. [m]"""
        return self.top + self.height

    @property
    def middle(self) -> tuple[float, float]:
        """Its middle, x and y. [m]"""
        return self.left + self.width / 2, self.top + self.height / 2

    @property
    def corners(self) -> Floats:
        """Upper left, upper right, lower right, lower left, shape (4, 2). [m]"""
        x0, y0, x1, y1 = self.left, self.top, self.right, self.bottom
        return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])

    def inset(self, by: float) -> Box:
        """Return what is left of it inside a rim. [m]"""
        return Box(
            left=self.left + by,
            top=self.top + by,
            width=self.width - 2 * by,
            height=self.height - 2 * by,
        )

    def holds(self, x: float, y: float) -> bool:
        """Whether a place lies in it."""
        return self.left <= x <= self.right and self.top <= y <= self.bottom


def _mm(left: float, top: float, width: float, height: float) -> Box:
    return Box(left=left * MM, top=top * MM, width=width * MM, height=height * MM)


class Pocket(StrEnum):
    """An outlined place on the card."""

    BACK = "back"
    BELLY = "belly"
    SLICE = "slice"
    SPRUE = "sprue"
    CHIP = "chip"


POCKETS: dict[Pocket, Box] = {
    Pocket.BACK: _mm(14, 28, 222, 36),
    Pocket.BELLY: _mm(14, 70, 222, 36),
    Pocket.SLICE: _mm(14, 112, 44, 42),
    Pocket.SPRUE: _mm(90, 112, 34, 42),
    Pocket.CHIP: _mm(134, 112, 102, 42),
}
#: Ground of the pockets for baits and slices, as in the predictions: the grey of `GREY`.
GROUND = GREY
#: Upper half of the chip's pocket is white, the lower black.
WHITE_HALF, BLACK_HALF = _mm(134, 112, 102, 21), _mm(134, 133, 102, 21)
#: Steps of a chip and their places, each half over white and half over black.
CHIP_STEPS: tuple[tuple[float, Box], ...] = tuple(
    ((step + 1) * MM, _mm(141 + 22 * step, 119, 22, 28)) for step in range(4)
)

CORNER_MARKERS: tuple[Box, ...] = (
    _mm(4, 4, 18, 18), _mm(228, 4, 18, 18), _mm(228, 158, 18, 18), _mm(4, 158, 18, 18),
)  # fmt: skip
NUMBER_MARKER = _mm(66, 125, 16, 16)

#: Reflectances that the grey steps are printed for, paper white to black; print varies. [-]
STEP_REFLECTANCES: tuple[float, ...] = (
    CARD_WHITE,
    0.60,
    0.42,
    0.29,
    0.20,
    0.135,
    0.08,
    CARD_BLACK,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GreyStep:
    """One patch of grey.

    Parameters
    ----------
    box : Box
        Where it is printed.
    reflectance : float
        What it is printed for. [-]
    """

    box: Box
    reflectance: float

    @property
    def grey(self) -> int:
        """The sRGB value that is sent to the printer, 0 to 255."""
        return printed_grey(self.reflectance)

    @property
    def density(self) -> float:
        """Its optical density, −log₁₀ of the reflectance. [-]"""
        return float(-np.log10(self.reflectance))


def printed_grey(reflectance: float) -> int:
    """Return the sRGB value that comes out as a reflectance on plain paper.

    Parameters
    ----------
    reflectance : float
        From the ink's black to the paper's white. [-]

    Returns
    -------
    int
        0 to 255.

    Notes
    -----
    A printer lays the screen's range of light between its paper and its black. Real ones stray
    from that by a tenth and more: the reader fits the photo's tone curve with that in mind.
    """
    linear = (reflectance - CARD_BLACK) / (CARD_WHITE - CARD_BLACK)
    high = 1.055 * max(linear, 0.0031308) ** (1 / 2.4) - 0.055
    return round(255 * (12.92 * linear if linear <= 0.0031308 else high))


def _steps() -> Iterator[GreyStep]:
    """Light to dark above, dark to light below: a slope of the light is told from a step."""
    for place, reflectance in enumerate(STEP_REFLECTANCES):
        yield GreyStep(box=_mm(29 + 24 * place, 9, 24, 13), reflectance=reflectance)
    for place, reflectance in enumerate(reversed(STEP_REFLECTANCES)):
        yield GreyStep(box=_mm(29 + 24 * place, 160, 24, 13), reflectance=reflectance)


GREY_STEPS: tuple[GreyStep, ...] = tuple(_steps())

#: Scales: origin, direction along the card, length; a tick each millimetre.
TOP_SCALE, LEFT_SCALE = _mm(25, 0, 200, 7), _mm(0, 25, 7, 130)


def _white_spots() -> Iterator[Box]:
    side = 2.4
    rows: list[tuple[float, Iterable[int]]] = [
        (67.0, range(78, 236, 16)),
        (109.0, range(78, 236, 16)),
    ]
    columns: list[tuple[float, Iterable[int]]] = [
        (11.0, range(30, 156, 12)),
        (243.0, range(30, 156, 12)),
        (62.0, (114, 118, 148, 152)),
        (86.0, (114, 118, 148, 152)),
        (129.0, range(114, 156, 8)),
        (25.5, (12, 18, 164, 170)),
        (224.5, (12, 18, 164, 170)),
    ]
    for y, along in rows:
        for x in along:
            yield _mm(x - side / 2, y - side / 2, side, side)
    for across, down in columns:
        for place in down:
            yield _mm(across - side / 2, place - side / 2, side, side)


#: Bare paper that nothing is printed on, all over the card.
WHITE_SPOTS: tuple[Box, ...] = tuple(_white_spots())


def marker_ids(number: int) -> tuple[int, ...]:
    """Return the markers of a print: the four corners clockwise from the upper left, the fifth.

    Raises
    ------
    OutOfRange
        If there is no such number.
    """
    if not FIRST_NUMBER <= number <= LAST_NUMBER:
        raise OutOfRange(
            f"A photo card's number is {FIRST_NUMBER} to {LAST_NUMBER}; this one is {number}.",
            low=FIRST_NUMBER,
            high=LAST_NUMBER,
            field="number",
            given=str(number),
            remedy="Number your prints from 1, so that each is known by the line you measured.",
        )
    return (0, 1, 2, 3, number + 3)


def marker_boxes() -> tuple[Box, ...]:
    """Return where the markers of `marker_ids` lie."""
    return (*CORNER_MARKERS, NUMBER_MARKER)


def marker_cells(marker: int) -> NDArray[np.bool_]:
    """Return which cells of a marker are white, shape (cells, cells)."""
    cells = np.zeros((CELLS, CELLS), dtype=bool)
    bits = [bool(MARKER_BITS[marker] >> (24 - place) & 1) for place in range(25)]
    cells[1:-1, 1:-1] = np.reshape(bits, (5, 5))
    return cells
