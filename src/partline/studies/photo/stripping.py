"""A copy of a photo without what it tells about place, time and camera; pixels untouched.

The copy keeps the very bytes of the picture: nothing is encoded again. What stays besides is
what a screen needs, the colour profile and which way up.
"""

from __future__ import annotations

import struct
import zlib

from partline.studies.photo.header import UPRIGHT, Header, read_header
from partline.studies.photo.pieces import jpeg_segments, png_chunks, webp_chunks
from partline.studies.photo.refusal import PhotoRefused, Reason

_PNG_KEPT = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB",
     b"cICP", b"pHYs", b"bKGD"}
)  # fmt: skip
_WEBP_KEPT = frozenset({b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ICCP", b"ANIM", b"ANMF"})
_HAS_EXIF, _HAS_XMP = 0x08, 0x04


def stripped_copy(content: bytes) -> bytes:
    """Return a copy of a photo without place, time, camera, maker's notes and comments.

    Parameters
    ----------
    content : bytes
        JPEG, PNG or WebP; not changed.

    Returns
    -------
    bytes
        The same picture in the same format. Only what is known to be needed is taken over, so
        that a block nobody has heard of stays behind, and so does whatever follows the
        picture's end, such as the film of a “live” photo.

    Raises
    ------
    PhotoRefused
        If it is no such photo, or broken.
    """
    header = read_header(content)
    strip = {"image/jpeg": _jpeg, "image/png": _png, "image/webp": _webp}
    return strip[header.media_type](content, header)


def _which_way_up(header: Header) -> bytes:
    """Return an Exif block that says the orientation and nothing else."""
    tag = struct.pack(">HHIHH", 0x0112, 3, 1, header.orientation, 0)
    return b"MM\x00\x2a" + struct.pack(">IH", 8, 1) + tag + struct.pack(">I", 0)


def _jpeg(content: bytes, header: Header) -> bytes:
    parts, scan = [b"\xff\xd8"], None
    if header.orientation != UPRIGHT:
        exif = b"Exif\x00\x00" + _which_way_up(header)
        parts.append(b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif)
    for code, start, end in jpeg_segments(content):
        if code == 0xDA:
            scan = start - 4
            break
        is_application = 0xE0 <= code <= 0xEF or code == 0xFE
        is_needed = (
            (code == 0xE0 and content.startswith(b"JFIF\x00", start))
            or (code == 0xE2 and content.startswith(b"ICC_PROFILE\x00", start))
            or (code == 0xEE and content.startswith(b"Adobe", start))
        )
        if is_needed or not is_application:
            parts.append(content[start - 4 : end])
    if scan is None:
        raise _broken()
    parts.append(_scans(content, scan))
    return b"".join(parts)


def _scans(content: bytes, at: int) -> bytes:
    """Return all scans with the tables between them, up to the picture's own end."""
    parts = []
    while True:
        if at + 1 >= len(content) or content[at] != 0xFF:
            raise _broken()
        code = content[at + 1]
        if code == 0xD9:
            parts.append(b"\xff\xd9")
            return b"".join(parts)
        if at + 4 > len(content):
            raise _broken()
        (length,) = struct.unpack_from(">H", content, at + 2)
        end = at + 2 + length
        if code == 0xDA:
            end = _next_marker(content, end)
        if not (0xE0 <= code <= 0xEF or code == 0xFE):
            parts.append(content[at:end])
        at = end


def _next_marker(content: bytes, at: int) -> int:
    """Return where coded data end: at 0xFF that is neither stuffed nor a restart."""
    while True:
        at = content.find(b"\xff", at)
        if at < 0 or at + 1 >= len(content):
            raise _broken()
        code = content[at + 1]
        if code == 0xFF:
            at += 1
        elif code == 0x00 or 0xD0 <= code <= 0xD7:
            at += 2
        else:
            return at


def _png(content: bytes, header: Header) -> bytes:
    parts, has_end = [content[:8]], False
    for name, at, _, end in png_chunks(content):
        if name == b"IDAT" and header.orientation != UPRIGHT and len(parts) > 0:
            parts.append(_png_chunk(b"eXIf", _which_way_up(header)))
            header = Header(media_type=header.media_type, width=1, height=1)  # said once
        if name in _PNG_KEPT:
            parts.append(content[at : end + 4])
        has_end = has_end or name == b"IEND"
    if not has_end:
        raise _broken()
    return b"".join(parts)


def _png_chunk(name: bytes, body: bytes) -> bytes:
    check = zlib.crc32(name + body)
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", check)


def _webp(content: bytes, header: Header) -> bytes:
    is_turned = header.orientation != UPRIGHT
    parts = []
    for name, at, start, end in webp_chunks(content):
        if name not in _WEBP_KEPT:
            continue
        body = bytearray(content[start:end])
        if name == b"VP8X":
            body[0] = body[0] & ~(_HAS_EXIF | _HAS_XMP) | (_HAS_EXIF if is_turned else 0)
        parts.append(content[at : at + 8] + bytes(body) + b"\x00" * (len(body) & 1))
    if not any(part[:4] in (b"VP8 ", b"VP8L", b"ANMF") for part in parts):
        raise _broken()
    if is_turned:
        exif = _which_way_up(header)
        parts.append(b"EXIF" + struct.pack("<I", len(exif)) + exif + b"\x00" * (len(exif) & 1))
    inside = b"WEBP" + b"".join(parts)
    return b"RIFF" + struct.pack("<I", len(inside)) + inside


def _broken() -> PhotoRefused:
    return PhotoRefused(
        Reason.NO_PHOTO,
        "This photo breaks off before its end, so that no copy of it can be made without its "
        "place and time.",
        remedy="Copy it from the phone again, whole.",
    )
