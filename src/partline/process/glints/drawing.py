"""A mean picture made into one with single flakes, of the same mean."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError, OutOfRange
from partline.process.glints import kernel
from partline.process.glints.colours import FlakeColours
from partline.process.glints.kernel import Flakes, View
from partline.process.glints.strewing import Strewn
from partline.process.glints.view import Depths
from partline.quantities.estimate import Estimate, Origin

Floats = NDArray[np.floating]

#: Spread of what flakes mirror of surroundings that are not even: standard deviation over the
#: mean, at most 1. Only glitter depends on it, never the mean. [-]
SPARKLE = Estimate(
    value=0.5, low=0.2, high=1.0, origin=Origin.DEFAULT,
    source="how uneven the light of a room or a sky is: a guess",
    narrows="a photo of the bait beside its picture",
)  # fmt: skip


def draw_flakes(
    mean: Floats, strewn: Strewn, colours: FlakeColours, *, sparkle: float = SPARKLE.value
) -> Floats:
    """Turn a mean picture into one with single flakes, of the same mean.

    Parameters
    ----------
    mean : ndarray, shape (rows, columns, channels)
        Light of the plastic with flake as a haze, in linear channels such as XYZ, without gloss
        and without what is beside the bait. [-]
    strewn : Strewn
        Flakes of this view.
    colours : FlakeColours
        Of this recipe, of the same kinds and channels.
    sparkle : float
        Spread of what flakes mirror by luck, 0 to 1; see `SPARKLE`. [-]

    Returns
    -------
    ndarray, shape (rows, columns, channels)
        Each pixel is the mean times what its flakes make of it. [-]

    Raises
    ------
    InputError
        If the picture is not of this view, or the colours are of other flakes.
    OutOfRange
        If the sparkle lies outside 0 to 1.
    """
    rows_columns = strewn.depths.own.shape
    channels = colours.mean.shape[-1]
    if mean.shape != (*rows_columns, channels):
        raise InputError(
            f"A picture of shape {mean.shape} was given; these flakes need {rows_columns} pixels "
            f"of {channels} channels."
        )
    if strewn.cuts != colours.cuts:
        raise InputError("The colours are of other flakes than those that were strewn.")
    if not 0 <= sparkle <= 1:
        raise OutOfRange(
            f"A sparkle of {sparkle:g} was given; it must lie in 0 to 1.",
            low=0.0, high=1.0, field="sparkle",
        )  # fmt: skip
    if not strewn.cuts:
        return mean.copy()
    depths, directions = strewn.depths, colours.edges.size - 1
    falling = -colours.edges[1:-1]
    side = np.array([cut.side for cut in strewn.cuts], dtype=np.int64)
    flakes = Flakes(
        depth=strewn.depth,
        side=side[strewn.kind],
        kind=strewn.kind,
        direction=np.minimum(np.searchsorted(falling, -strewn.mirrored), directions - 1),
        # Mean 1 and standard deviation `sparkle`: many flakes a little dull, few bright.
        factor=1 - sparkle - sparkle * np.log1p(-strewn.luck),
    )
    given = np.ascontiguousarray(mean, dtype=float).reshape(-1, channels)
    drawn = np.empty_like(given)
    kernel.colour(strewn.entries, flakes, _view(depths), colours.tables, given, drawn)
    return drawn.reshape(mean.shape)


def _view(depths: Depths) -> View:
    return View(
        first=depths.first.ravel().astype(np.int64),
        own=depths.own.ravel(),
        other=depths.other.ravel(),
    )


def slab_mean(colours: FlakeColours, depths: Depths) -> Floats:
    """Return the slab's mean picture of a view, for where no better one is at hand.

    Parameters
    ----------
    colours : FlakeColours
        Of the recipe.
    depths : Depths
        The view they were solved for.

    Returns
    -------
    ndarray, shape (rows, columns, channels)
        Each pixel a slab as deep as its line of sight; 0 beside the bait. [-]
    """
    view = _view(depths)
    picture = np.empty((depths.own.size, colours.mean.shape[-1]))
    kernel.look_up(view, colours.tables, colours.mean, picture)
    return picture.reshape(*depths.own.shape, -1)
