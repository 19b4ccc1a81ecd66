"""A copy to hand on: the same pixels, and nothing of where, when and with what."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image, PngImagePlugin

from partline.studies.photo import PhotoRefused, stripped_copy

SECRETS = (b"Secretville", b"59.3293", b"GPS", b"Camera of mine", b"W5M0MpCehiHzreSzNTczkc9d")
ORIENTATION, GPS, MAKE, DATE = 0x0112, 0x8825, 0x010F, 0x0132
FORMATS = ("JPEG", "PNG", "WEBP")


def telling(kind: str, orientation: int = 6) -> bytes:
    """A picture that tells everything about its taking, as Pillow writes it."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKE], exif[DATE] = (
        orientation,
        "Camera of mine",
        "2026:03:14 09:00:00",
    )
    exif.get_ifd(GPS).update({1: "N", 2: (59.0, 19.0, 45.0), 3: "E", 4: (18.0, 4.0, 7.0)})
    picture = Image.effect_noise((64, 40), 80).convert("RGB")
    xmp = b'<?xpacket id="W5M0MpCehiHzreSzNTczkc9d"?><x>Secretville</x>'
    buffer, more = BytesIO(), {}
    if kind == "JPEG":
        more = {"comment": b"Secretville", "xmp": xmp, "quality": 90, "progressive": True}
    elif kind == "WEBP":
        more = {"xmp": xmp, "lossless": True}
    else:
        told = PngImagePlugin.PngInfo()
        told.add_text("Location", "Secretville 59.3293")
        told.add_itxt("XML:com.adobe.xmp", xmp.decode())
        more = {"pnginfo": told}
    picture.save(buffer, kind, exif=exif, **more)
    return buffer.getvalue()


def pixels(content: bytes) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(content)).convert("RGB"))


@pytest.mark.parametrize("kind", FORMATS)
def test_place_time_camera_and_comments_are_gone_and_the_pixels_are_the_same(kind):
    content = telling(kind)
    assert any(secret in content for secret in SECRETS)
    copy = stripped_copy(content)
    for secret in SECRETS:
        assert secret not in copy, secret
    exif = Image.open(BytesIO(copy)).getexif()
    assert set(exif) <= {ORIENTATION}
    assert not exif.get_ifd(GPS)
    assert np.array_equal(pixels(copy), pixels(content))


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_the_copy_still_stands_upright(kind, orientation):
    copy = Image.open(BytesIO(stripped_copy(telling(kind, orientation))))
    assert copy.getexif().get(ORIENTATION, 1) == orientation


@pytest.mark.parametrize("kind", FORMATS)
def test_the_original_is_not_changed(kind):
    content = telling(kind)
    before = bytes(content)
    stripped_copy(content)
    assert content == before


@pytest.mark.parametrize("kind", FORMATS)
def test_a_stripped_copy_has_nothing_left_to_strip(kind):
    copy = stripped_copy(telling(kind))
    assert stripped_copy(copy) == copy


def test_what_follows_the_end_of_a_jpeg_stays_behind():
    content = telling("JPEG") + b"....ftypmp42 a film with Secretville in it"
    copy = stripped_copy(content)
    assert copy.endswith(b"\xff\xd9")
    assert b"Secretville" not in copy


def test_the_colour_profile_stays():
    profile = b"a profile" * 40
    for kind in FORMATS:
        buffer = BytesIO()
        Image.new("RGB", (32, 32), "teal").save(buffer, kind, icc_profile=profile)
        assert Image.open(BytesIO(stripped_copy(buffer.getvalue()))).info["icc_profile"] == profile


@pytest.mark.parametrize("kind", FORMATS)
def test_a_photo_that_breaks_off_is_refused_with_what_to_do(kind):
    content = telling(kind)
    with pytest.raises(PhotoRefused, match="whole"):
        stripped_copy(content[: len(content) // 2])
