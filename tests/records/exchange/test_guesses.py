"""What nobody has measured yet is listed as a guess, there and back, until it is measured."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partline.errors import Invalid
from partline.quantities.estimate import Origin
from partline.records.exchange import (
    read_bench,
    read_mould,
    read_recipe,
    read_shelf,
    write_bench,
    write_mould,
    write_recipe,
    write_shelf,
)
from tests.process.shed import SHED, bench, demo, mould, shelf


def test_guesses_and_the_thermometers_scale_come_back_as_written():
    desk = replace(bench(), guesses=("vessel.capacity", "room"), reads_fahrenheit=True)
    assert read_bench(write_bench(desk)) == desk
    body = replace(mould(), guesses=("cavities",))
    assert read_mould(write_mould(body)) == body
    stock = shelf()
    grades = tuple(replace(each, guesses=("band", "ceiling")) for each in stock.grades)
    assert read_shelf(write_shelf(replace(stock, grades=grades))).grades == grades


def test_a_loadings_origin_comes_back_as_written():
    recipe = demo(1)
    back, belly = recipe.sides
    loads = tuple(replace(each, origin=Origin.COMPUTED) for each in back.loadings)
    changed = replace(recipe, sides=(replace(back, loadings=loads), belly))
    assert read_recipe(write_recipe(changed)) == changed


@pytest.mark.parametrize("guess", ["vessel.size", "vessel.capacity.more", "x", ""])
def test_a_guess_about_nothing_is_refused(guess):
    text = (SHED / "bench.toml").read_text("utf-8")
    with pytest.raises(Invalid, match="is not there"):
        read_bench(f'guesses = ["{guess}"]\n{text}')


@pytest.mark.parametrize("given", ["true", '"room"', "[1]", "[[]]"])
def test_a_list_of_guesses_that_is_none_is_refused(given):
    text = (SHED / "bench.toml").read_text("utf-8")
    with pytest.raises(Invalid) as refusal:
        read_bench(f"guesses = {given}\n{text}")
    assert {each.field for each in refusal.value.problems} == {"guesses"}
