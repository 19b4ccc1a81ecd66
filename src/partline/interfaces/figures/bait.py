"""The predicted bait as a PNG."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Floats = NDArray[np.floating]


def bait_png(srgb: Floats, *, enlarged: int = 1) -> bytes:
    """Encode a picture.

    Parameters
    ----------
    srgb : ndarray, shape (rows, columns, 3)
        0 to 1. [-]
    enlarged : int
        Pixels shown for each one given, along each side.

    Returns
    -------
    bytes
        PNG. Compressed lightly: it is made again at every change of an amount.
    """
    pixels = np.round(np.clip(srgb, 0.0, 1.0) * 255).astype(np.uint8)
    image = Image.fromarray(pixels)
    if enlarged > 1:
        size = (image.width * enlarged, image.height * enlarged)
        image = image.resize(size, Image.Resampling.BICUBIC)
    buffer = BytesIO()
    image.save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()
