"""Fewer and more drops of one supply, side by side."""

import numpy as np
import pytest

from partline.errors import InputError
from partline.services.more_drops import fewer_and_more, mean_difference
from partline.services.scene import Scene
from tests.process.shed import demo, mould, shelf


def strip(half="back", supply="Peat"):
    return fewer_and_more(demo(1), mould(), shelf(), Scene(), half=half, supply=supply)


def test_steps_go_up_and_hold_the_recipe_as_it_stands():
    steps = strip()
    assert [each.amount.split()[0] for each in steps] == ["1", "2", "3", "4", "5", "7"]
    assert [each.is_now for each in steps] == [False, False, True, False, False, False]
    assert steps[2].difference == 0


def test_the_further_from_now_the_more_it_differs():
    differences = [each.difference for each in strip()]
    assert differences[0] > differences[1] > 0
    assert differences[5] > differences[4] > differences[3] > 0


def test_grams_go_by_shares():
    amounts = [each.amount for each in strip(supply="penny")]
    assert len(amounts) == 6
    assert all(amount.endswith("g") for amount in amounts)


@pytest.mark.parametrize(("half", "supply"), [("belly", "Peat"), ("back", "Nought"), ("", "")])
def test_what_is_not_in_the_recipe_is_refused(half, supply):
    with pytest.raises(InputError, match="recipe holds"):
        strip(half, supply)


def test_the_mean_is_taken_where_two_pictures_differ():
    one = np.full((4, 4, 3), 0.5)
    other = one.copy()
    other[:2] += 0.1
    assert mean_difference(one, one) == 0
    assert mean_difference(one, other) > 5
