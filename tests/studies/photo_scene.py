"""Photos that were never taken: the printed card, with something on it, seen by a made-up phone.

The card is the real print, drawn from its PDF. Baits are our own renderer's pictures, slices are
painted with halves and a line of known width. Then lens, light, white balance, tone curve, noise
and JPEG do what they do in a workshop. Everything is drawn from the seed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import cache

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from scipy.special import ndtr

from partline.interfaces.cards import Paper, photo_card
from partline.physics.colorimetry import XYZ_TO_RGB
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.studies.photo.library import vision
from partline.studies.photo_card import HEIGHT, MM, POCKETS, WIDTH, Pocket

cv2 = vision()
Floats = NDArray[np.floating]

FINE = 11.0 / MM  # drawn this fine [pixel/m]
MARGIN = 12 * MM  # of the sheet round the card, drawn too
SHEETS = {Paper.A4: (297 * MM, 210 * MM), Paper.LETTER: (279.4 * MM, 215.9 * MM)}
#: 10 to 90 % of a step that a Gaussian of spread 1 has smeared.
TEN_TO_NINETY = 2.5631
#: Steps of light that a sensor tells apart.
STEPS = 8191


@cache
def printed_sheet(number: int = 7, paper: Paper = Paper.A4) -> Floats:
    """Reflectance that the PDF means, the card and `MARGIN` round it, shape (rows, columns)."""
    pdf = photo_card(number=number, paper=paper, printed=date(2026, 11, 28))
    document = pypdfium2.PdfDocument(pdf)
    grey = np.asarray(document[0].render(scale=FINE * 0.0254 / 72).to_pil().convert("L"))
    document.close()
    width, height = SHEETS[paper]
    left, top = (width - WIDTH) / 2 - MARGIN, (height - HEIGHT) / 2 - MARGIN
    rows = round((HEIGHT + 2 * MARGIN) * FINE)
    columns = round((WIDTH + 2 * MARGIN) * FINE)
    first_row, first_column = round(top * FINE), round(left * FINE)
    cut = grey[first_row : first_row + rows, first_column : first_column + columns]
    return (CARD_BLACK + (CARD_WHITE - CARD_BLACK) * decoded(cut / 255)).astype(np.float32)


def decoded(encoded: Floats) -> Floats:
    """Linear light of sRGB values in 0 to 1."""
    high = ((encoded + 0.055) / 1.055) ** 2.4
    return np.where(encoded <= 0.04045, encoded / 12.92, high)


def encoded(linear: Floats) -> Floats:
    """The other way."""
    return np.where(
        linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055
    )


def rgb_of(lab: Floats) -> Floats:
    """Linear sRGB of a CIELAB colour under its white."""
    fy = (lab[0] + 16) / 116
    f = np.array([fy + lab[1] / 500, fy, fy - lab[2] / 200])
    share = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))
    white = np.linalg.inv(XYZ_TO_RGB) @ np.ones(3)
    return XYZ_TO_RGB @ (share * white)


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A phone and the light it stands in; a default is a faultless one."""

    size: tuple[int, int] = (3000, 2250)  # columns, rows
    fill: float = 0.85  # share of the picture's width that the card takes
    tilt: float = 0.0  # [rad]
    towards: float = 0.0  # the side it leans to [rad]
    roll: float = 0.0  # [rad]
    shift: tuple[float, float] = (0.0, 0.0)  # of the card in the picture [share of its height]
    bend: float = 0.0  # of straight lines, at the picture's corner
    blur: float = 0.8  # spread of a point [pixel]
    noise: float = 0.004  # of white [share of clipping]
    exposure: float = 0.8  # light of the paper [share of clipping]
    gain: tuple[float, float, float] = (1.0, 1.0, 1.0)  # of red, green, blue
    contrast: float = 0.0  # how S-shaped the tone curve is
    gamma: float = 1.0
    flare: float = 0.0  # light everywhere [share of white]
    slope: tuple[float, float] = (0.0, 0.0)  # of the light across the card, in logarithms
    lamp: float = 0.0  # how much brighter its middle is, in logarithms
    vignette: float = 0.0  # loss in the corners [share]
    glare: tuple[tuple[float, float, float, float], ...] = ()  # x, y, spread [m], strength
    quality: int = 90  # of JPEG
    ink: float = 0.0  # how much darker the middle greys were printed, in logarithms


