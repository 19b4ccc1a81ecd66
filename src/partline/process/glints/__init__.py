"""Single flakes in a picture: strewn once for a mould and a seed, coloured anew for each recipe.

`strew` lays flakes into the plastic that a view looks into and finds which of them shows in which
pixel: geometry, whatever the colours. `flake_colours` solves how bright a flake looks at each
depth of a recipe, and `draw_flakes` brings both into a mean picture, however that was made. The
law is `partline.physics.flake_sight`: it keeps the mean picture's colour.
"""

from partline.process.glints.colours import FlakeColours, flake_colours
from partline.process.glints.cut import Cut, FlakeKind, kinds_of
from partline.process.glints.drawing import SPARKLE, draw_flakes, slab_mean
from partline.process.glints.strewing import Strewn, expected_flakes, singled_out, strew
from partline.process.glints.view import Depths, bait_depths, body_depths, flat_depths

__all__ = [
    "SPARKLE",
    "Cut",
    "Depths",
    "FlakeColours",
    "FlakeKind",
    "Strewn",
    "bait_depths",
    "body_depths",
    "draw_flakes",
    "expected_flakes",
    "flake_colours",
    "flat_depths",
    "kinds_of",
    "singled_out",
    "slab_mean",
    "strew",
]
