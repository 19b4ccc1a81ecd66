"""A pocket cut out of a photo: laid flat, back above belly, whichever way the photo lies."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from partline.studies.photo import PhotoRefused
from partline.studies.photo.view import pocket_codes
from partline.studies.photo_card import POCKETS, Pocket
from tests.studies.photo_slices import of_nothing, slices


def turned(photo: bytes, degrees: int) -> bytes:
    file = BytesIO()
    with Image.open(BytesIO(photo)) as opened:
        opened.rotate(degrees, expand=True).save(file, "JPEG", quality=95)
    return file.getvalue()


@pytest.mark.slow
@pytest.mark.parametrize("degrees", [0, 90, 180])
def test_the_back_lies_above_and_the_pocket_has_its_own_shape(degrees):
    codes = pocket_codes(turned(slices(0.9, 0.5), degrees), (Pocket.SPRUE,))
    rows, columns = codes.shape[:2]
    box = POCKETS[Pocket.SPRUE]
    assert columns / rows == pytest.approx(box.width / box.height, rel=0.02)  # a pixel or two
    middle = codes[:, columns // 3 : -columns // 3].mean(axis=(1, 2))
    above, below = middle[int(0.35 * rows)], middle[int(0.65 * rows)]
    assert below - above > 60  # the drawn belly is far paler than the back


def test_without_a_card_there_is_no_pocket():
    with pytest.raises(PhotoRefused, match="card"):
        pocket_codes(of_nothing(), (Pocket.SLICE,))


def test_neighbours_are_shown_together():
    codes = pocket_codes(slices(0.9, 0.5), (Pocket.BACK, Pocket.BELLY))
    height = POCKETS[Pocket.BELLY].bottom - POCKETS[Pocket.BACK].top
    assert codes.shape[1] / codes.shape[0] == pytest.approx(
        POCKETS[Pocket.BACK].width / height, rel=0.02
    )
    assert codes.dtype == np.uint8
