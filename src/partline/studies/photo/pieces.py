"""The pieces that JPEG, PNG and WebP files are made of, walked without decoding anything."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import NamedTuple

_STANDALONE = frozenset({0x01, *range(0xD0, 0xD9)})


class Segment(NamedTuple):
    """One piece of a JPEG, its marker's code and where its content lies."""

    code: int
    start: int
    end: int


class Chunk(NamedTuple):
    """One piece of a PNG or a WebP: name, start of the whole piece, start and end of content."""

    name: bytes
    at: int
    start: int
    end: int


def jpeg_segments(content: bytes) -> Iterator[Segment]:
    """Give each segment up to and with the first start of scan."""
    at = 2
    while at + 4 <= len(content):
        if content[at] != 0xFF:
            return
        code = content[at + 1]
        if code == 0xFF:  # fill
            at += 1
            continue
        if code in _STANDALONE:
            at += 2
            continue
        if code == 0xD9:
            return
        (length,) = struct.unpack_from(">H", content, at + 2)
        if length < 2 or at + 2 + length > len(content):
            return
        yield Segment(code, at + 4, at + 2 + length)
        if code == 0xDA:
            return
        at += 2 + length


def png_chunks(content: bytes) -> Iterator[Chunk]:
    """Give each chunk up to and with the end."""
    at = 8
    while at + 12 <= len(content):
        length, name = struct.unpack_from(">I4s", content, at)
        end = at + 8 + length
        if end + 4 > len(content):
            return
        yield Chunk(name, at, at + 8, end)
        if name == b"IEND":
            return
        at = end + 4


def webp_chunks(content: bytes) -> Iterator[Chunk]:
    """Give each chunk."""
    at = 12
    while at + 8 <= len(content):
        name, length = struct.unpack_from("<4sI", content, at)
        end = at + 8 + length
        if end > len(content):
            return
        yield Chunk(name, at, at + 8, end)
        at = end + (length & 1)
