"""A pocket of the card as a picture: cut out of the photo, laid flat, its colours as they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from partline.studies.photo.decoding import decode
from partline.studies.photo.finding import find_card
from partline.studies.photo.flat import lay_flat
from partline.studies.photo_card import POCKETS, Pocket

Bytes = NDArray[np.uint8]


def pocket_codes(content: bytes, pockets: Sequence[Pocket]) -> Bytes:
    """Return the part of a photo that holds some pockets, seen square from above.

    Parameters
    ----------
    content : bytes
        JPEG, PNG or WebP; not changed.
    pockets : sequence of Pocket
        One, or neighbours that are to be seen together.

    Returns
    -------
    codes : ndarray of uint8, shape (rows, columns, 3)
        Red, green, blue as the photo has them. No light or tone is taken out.

    Raises
    ------
    PhotoRefused
        If it is no photo, or shows no whole card.
    DataError
        If the library for photos is not installed.
    """
    codes = decode(content).codes
    flat = lay_flat(codes, find_card(codes))
    boxes = [POCKETS[each] for each in pockets]
    left, top = min(each.left for each in boxes), min(each.top for each in boxes)
    whole = replace(
        boxes[0],
        left=left,
        top=top,
        width=max(each.right for each in boxes) - left,
        height=max(each.bottom for each in boxes) - top,
    )
    return np.ascontiguousarray(flat.cut(whole))
