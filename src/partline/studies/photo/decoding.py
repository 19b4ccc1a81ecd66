"""A photo's pixels, upright, and what its colours mean."""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.physics.colorimetry import RGB_TO_XYZ
from partline.studies.photo.header import Header, read_header
from partline.studies.photo.library import vision
from partline.studies.photo.refusal import PhotoRefused, Reason

Floats = NDArray[np.floating]
Bytes = NDArray[np.uint8]

#: Channels that differ by less than this everywhere are no colours. [8-bit step]
GREYEST = 3.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """A decoded photo.

    Parameters
    ----------
    codes : ndarray of uint8, shape (rows, columns, 3)
        Red, green, blue, turned upright as a screen shows it.
    primaries : ndarray, shape (3, 3)
        From linear red, green, blue to X, Y, Z; its rows sum to the white. [-]
    """

    codes: Bytes
    primaries: Floats


def decode(content: bytes) -> Picture:
    """Decode a photo whose header has been found fit.

    Raises
    ------
    PhotoRefused
        If it is no photo, too large, broken, or without colours.
    DataError
        If the library for photos is not installed.
    """
    header = read_header(content)
    cv2 = vision()
    try:
        blue_first = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_COLOR)
    except cv2.error:
        blue_first = None
    if blue_first is None:
        raise PhotoRefused(
            Reason.NO_PHOTO,
            "This photo cannot be decoded: its bytes are damaged.",
            remedy="Copy it from the phone again, or save it as JPEG and choose that.",
        )
    codes = cv2.cvtColor(blue_first, cv2.COLOR_BGR2RGB)
    thinned = codes[::16, ::16].astype(int)
    if np.quantile(np.ptp(thinned, axis=-1), 0.99) < GREYEST:
        raise PhotoRefused(
            Reason.NO_COLOUR,
            "This photo is black and white: no difference of colours can be read from it.",
            remedy="Take it in colour, without a filter.",
        )
    return Picture(codes=codes, primaries=primaries_of(header))


def primaries_of(header: Header) -> Floats:
    """Return what red, green and blue stand for: the file's own profile, sRGB where it has none.

    Notes
    -----
    A phone's wide-gamut photo carries a profile with its three primaries; read as sRGB its
    colours would come out too dull. Profiles with tables instead are read as sRGB.

    References
    ----------
    .. [1] ICC.1:2022, 7.2 header, 7.3 tag table, 10.31 XYZType (from memory).
    """
    profile = header.profile
    try:
        (count,) = struct.unpack_from(">I", profile, 128)
        tags = {}
        for place in range(min(count, 100)):
            name, start, _ = struct.unpack_from(">4sII", profile, 132 + 12 * place)
            tags[name] = start
        columns = [
            struct.unpack_from(">3i", profile, tags[name] + 8)
            for name in (b"rXYZ", b"gXYZ", b"bXYZ")
        ]
    except (struct.error, KeyError):
        return RGB_TO_XYZ
    matrix = np.array(columns, dtype=float).T / 65536
    is_sound = abs(np.linalg.det(matrix)) > 0.01 and 0.9 < matrix[1].sum() < 1.1
    return matrix if is_sound else RGB_TO_XYZ
