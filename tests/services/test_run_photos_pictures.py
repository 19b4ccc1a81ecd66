"""Pictures for a screen: small, upright, pixels alone, with or without the library."""

from __future__ import annotations

import sys
from io import BytesIO

import pytest
from PIL import Image

from partline.errors import NotFound
from partline.services.photo_measure import Subject
from partline.services.run_photos.pictures import POCKET, WHOLE, pocket_picture, whole_picture
from tests.studies.photo_slices import bomb, slices, with_exif


def size_of(picture: bytes) -> tuple[int, int]:
    with Image.open(BytesIO(picture)) as opened:
        assert opened.format == "JPEG"
        assert not opened.getexif()
        return opened.size


def test_a_photo_is_shown_small_and_the_way_up_that_it_says():
    photo = with_exif(slices(0.6, 2.4), orientation=6)
    width, height = size_of(whole_picture(photo))
    assert height == WHOLE
    assert width == pytest.approx(WHOLE * 1650 / 2200, abs=1)


def test_a_pocket_is_shown_alone_and_without_the_library_the_whole_photo_is(monkeypatch):
    photo = slices(0.6, 2.4)
    width, height = size_of(pocket_picture(photo, Subject.SPRUE))
    assert width < height <= POCKET  # a sprue's pocket stands upright
    monkeypatch.setitem(sys.modules, "cv2", None)
    assert pocket_picture(photo, Subject.SPRUE) == whole_picture(photo)


def test_what_cannot_be_opened_is_said_to_be():
    for content in (bomb(), b"\xff\xd8\xff\xe0", slices(0.6, 2.4)[:9000]):
        with pytest.raises(NotFound, match="cannot be shown"):
            whole_picture(content)
