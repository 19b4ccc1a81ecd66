"""Whole baits for made-up photos: our own renderer's pictures, laid on the printed card."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from partline.physics.colorimetry import RGB_TO_XYZ, xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.process.rendering import Backdrop, Setting, View
from partline.process.traced import TracedRenderer
from partline.services.tables import keeper
from partline.studies.photo.library import vision
from partline.studies.photo_card import MM, POCKETS, Pocket
from tests.process.shed import grams, mould, optics_of, two_colours
from tests.studies.photo_scene import FINE, decoded, with_object

cv2 = vision()
Floats = NDArray[np.floating]
BOTTLES = ("Peat", "Chalk", "Rind", "Soot", "Moss", "Ink")
MOULDS = ("reed-130", "fry-75")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Baits:
    """Two baits of one shot."""

    back: Floats  # linear colours, shape (rows, columns, 3)
    belly: Floats
    cover: dict[View, Floats]
    difference: float  # ΔE00 of the pictures' own middles
    turn: float = 0.0  # [rad]
    aside: tuple[float, float] = (0.0, 0.0)  # [m]

    def lay(self, sheet: Floats) -> Floats:
        """Lay both in their pockets."""
        for pocket, view, picture in (
            (Pocket.BACK, View.BACK, self.back),
            (Pocket.BELLY, View.BELLY, self.belly),
        ):
            x, y = POCKETS[pocket].middle
            cover = self.cover[view].astype(np.float32)
            grown, covered = _turned(picture.astype(np.float32), cover, self.turn)
            place = (x + self.aside[0], y + self.aside[1])
            sheet = with_object(sheet, grown, covered, place)
        return sheet


def _turned(picture: Floats, cover: Floats, turn: float) -> tuple[Floats, Floats]:
    """Bring a picture to the sheet's fineness and turn it a little."""
    grow = 0.2 * MM * FINE
    rows, columns = cover.shape
    wide = int(columns * grow) + 8
    tall = int(rows * grow + wide * abs(np.sin(turn))) + 8
    c, s = grow * np.cos(turn), grow * np.sin(turn)
    way = np.array([
        [c, -s, wide / 2 - c * columns / 2 + s * rows / 2],
        [s, c, tall / 2 - s * columns / 2 - c * rows / 2],
    ])  # fmt: skip
    shown = cv2.warpAffine(picture, way, (wide, tall), borderMode=cv2.BORDER_REPLICATE)
    return shown, np.clip(cv2.warpAffine(cover, way, (wide, tall)), 0, 1)


@cache
def _renderer(name: str) -> TracedRenderer:
    found = keeper().renderer(mould(name))
    assert isinstance(found, TracedRenderer)
    return found


def any_baits(rng: np.random.Generator) -> Baits:
    """A shot of whatever the demo's shelf holds, in one of its moulds."""
    name = MOULDS[int(rng.integers(len(MOULDS)))]
    back, belly = rng.choice(BOTTLES, 2, replace=False)
    recipe = two_colours(
        (grams(str(back), float(np.exp(rng.uniform(-3.0, -0.3)))),),
        (grams(str(belly), float(np.exp(rng.uniform(-3.0, -0.3)))),),
    )
    return baits_of(
        name,
        recipe,
        turn=float(np.radians(rng.uniform(-2, 2))),
        aside=(float(rng.uniform(-8, 8)) * MM, float(rng.uniform(-2, 2)) * MM),
    )


def baits_of(name: str, recipe, *, turn: float = 0.0, aside=(0.0, 0.0)) -> Baits:
    """A recipe in one of the demo's moulds, as the renderer shows it."""
    renderer, sides = _renderer(name), optics_of(recipe)
    seen = {
        view: decoded(
            renderer.picture(sides, mould(name), Setting(angle=view.angle, backdrop=Backdrop.GREY))
        )
        for view in (View.BACK, View.BELLY)
    }
    cover = {view: renderer.frame(view.angle).cover for view in seen}
    labs = [_lab_of_middle(seen[view], cover[view]) for view in seen]
    return Baits(
        back=seen[View.BACK],
        belly=seen[View.BELLY],
        cover=cover,
        difference=float(ciede2000(labs[0], labs[1])),
        turn=turn,
        aside=aside,
    )


def _lab_of_middle(picture: Floats, cover: Floats) -> Floats:
    """Colour of the middle: 60 % of the length, 40 % of the width at each place of it."""
    columns = np.flatnonzero(cover.max(axis=0) > 0.5)
    first, last = columns[0], columns[-1]
    reach = (last - first) * 0.2
    taken = []
    for column in range(int(first + reach), int(last - reach) + 1):
        rows = np.flatnonzero(cover[:, column] > 0.5)
        if len(rows) == 0:
            continue
        middle, half = (rows[0] + rows[-1]) / 2, (rows[-1] - rows[0]) / 2 * 0.4
        taken.append(picture[int(np.ceil(middle - half)) : int(middle + half) + 1, column])
    light = np.concatenate(taken).mean(axis=0)
    return xyz_to_lab(light @ RGB_TO_XYZ.T, RGB_TO_XYZ.sum(axis=1))
