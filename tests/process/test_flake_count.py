"""How many flakes there are, show, and get through the gate."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.materials.supply import Flake, FlakeShape
from partline.process.flake_count import (
    BAR_RATIO,
    SEEN,
    count_flakes,
    face_of,
    flakes_in_side,
    gate_notes,
    seen_depth,
)
from partline.process.optics import side_optics
from partline.process.recipe import Half
from partline.quantities.estimate import Origin
from tests.process.shed import drops, grams, mould, plastic_of, shelf


def flake(**changes) -> Flake:
    """Penny, 0.4 mm of 25 µm film, with changes."""
    penny = shelf().find("Penny")
    assert isinstance(penny, Flake)
    return replace(penny, size=0.4e-3, thickness=25e-6, **changes)


def test_flakes_of_a_known_recipe_are_counted():
    """Worked by hand: a hexagon of 0.4 mm has 0.13856 mm² and, of 25 µm film, 3.464e-12 m³."""
    penny = flake()
    found = count_flakes(penny, 0.0025, 1020.0, 1e-3)
    mass = 3.4641e-12 * penny.density.value
    assert found.flake_mass.value == pytest.approx(mass, rel=1e-4)
    assert found.number.value == pytest.approx(0.0025 * 1020.0 / mass, rel=1e-4)
    assert found.face.value == pytest.approx(0.138564e-6, rel=1e-4)
    # Flakes a square centimetre, 1 mm deep: those of a tenth of a cubic centimetre, few hidden.
    per_area = found.number.value * 1e-3
    assert 0.95 * per_area < found.shown.value < per_area


def test_every_figure_has_a_range():
    found = count_flakes(flake(shape=FlakeShape.BAR), 0.005, 1020.0, 1e-3)
    told_of = (found.flake_mass, found.face, found.number, found.extinction)
    for each in (*told_of, found.shown, found.covered):
        assert each.low < each.value < each.high
        assert each.origin is Origin.COMPUTED
    assert found.face.narrows == BAR_RATIO.narrows


@settings(deadline=None)
@given(
    shape=st.sampled_from(FlakeShape),
    share=st.floats(1e-5, 0.02),
    size=st.floats(0.1e-3, 3e-3),
    film=st.floats(10e-6, 60e-6),
)
def test_counted_flakes_weigh_what_went_in(shape, share, size, film):
    found = count_flakes(
        replace(flake(), shape=shape, size=size, thickness=film), share, 1e3, 1e-3
    )
    assert found.number.value * found.flake_mass.value == pytest.approx(share * 1e3)


@pytest.mark.parametrize("shape", FlakeShape)
def test_smaller_flakes_of_a_shape_are_more_and_shade_about_as_much(shape):
    large, small = (
        count_flakes(replace(flake(shape=shape), size=size), 0.0025, 1020.0, 2e-3)
        for size in (1e-3, 0.5e-3)
    )
    assert small.number.value == pytest.approx(4 * large.number.value)
    assert small.shown.value > large.shown.value
    assert small.extinction.value == pytest.approx(large.extinction.value, rel=0.3)


def test_a_hexagon_a_square_and_a_bar_have_their_own_faces():
    hexagon, square, bar = (face_of(flake(shape=shape)).area for shape in FlakeShape)
    assert bar < hexagon < square
    assert square == pytest.approx(0.16e-6)


def test_no_flake_shows_nothing():
    found = count_flakes(flake(), 0.0, 1020.0, 1e-3)
    assert found.shown.value == found.number.value == 0.0


@pytest.mark.parametrize(("share", "depth"), [(-0.1, 1e-3), (1.5, 1e-3), (0.1, -1.0), (np.nan, 0)])
def test_impossible_flake_is_refused(share, depth):
    with pytest.raises(OutOfRange, match="share"):
        count_flakes(flake(), share, 1020.0, depth)


@pytest.mark.parametrize(
    ("gate", "says"),
    [(None, ""), (3e-3, ""), (1.25e-3, ""), (1.0e-3, "may clog"), (0.4e-3, "hardly go through")],
)
def test_a_flake_too_large_for_the_gate_is_said_so(gate, says):
    notes = gate_notes(flake(), replace(mould(), gate=gate))
    assert bool(notes) is bool(says)
    for note in notes:
        assert says in note.text
        assert note.about == "Penny"
        assert note.origin is Origin.PRACTICE


def told(back, load=1.0, thickness=6e-3):
    """What is told of copper flake in a back."""
    plastic = plastic_of(*back, grams("Penny", load))
    side = side_optics(plastic)
    (found,) = flakes_in_side(Half.BACK, plastic, side, thickness, mould())
    return found


def test_one_sees_deep_into_a_clear_half_and_hardly_into_a_white_one():
    clear, white = told((drops("Rind", 1),)), told((drops("Chalk", 8),))
    assert clear.depth.value == 6e-3  # to the line, and no deeper
    assert white.depth.value < 1e-3
    assert white.depth.low < white.depth.value < white.depth.high
    assert white.count.shown.value < 0.3 * clear.count.shown.value
    assert clear.count.number.value == pytest.approx(white.count.number.value, rel=0.01)


def test_the_doubt_of_how_deep_one_sees_is_in_the_flakes_that_show():
    white = told((drops("Chalk", 8),))
    shown, number = white.count.shown, white.count.number
    assert shown.high / shown.low > 1.5 * number.high / number.low
    assert shown.narrows == SEEN.narrows


def test_more_flake_covers_more_but_never_all():
    covered = [told((drops("Rind", 1),), load).count.covered.value for load in (0, 0.25, 1, 4, 16)]
    assert covered[0] == 0
    assert covered == sorted(covered)
    assert covered[-1] < 1


def test_a_side_tells_its_flakes_by_name_and_warns_of_the_gate():
    plastic = plastic_of(grams("Penny", 0.5), grams("Ink", 0.5), drops("Peat", 2))
    narrow = replace(mould(), gate=0.5e-3)
    found = flakes_in_side(Half.BACK, plastic, side_optics(plastic), 5e-3, narrow)
    assert [each.name for each in found] == ["Penny", "Ink"]
    assert all(each.half is Half.BACK and each.notes for each in found)
    bare = plastic_of(drops("Peat", 2))
    assert flakes_in_side(Half.BACK, bare, side_optics(bare), 5e-3, narrow) == ()


def test_a_half_of_impossible_thickness_is_refused():
    plastic = plastic_of(drops("Peat", 2))
    with pytest.raises(OutOfRange, match="half of"):
        seen_depth(side_optics(plastic), plastic, -1.0)
