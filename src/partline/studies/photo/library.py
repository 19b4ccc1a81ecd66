"""The library that finds markers and decodes photos: an extra, asked for only when it is used."""

from __future__ import annotations

from typing import Any

from partline.errors import DataError


def vision() -> Any:
    """Return OpenCV.

    Raises
    ------
    DataError
        If it is not installed.
    """
    try:
        import cv2
    except ImportError:
        raise DataError(
            "Measuring a photo needs a library that is not installed here: install "
            "partline[photo], for instance with “pip install 'partline[photo]'”. The photo is "
            "untouched; keeping and showing it works without."
        ) from None
    return cv2
