"""What a photo's first bytes say: kind, size, which way up. Read before anything is decoded."""

from __future__ import annotations

import struct
from dataclasses import dataclass

from partline.studies.photo.pieces import jpeg_segments, png_chunks, webp_chunks
from partline.studies.photo.refusal import PhotoRefused, Reason

#: More pixels than this are not decoded: phones' own pictures end at 50 million. [-]
MOST_PIXELS = 51_000_000
#: A side longer than this is no camera's. [pixel]
LONGEST_SIDE = 16_384
UPRIGHT = 1
_EXIF = b"Exif\x00\x00"
_PROFILE = b"ICC_PROFILE\x00"
#: Start-of-frame markers: all of 0xC0 to 0xCF but those for tables and arithmetic conditioning.
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif")


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """Facts of a photo that stand in front of its pixels.

    Parameters
    ----------
    media_type : str
        ``image/jpeg``, ``image/png`` or ``image/webp``.
    width, height : int
        As stored, before it is turned upright. [pixel]
    orientation : int
        Exif's 1 to 8; 1 where there is none or where it says nothing possible.
    profile : bytes
        Its ICC colour profile; empty where there is none.
    """

    media_type: str
    width: int
    height: int
    orientation: int = UPRIGHT
    profile: bytes = b""


def read_header(content: bytes) -> Header:
    """Read a photo's header, and refuse what must not be decoded.

    Parameters
    ----------
    content : bytes
        The file.

    Returns
    -------
    Header
        Of a picture small enough to decode.

    Raises
    ------
    PhotoRefused
        If it is no JPEG, PNG or WebP, is broken at the head, or has too many pixels.

    References
    ----------
    .. [1] ITU-T T.81 (JPEG), B.1 and B.2. [2] W3C, "Portable Network Graphics (PNG)
       Specification (Third Edition)," 5 and 11. [3] RFC 9649, "WebP Image Format," 2.3 to 2.7.
       [4] CIPA DC-008 (Exif), 4.6.4 orientation. All from memory.
    """
    try:
        header = _read(content)
    except (struct.error, IndexError):
        header = None
    if header is None or min(header.width, header.height) < 1:
        raise PhotoRefused(
            Reason.NO_PHOTO,
            "This file begins like a photo, but breaks off before it says how large it is.",
            remedy="Copy it from the phone again, whole.",
        )
    _check_size(header)
    return header


def _read(content: bytes) -> Header | None:
    if content.startswith(b"\xff\xd8\xff"):
        return _jpeg(content)
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return _png(content)
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return _webp(content)
    if content[4:8] == b"ftyp" and content[8:12] in _HEIF_BRANDS:
        raise PhotoRefused(
            Reason.NO_PHOTO,
            "This photo is in a phone’s HEIC or AVIF format, which is not read here; it takes "
            "JPEG, PNG or WebP.",
            remedy="Set the phone’s camera to “most compatible” (JPEG) and take it again, or "
            "save this one as JPEG and choose that.",
        )
    raise PhotoRefused(
        Reason.NO_PHOTO,
        "This file is no photo: it begins neither as a JPEG nor as a PNG nor as a WebP, whatever "
        "its name says.",
        remedy="Choose the photo itself, or save the picture as JPEG.",
    )


def _check_size(header: Header) -> None:
    pixels = header.width * header.height
    if pixels <= MOST_PIXELS and max(header.width, header.height) <= LONGEST_SIDE:
        return
    raise PhotoRefused(
        Reason.TOO_LARGE,
        f"This photo has {header.width} × {header.height} pixels, {pixels / 1e6:,.0f} million; at "
        f"most {MOST_PIXELS / 1e6:.0f} million and {LONGEST_SIDE} a side are opened, for more "
        "would fill this computer’s memory and tell nothing more. It was not opened.",
        remedy="Take it again with 12 million pixels (“12 MP”), or save it smaller.",
    )


def _jpeg(content: bytes) -> Header | None:
    size, orientation, profile = None, UPRIGHT, []
    for code, start, end in jpeg_segments(content):
        if code in _FRAMES and size is None:
            height, width = struct.unpack_from(">HH", content, start + 1)
            size = (width, height)
        elif code == 0xE1 and content.startswith(_EXIF, start):
            orientation = exif_orientation(content[start + len(_EXIF) : end])
        elif code == 0xE2 and content.startswith(_PROFILE, start):
            profile.append((content[start + len(_PROFILE)], content[start + 14 : end]))
    if size is None:
        return None
    return Header(
        media_type="image/jpeg",
        width=size[0],
        height=size[1],
        orientation=orientation,
        profile=b"".join(part for _, part in sorted(profile)),
    )


def exif_orientation(exif: bytes) -> int:
    """Return the orientation in an Exif block, 1 where it holds none that is possible."""
    order = {b"II": "<", b"MM": ">"}.get(exif[:2])
    if order is None:
        return UPRIGHT
    try:
        (first,) = struct.unpack_from(f"{order}I", exif, 4)
        (count,) = struct.unpack_from(f"{order}H", exif, first)
        for entry in range(min(count, 512)):
            tag, kind, _ = struct.unpack_from(f"{order}HHI", exif, first + 2 + 12 * entry)
            if tag == 0x0112 and kind == 3:
                (value,) = struct.unpack_from(f"{order}H", exif, first + 2 + 12 * entry + 8)
                return int(value) if 1 <= value <= 8 else UPRIGHT
    except struct.error:
        pass
    return UPRIGHT


def _png(content: bytes) -> Header | None:
    size, orientation = None, UPRIGHT
    if content[12:16] == b"IHDR":
        size = struct.unpack_from(">II", content, 16)
    for name, _, start, end in png_chunks(content):
        if name == b"eXIf":
            orientation = exif_orientation(content[start:end])
    if size is None:
        return None
    return Header(media_type="image/png", width=size[0], height=size[1], orientation=orientation)


def _webp(content: bytes) -> Header | None:
    size, orientation, profile = None, UPRIGHT, b""
    for name, _, start, end in webp_chunks(content):
        if size is None and name in (b"VP8X", b"VP8 ", b"VP8L"):
            size = _webp_size(name, content[start : start + 10])
        elif name == b"EXIF":
            exif = content[start:end]
            orientation = exif_orientation(exif.removeprefix(_EXIF))
        elif name == b"ICCP":
            profile = content[start:end]
    if size is None:
        size = _webp_size(content[12:16], content[20:30])
    return Header(
        media_type="image/webp",
        width=size[0],
        height=size[1],
        orientation=orientation,
        profile=profile,
    )


def _webp_size(name: bytes, head: bytes) -> tuple[int, int]:
    if name == b"VP8X":
        return (
            int.from_bytes(head[4:7], "little") + 1,
            int.from_bytes(head[7:10], "little") + 1,
        )
    if name == b"VP8L":
        (bits,) = struct.unpack_from("<I", head, 1)
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    width, height = struct.unpack_from("<HH", head, 6)
    return width & 0x3FFF, height & 0x3FFF