def with_object(
    sheet: Floats, colour: Floats, cover: Floats, middle: tuple[float, float]
) -> Floats:
    """Lay a thing on the card: its linear colours and how far it covers, about a place [m]."""
    rows, columns = cover.shape
    top = round((middle[1] + MARGIN) * FINE - rows / 2)
    left = round((middle[0] + MARGIN) * FINE - columns / 2)
    under = sheet[top : top + rows, left : left + columns]
    sheet[top : top + rows, left : left + columns] = (
        under * (1 - cover[..., None]) + colour * cover[..., None]
    )
    return sheet


def blank(ink: float = 0.0) -> Floats:
    """The card with nothing on it, in linear colours, shape (rows, columns, 3)."""
    grey = printed_sheet()
    if ink:
        depth = np.log(grey / CARD_WHITE) / np.log(CARD_BLACK / CARD_WHITE)
        grey = grey * np.exp(-ink * 4 * depth * (1 - depth)).astype(np.float32)
    return np.repeat(grey[..., None], 3, axis=2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Slice:
    """A painted slice: what the measure should find."""

    back: Floats  # linear colours
    belly: Floats
    width: float = 22 * MM
    height: float = 20 * MM
    depth: float = 0.5  # of the line, share of the height from the back
    line: float = 1.0 * MM  # 10 to 90 %
    tilt: float = 0.0  # [rad]
    middle: tuple[float, float] = (0.0, 0.0)  # from the pocket's own [m]
    pocket: Pocket = Pocket.SLICE

    def lay(self, sheet: Floats) -> Floats:
        """Lay it in its pocket."""
        rows, columns = (round((side + 2 * MM) * FINE) for side in (self.height, self.width))
        y = ((np.arange(rows) + 0.5) / FINE - (self.height + 2 * MM) / 2)[:, None]
        x = ((np.arange(columns) + 0.5) / FINE - (self.width + 2 * MM) / 2)[None, :]
        away = np.hypot(x / (self.width / 2), y / (self.height / 2))
        edge = (away - 1) * min(self.width, self.height) / 2 * FINE
        cover = np.clip(0.5 - edge, 0.0, 1.0)
        at = (self.depth - 0.5) * self.height
        below = (y - at) * np.cos(self.tilt) - x * np.sin(self.tilt)
        share = ndtr(below / (self.line / TEN_TO_NINETY))[..., None]
        colour = self.back * (1 - share) + self.belly * share
        x0, y0 = POCKETS[self.pocket].middle
        place = (x0 + self.middle[0], y0 + self.middle[1])
        return with_object(sheet, colour.astype(np.float32), cover.astype(np.float32), place)


def photograph(sheet: Floats, camera: Camera, rng: np.random.Generator) -> NDArray[np.uint8]:
    """What the phone keeps, before it is encoded, shape (rows, columns, 3)."""
    lit = sheet * _light(sheet.shape[:2], camera)[..., None]
    seen = _seen(lit, camera)
    seen = seen * np.array(camera.gain, dtype=np.float32) * (camera.exposure / CARD_WHITE)
    seen = seen * _vignette(camera)[..., None] + camera.flare * camera.exposure
    seen = cv2.GaussianBlur(seen.astype(np.float32), (0, 0), camera.blur)
    brightness = cv2.sqrt(np.maximum(seen, 0) + np.float32(0.02))
    seen += brightness * np.float32(camera.noise) * rng.standard_normal(seen.shape, np.float32)
    return _developed(camera)[(np.clip(seen, 0, 1) * np.float32(STEPS)).astype(np.uint16)]


def _developed(camera: Camera) -> NDArray[np.uint8]:
    """The phone's tone curve: the code of each of `STEPS` equal steps of light."""
    value = encoded((np.arange(STEPS + 1) + 0.5) / (STEPS + 1)) ** camera.gamma
    value = value - camera.contrast * np.sin(2 * np.pi * value) / (2 * np.pi)
    return np.round(np.clip(value, 0, 1) * 255).astype(np.uint8)


def jpeg(codes: NDArray[np.uint8], quality: int = 90) -> bytes:
    """Encode as a phone does, colours at half the resolution."""
    done, data = cv2.imencode(
        ".jpg", cv2.cvtColor(codes, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, quality]
    )
    assert done
    return data.tobytes()


def _light(shape: tuple[int, int], camera: Camera) -> Floats:
    """Light on the sheet, glare included as a share of white over the paper's own."""
    y = np.linspace(-1.1, 1.1, shape[0], dtype=np.float32)[:, None]
    x = np.linspace(-1.1, 1.1, shape[1], dtype=np.float32)[None, :]
    level = camera.slope[0] * x + camera.slope[1] * y
    level = level + camera.lamp * (np.exp(-((x - 0.2) ** 2) - (y + 0.3) ** 2) - 0.5)
    return np.exp(level).astype(np.float32)


def with_glare(sheet: Floats, camera: Camera) -> Floats:
    """The lamp's mirror image on gloss: white light added, whatever lies under it."""
    rows, columns = sheet.shape[:2]
    y = (np.arange(rows, dtype=np.float32) / FINE - MARGIN)[:, None]
    x = (np.arange(columns, dtype=np.float32) / FINE - MARGIN)[None, :]
    for cx, cy, spread, strength in camera.glare:
        away = ((x - cx) ** 2 + (y - cy) ** 2) / (2 * spread**2)
        sheet += (strength * np.exp(-away))[..., None].astype(np.float32)
    return sheet


def _seen(sheet: Floats, camera: Camera) -> Floats:
    columns, rows = camera.size
    onto = _onto(camera)
    centre = np.array([columns - 1, rows - 1]) / 2
    reach = float(np.hypot(*centre))
    back = np.linalg.inv(onto)
    x = (np.arange(columns) - centre[0]).astype(np.float32)[None, :]
    y = (np.arange(rows) - centre[1]).astype(np.float32)[:, None]
    straight = 1 / (1 + np.float32(camera.bend / reach**2) * (x**2 + y**2))
    x, y = x * straight + np.float32(centre[0]), y * straight + np.float32(centre[1])
    u, v, w = ((x * np.float32(a) + y * np.float32(b) + np.float32(c)) for a, b, c in back)
    fine_x = (u / w + np.float32(MARGIN)) * np.float32(FINE) - np.float32(0.5)
    fine_y = (v / w + np.float32(MARGIN)) * np.float32(FINE) - np.float32(0.5)
    # Drawn finer than it is seen: what falls into one pixel is averaged first.
    shrink = FINE * WIDTH / (camera.fill * columns)
    soft = cv2.GaussianBlur(sheet, (0, 0), max(0.35 * shrink, 0.2))
    return cv2.remap(
        soft, fine_x, fine_y, cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT, borderValue=(0.22, 0.16, 0.11),
    )  # fmt: skip


def _onto(camera: Camera) -> Floats:
    """From the card [m] to the picture [pixel], by a pinhole of a usual phone's angle."""
    columns, rows = camera.size
    focal = 0.8 * columns
    distance = focal * WIDTH / (camera.fill * columns)
    c, s = np.cos(camera.roll), np.sin(camera.roll)
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1.0]])
    axis = np.array([np.cos(camera.towards), np.sin(camera.towards), 0.0])
    lean, _ = cv2.Rodrigues(axis * camera.tilt)
    rotation = lean @ turn
    middle = np.array([WIDTH / 2, HEIGHT / 2])
    to_middle = np.array([[1, 0, -middle[0]], [0, 1, -middle[1]], [0, 0, 1.0]])
    plane = np.column_stack([rotation[:, 0], rotation[:, 1], np.array([0, 0, distance])])
    lens = np.array([
        [focal, 0, columns / 2 + camera.shift[0] * rows],
        [0, focal, rows / 2 + camera.shift[1] * rows],
        [0, 0, 1.0],
    ])  # fmt: skip
    return lens @ plane @ to_middle


