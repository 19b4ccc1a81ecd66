"""The card laid flat: the photo drawn again as if seen square from above."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.studies.photo.finding import FoundCard
from partline.studies.photo.library import vision
from partline.studies.photo_card import HEIGHT, MM, WIDTH, Box

Floats = NDArray[np.floating]
Bytes = NDArray[np.uint8]

#: Finest drawing: a line of a fifth of a millimetre is still two pixels wide. [pixel/m]
FINEST = 12.0 / MM
#: The map is worked out at every so many pixels and runs straight between. [pixel]
KNOT = 16


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flat:
    """The card from above.

    Parameters
    ----------
    codes : ndarray of uint8, shape (rows, columns, 3)
        Red, green, blue as the photo has them.
    density : float
        Pixels a metre. [pixel/m]
    """

    codes: Bytes
    density: float

    def rows_and_columns(self, box: Box) -> tuple[slice, slice]:
        """Return which pixels lie wholly in a box."""
        left, top = np.ceil(np.array([box.left, box.top]) * self.density - 1e-6).astype(int)
        right, bottom = np.floor(np.array([box.right, box.bottom]) * self.density + 1e-6).astype(
            int
        )
        return slice(top, bottom), slice(left, right)

    def cut(self, box: Box) -> Bytes:
        """Return the pixels of a box, shape (rows, columns, 3)."""
        return self.codes[self.rows_and_columns(box)]

    def places(self, box: Box) -> tuple[Floats, Floats]:
        """Return x of the columns and y of the rows of a box's pixels. [m]"""
        rows, columns = self.rows_and_columns(box)
        x = (np.arange(columns.start, columns.stop) + 0.5) / self.density
        y = (np.arange(rows.start, rows.stop) + 0.5) / self.density
        return x, y

    def profiles(self, start: Floats, way: Floats) -> Floats:
        """Return codes along straight ways, interpolated.

        Parameters
        ----------
        start : ndarray, shape (places, 2)
            Where each way begins. [m]
        way : ndarray, shape (steps, 2)
            Steps from there. [m]

        Returns
        -------
        codes : ndarray, shape (places, steps, 3)
            0 to 255. [-]
        """
        at = ((start[:, None, :] + way[None, :, :]) * self.density - 0.5).astype(np.float32)
        cv2 = vision()
        return cv2.remap(self.codes, at[..., 0], at[..., 1], cv2.INTER_LINEAR).astype(float)


def lay_flat(codes: Bytes, card: FoundCard) -> Flat:
    """Draw the card as seen from above, as fine as the photo is.

    Parameters
    ----------
    codes : ndarray of uint8, shape (rows, columns, 3)
        The photo.
    card : FoundCard
        Where the card lies in it.
    """
    cv2 = vision()
    density = float(min(card.density, FINEST))
    shrink = density / card.density
    if shrink < 0.8:  # what falls into one pixel of the drawing is averaged, not picked
        codes = cv2.resize(codes, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    else:
        shrink = 1.0
    size = (round(WIDTH * density), round(HEIGHT * density))
    knots = [np.arange(0, each + KNOT, KNOT, dtype=float) for each in size]
    grid = np.stack(np.meshgrid(*knots), axis=-1)
    at = (card.pixels((grid + 0.5) / density) + 0.5) * shrink - 0.5
    fine = [
        np.ascontiguousarray(_spread(at[..., axis].astype(np.float32))[: size[1], : size[0]])
        for axis in (0, 1)
    ]
    return Flat(
        codes=cv2.remap(
            codes, fine[0], fine[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        ),
        density=density,
    )


def _spread(knots: NDArray[np.float32]) -> NDArray[np.float32]:
    """Fill in between knots along both axes, straight from each to the next."""
    share = (np.arange(KNOT, dtype=np.float32) / KNOT)[:, None]
    down = knots[:-1, None, :] * (1 - share) + knots[1:, None, :] * share
    tall = down.reshape(-1, knots.shape[1])
    across = tall[:, :-1, None] * (1 - share[:, 0]) + tall[:, 1:, None] * share[:, 0]
    return across.reshape(tall.shape[0], -1).astype(np.float32)
