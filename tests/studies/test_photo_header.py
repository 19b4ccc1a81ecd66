"""What a photo's first bytes say, held against Pillow, and what is refused before it is opened."""

from __future__ import annotations

import struct
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from partline.studies.photo import PhotoRefused, Reason, read_header
from partline.studies.photo.header import MOST_PIXELS

FORMATS = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}


def made(kind: str, size: tuple[int, int] = (37, 23), **more) -> bytes:
    """A small picture by Pillow."""
    buffer = BytesIO()
    Image.effect_noise(size, 60).convert("RGB").save(buffer, kind, **more)
    return buffer.getvalue()


def turned(kind: str, orientation: int) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    return made(kind, exif=exif)


def png_of(width: int, height: int) -> bytes:
    """The head of a PNG that says it is so large, and nothing behind it."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + b"IHDR" + head + b"\0\0\0\0"


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("size", [(37, 23), (640, 1), (1, 480), (3001, 17)])
def test_size_and_kind_are_those_that_pillow_wrote(kind, size):
    header = read_header(made(kind, size))
    assert (header.media_type, header.width, header.height) == (FORMATS[kind], *size)
    assert header.orientation == 1


@pytest.mark.parametrize("lossless", [True, False])
def test_both_kinds_of_webp_are_read(lossless):
    header = read_header(made("WEBP", (219, 101), lossless=lossless))
    assert (header.width, header.height) == (219, 101)


def test_a_progressive_jpeg_is_read():
    assert read_header(made("JPEG", (88, 44), progressive=True)).width == 88


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_orientation_is_what_pillow_wrote(kind, orientation):
    assert read_header(turned(kind, orientation)).orientation == orientation


@pytest.mark.parametrize("impossible", [0, 9, 77])
def test_an_impossible_orientation_says_nothing(impossible):
    assert read_header(turned("JPEG", impossible)).orientation == 1


def test_sixty_million_pixels_are_refused_before_they_are_opened():
    for content in (png_of(9000, 6700), made("JPEG", (9000, 6700), quality=1)):
        with pytest.raises(PhotoRefused, match="60 million") as refusal:
            read_header(content)
        assert refusal.value.reason is Reason.TOO_LARGE
        assert "12 million" in refusal.value.remedy


def test_an_image_bomb_is_refused_by_its_head_alone():
    for width, height in ((60_000, 60_000), (2**31 - 1, 2**31 - 1), (1_000_000, 2)):
        with pytest.raises(PhotoRefused, match="not opened") as refusal:
            read_header(png_of(width, height))
        assert refusal.value.reason is Reason.TOO_LARGE


def test_the_largest_phones_own_pictures_are_taken():
    assert 8160 * 6120 < MOST_PIXELS < 60e6
    assert read_header(png_of(8160, 6120)).width == 8160


def test_heic_is_told_apart_from_no_photo():
    with pytest.raises(PhotoRefused, match="HEIC") as refusal:
        read_header(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(40))
    assert "most compatible" in refusal.value.remedy


@pytest.mark.parametrize(
    "content", [b"", b"Peat 9 drops\nChalk 5 drops\n", b"%PDF-1.7\n", b"GIF89a"]
)
def test_a_text_file_with_a_photos_name_is_no_photo(content):
    with pytest.raises(PhotoRefused, match="whatever its name says") as refusal:
        read_header(content)
    assert refusal.value.reason is Reason.NO_PHOTO


@pytest.mark.parametrize("kind", FORMATS)
def test_a_photo_that_breaks_off_in_its_head_is_said_to(kind):
    with pytest.raises(PhotoRefused, match="breaks off"):
        read_header(made(kind)[:14])


@given(st.sampled_from([*FORMATS]), st.integers(0, 400), st.binary(max_size=24))
@settings(deadline=None, max_examples=150)
def test_no_damage_to_a_head_is_anything_but_read_or_refused(kind, at, damage):
    content = bytearray(turned(kind, 6))
    content[at : at + len(damage)] = damage
    try:
        header = read_header(bytes(content))
    except PhotoRefused:
        return
    assert 1 <= header.width * header.height <= MOST_PIXELS
    assert 1 <= header.orientation <= 8