def _vignette(camera: Camera) -> Floats:
    columns, rows = camera.size
    y = np.linspace(-1, 1, rows, dtype=np.float32)[:, None] * rows / columns
    x = np.linspace(-1, 1, columns, dtype=np.float32)[None, :]
    square = (x**2 + y**2) / (1 + (rows / columns) ** 2)
    return 1 - camera.vignette * square * (0.6 + 0.4 * square)


def any_camera(rng: np.random.Generator, size: tuple[int, int] = (3000, 2250)) -> Camera:
    """A phone held with care in a lit workshop."""
    gain = np.exp(rng.uniform(-0.13, 0.13, 3))
    gain /= gain.max()
    camera = Camera(
        size=size,
        fill=float(rng.uniform(0.72, 0.86)),
        tilt=float(np.radians(rng.uniform(0, 14))),
        towards=float(rng.uniform(0, 2 * np.pi)),
        roll=float(rng.choice([0, np.pi]) + np.radians(rng.uniform(-6, 6))),
        shift=(float(rng.uniform(-0.03, 0.03)), float(rng.uniform(-0.03, 0.03))),
        bend=float(rng.uniform(-0.015, 0.015)),
        blur=float(rng.uniform(0.6, 1.6)),
        noise=float(rng.uniform(0.003, 0.012)),
        exposure=float(rng.uniform(0.5, 0.72)),
        gain=(float(gain[0]), float(gain[1]), float(gain[2])),
        contrast=float(rng.uniform(0.0, 0.3)),
        gamma=float(rng.uniform(0.92, 1.08)),
        flare=float(rng.uniform(0.0, 0.01)),
        slope=(float(rng.uniform(-0.15, 0.15)), float(rng.uniform(-0.15, 0.15))),
        lamp=float(rng.uniform(0.0, 0.15)),
        vignette=float(rng.uniform(0.0, 0.25)),
        quality=int(rng.integers(78, 96)),
        ink=float(rng.uniform(-0.05, 0.08)),
    )
    while not _holds_the_card(camera):
        camera = replace(camera, fill=camera.fill - 0.02)
    return camera


