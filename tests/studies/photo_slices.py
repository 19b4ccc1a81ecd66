"""Made-up photos of the printed card with a belly slice and a sprue slice of known lines."""

from __future__ import annotations

from functools import cache
from io import BytesIO

import numpy as np
from PIL import Image

from partline.studies.photo.decoding import decode
from partline.studies.photo.finding import find_card
from partline.studies.photo_card import MM, POCKETS, Pocket
from tests.studies.photo_scene import Camera, Slice, blank, rgb_of, take

DARK, PALE = rgb_of(np.array([38.0, 14, 24])), rgb_of(np.array([82.0, 0, 9]))
#: Number of the print that `tests.studies.photo_scene` draws.
CARD = 7


@cache
def slices(belly: float, sprue: float, *, seed: int = 3) -> bytes:
    """A JPEG of 2200 × 1650 pixels; lines 10 to 90 % in mm."""
    sheet = Slice(back=DARK, belly=PALE, line=belly * MM).lay(blank())
    sheet = Slice(back=DARK, belly=PALE, line=sprue * MM, pocket=Pocket.SPRUE).lay(sheet)
    camera = Camera(size=(2200, 1650), tilt=0.08, gain=(1.0, 0.92, 0.85), exposure=0.65)
    return take(sheet, camera, np.random.default_rng(seed))


def middle_of(photo: bytes, pocket: Pocket) -> tuple[float, float]:
    """Where the middle of a pocket lies in a photo, in pixels across and down."""
    place = find_card(decode(photo).codes).pixels(np.array([POCKETS[pocket].middle]))
    return float(place[0, 0]), float(place[0, 1])


def outline_of(photo: bytes, pocket: Pocket, points: int = 14) -> list[list[float]]:
    """Points round the painted slice in a pocket, in pixels across and down."""
    slice_ = Slice(back=DARK, belly=PALE)
    angles = np.linspace(0, 2 * np.pi, points, endpoint=False)
    x, y = POCKETS[pocket].middle
    around = np.stack(
        [x + slice_.width / 2 * np.cos(angles), y + slice_.height / 2 * np.sin(angles)], axis=-1
    )
    places = find_card(decode(photo).codes).pixels(around)
    return [[float(across), float(down)] for across, down in places]


def with_exif(photo: bytes, *, orientation: int | None = None) -> bytes:
    """The same photo with a place and a camera in it, and whichever way up it says to be."""
    exif = Image.Exif()
    exif[0x010F] = "Camera of mine"
    if orientation is not None:
        exif[0x0112] = orientation
    exif.get_ifd(0x8825).update({1: "N", 2: (59.0, 19.0, 45.0)})
    file = BytesIO()
    with Image.open(BytesIO(photo)) as opened:
        opened.save(file, "JPEG", quality="keep", exif=exif)
    return file.getvalue()


def of_nothing(width: int = 1200, height: int = 900) -> bytes:
    """A sharp photo of a bench with no card on it, or of any size."""
    rng = np.random.default_rng(5)
    block = max(width // 300, 4)
    grain = rng.integers(0, 256, (height // block, width // block, 3), dtype=np.uint8)
    picture = Image.fromarray(grain).resize((width, height), Image.Resampling.NEAREST)
    file = BytesIO()
    picture.save(file, "JPEG", quality=60)
    return file.getvalue()


def bomb() -> bytes:
    """A PNG of 70 bytes that says it has 2.5 billion pixels."""
    file = BytesIO()
    Image.new("RGB", (1, 1)).save(file, "PNG")
    small = bytearray(file.getvalue())
    small[16:24] = (50_000).to_bytes(4) * 2
    return bytes(small)
