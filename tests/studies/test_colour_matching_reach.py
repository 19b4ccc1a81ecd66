"""A look out of reach: what is told as the nearest is as near as a blind search comes."""

from __future__ import annotations

import numpy as np
import pytest

from partline.process.recipe import Half
from partline.studies.colour_matching import Bait, Limits, WantedLook
from partline.studies.colour_matching.continuous import score
from partline.studies.colour_matching.problem import problem_of
from partline.studies.colour_matching.search import search
from tests.process.shed import demo, mould, shelf


@pytest.mark.parametrize(
    ("without", "cup", "back", "belly"),
    [
        ("Peat", 0.10, (36.4, 18.6, 54.4), (88.4, -12.4, 51.4)),
        ("Peat", 0.16, (36.4, 18.6, 54.4), (88.4, -12.4, 51.4)),
    ],
)
def test_no_blind_search_comes_much_nearer_to_a_look_out_of_reach(without, cup, back, belly):
    bottles = tuple(each for each in shelf().colourants if each.name != without)
    cups = {Half.BACK: cup, Half.BELLY: cup}
    asked = Bait(recipe=demo(3), mould=mould(), shelf=shelf(), cups=cups)
    wanted = {Half.BACK: WantedLook(lab=back), Half.BELLY: WantedLook(lab=belly)}
    problem = problem_of(
        demo(3), shelf(), bottles, wanted=wanted, cups=cups, limits=Limits(), models=asked.light()
    )
    rng = np.random.default_rng(8)
    shape = (8_000, *problem.drop.shape)
    drops = np.round(np.exp(rng.uniform(-1, 4.2, shape))) * (rng.random(shape) < 0.75)
    drops = drops[problem.room(drops).min(axis=-1) >= 1]
    blind = score(problem.difference(problem.lab(drops, problem.models.polish))).min()
    # One just perceptible step: the search looks at some hundreds, chosen.
    assert score(search(problem).off[0]) <= blind + 0.8