def _holds_the_card(camera: Camera) -> bool:
    """Whether all of the card is in the picture, as whoever holds it sees to."""
    corners = np.array([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]])
    ahead = np.column_stack([corners, np.ones(4)]) @ _onto(camera).T
    places = ahead[:, :2] / ahead[:, 2:] / np.array(camera.size)
    return bool(places.min() > 0.01 and places.max() < 0.99)


def take(sheet: Floats, camera: Camera, rng: np.random.Generator) -> bytes:
    """Photograph and encode."""
    return jpeg(photograph(with_glare(sheet, camera), camera, rng), camera.quality)


def any_slice(rng: np.random.Generator, pocket: Pocket = Pocket.SLICE) -> Slice:
    """A slice of two colours that a shelf can make, from faint contrast to strong."""
    lightness = rng.uniform(22, 85)
    hue = rng.uniform(0, 2 * np.pi)
    back = np.array([lightness, *(rng.uniform(0, 38) * np.array([np.cos(hue), np.sin(hue)]))])
    while True:
        belly = back + rng.normal(0, [22, 18, 18])
        far = np.linalg.norm(belly - back)
        rgb = rgb_of(belly)
        if 15 < belly[0] < 90 and far > 9 and rgb.min() > 0.008 and rgb.max() < 0.92:
            break
    if rgb_of(back).min() <= 0.008 or rgb_of(back).max() >= 0.92:
        return any_slice(rng, pocket)
    largest = 20 if pocket is Pocket.SLICE else 14
    return Slice(
        back=rgb_of(back),
        belly=rgb_of(belly),
        width=float(rng.uniform(0.55, 1.3)) * largest * MM,
        height=float(rng.uniform(0.6, 1.15)) * largest * MM,
        depth=float(rng.uniform(0.38, 0.62)),
        line=float(np.exp(rng.uniform(np.log(0.2), np.log(3.0)))) * MM,
        tilt=float(np.radians(rng.uniform(-12, 12))),
        middle=(float(rng.uniform(-3, 3)) * MM, float(rng.uniform(-3, 3)) * MM),
        pocket=pocket,
    )


def spoiled(camera: Camera, how: str, at: Pocket, rng: np.random.Generator) -> Camera:
    """The same photo gone wrong."""
    if how == "tilt":
        return replace(camera, tilt=float(np.radians(rng.uniform(31, 48))), fill=0.6, shift=(0, 0))
    if how == "blur":
        density = camera.fill * camera.size[0] / WIDTH
        return replace(camera, blur=float(rng.uniform(0.42, 0.9)) * MM * density)
    if how == "clipping":
        return replace(camera, exposure=float(rng.uniform(1.15, 1.9)))
    x, y = POCKETS[at].middle
    spread, strength = float(rng.uniform(6, 22)) * MM, float(rng.uniform(0.25, 0.9))
    aside = rng.uniform(-6, 6, 2) * MM
    return replace(camera, glare=((x + aside[0], y + aside[1], spread, strength),))
