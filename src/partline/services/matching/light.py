"""The models of light that a match is looked for and judged with."""

from __future__ import annotations

from dataclasses import replace

from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.composition import compose
from partline.process.optics import side_optics
from partline.process.recipe import Recipe
from partline.process.traced import TracedRenderer
from partline.process.traced_colours import TracedColours
from partline.services.tables import keeper
from partline.studies.colour_matching import Models, slab_models


def models_of(recipe: Recipe, mould: Mould, shelf: Shelf) -> Models:
    """Return slabs to look with, and the best renderer at hand to judge with.

    Parameters
    ----------
    recipe, mould, shelf
        What is poured, into what, from which supplies.
    """
    sides = [side_optics(compose(side, shelf)) for side in recipe.sides]
    slabs = slab_models(mould.widest, sides)
    renderer = keeper().renderer(mould)
    if not isinstance(renderer, TracedRenderer):
        return slabs
    traced = TracedColours(renderer=renderer, station=mould.widest)
    return replace(slabs, polish=traced, figures=traced)
