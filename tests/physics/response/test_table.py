"""Tables of a body's response, and what is looked up in them."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.physics.response import Body, Grid
from partline.physics.response.direct import Direct
from partline.physics.response.grid import tabled_anisotropy
from partline.physics.response.interpolation import (
    edges,
    fractions_of,
    meeting,
    sight_weights,
    turned_weights,
)
from partline.physics.response.making import ANGLES
from partline.physics.response.sections import (
    ReadyKinds,
    SectionedResponse,
    SectionKind,
    kind_at,
    mixtures_of,
)
from partline.physics.response.table import ResponseTable, spline_matrix
from partline.records.ready_tables import KINDS
from tests.physics.response.bodies import INDEX, QUICK, quick_table, scattered, spindle

media = st.tuples(st.floats(0, 120), st.floats(0, 120))
dyes = st.tuples(st.floats(0, 30), st.floats(0, 30))


@given(st.lists(st.floats(-2, 2), min_size=4, max_size=4), st.integers(5, 12))
def test_the_spline_gives_a_cubic_back_exactly(parts, count):
    place = np.arange(count) + 0.0
    values = np.polynomial.polynomial.polyval(place, parts)
    c = spline_matrix(count) @ values
    middle = np.arange(count - 1)
    half = (c[middle] + 23 * c[middle + 1] + 23 * c[middle + 2] + c[middle + 3]) / 48
    wanted = np.polynomial.polynomial.polyval(middle + 0.5, parts)
    assert half == pytest.approx(wanted, abs=1e-8 * (1 + np.abs(values).max()))


@settings(deadline=None)  # the first example makes the table
@given(media, dyes)
def test_light_lies_between_none_and_all(scattering, absorption):
    light = quick_table().light(np.array([scattering]), np.array([absorption]))
    assert np.all(light >= 0)
    # A quick table strays by its error; a cube root of light by that much.
    assert np.all(light.sum(axis=-1) <= 1 + 20 * quick_table().error)


def test_a_look_up_agrees_with_tracing_at_the_same_media():
    table, body = quick_table(), spindle()
    reduced, absorption = np.array([8.0, 0.6]), np.array([0.3, 1.2])
    found = table.light(reduced[None], absorption[None])[0]
    column = 40
    view, place, half, fraction = table.places.columns[column]
    straight = scattered(
        body, table.places.starts[view, place, half, fraction],
        float(table.places.angles[view]), reduced, absorption, paths=6000,
    )  # fmt: skip
    roots = np.cbrt(found[column] + 0.002), np.cbrt(straight + 0.002)
    assert roots[0] == pytest.approx(roots[1], abs=5 * table.error)


def test_the_error_falls_with_the_paths():
    body = spindle()
    places = QUICK.places(body)
    first, second = (QUICK.one_pass(body, places, n) for n in (0, 1))
    assert first is not None
    assert second is not None
    rough = QUICK.table(body, places, first)
    fine = QUICK.table(body, places, first.joined(second))
    assert fine.paths == 3 * rough.paths
    # Three times the paths: 1/√3 of the error if it is all chance.
    assert 0.4 < fine.error / rough.error < 0.75


def test_a_body_alike_above_and_below_looks_alike_with_its_media_exchanged():
    table = quick_table()
    s, a = np.array([[9.0, 0.4]]), np.array([[0.2, 1.5]])
    one, other = table.light(s, a)[0], table.light(s[:, ::-1], a[:, ::-1])[0]
    view, along, half, fraction = table.places.columns.T
    twin = table.places.number[len(ANGLES) - 1 - view, along, 1 - half, fraction]
    assert np.cbrt(one + 0.002) == pytest.approx(np.cbrt(other[twin] + 0.002), abs=0.02)


def test_some_lines_of_sight_are_as_all_of_them():
    table = quick_table()
    s, a = np.array([[3.0, 1.0], [0.1, 20.0]]), np.array([[0.2, 0.4], [2.0, 0.0]])
    some = np.array([3, 17, 90])
    assert table.light(s, a, some) == pytest.approx(table.light(s, a)[:, some], abs=1e-6)


@settings(deadline=None)
@given(st.floats(0, np.pi), st.floats(0.01, 0.99))
def test_weights_of_any_view_sum_to_one(angle, position):
    body, table = spindle(), quick_table()
    edge = edges(body, np.array([position]), angle)
    height = edge[:, 0] + np.array([0.3]) * (edge[:, 2] - edge[:, 0])
    starts, cosine = meeting(body, np.array([position]), height, angle)
    assert 0 < cosine[0] <= 1
    half = np.array([0 if starts[0, 2] >= 0 else 1])
    weights = turned_weights(body, table.places, angle, INDEX, starts, half)
    assert weights.sum() == pytest.approx(1.0, abs=1e-5)


def test_weights_at_a_traced_place_are_that_place_alone():
    places = quick_table().places
    view, place, half, fraction = places.columns[77]
    weights = sight_weights(
        places, view, places.positions[[place]], places.fractions[[fraction]], np.array([half])
    ).toarray()[0]
    assert weights[77] == pytest.approx(1.0, abs=1e-6)
    assert np.abs(np.delete(weights, 77)).max() < 1e-6


def test_only_the_half_in_sight_has_a_share_from_straight_above():
    heights, edge = np.array([-0.5, 0.0, 0.5]), np.tile([-1.0, -1.0, 1.0], (3, 1))
    above, below = fractions_of(heights, edge, 0.0)
    assert above == pytest.approx([0.5, 1.0, 0.5])
    assert np.all(below < 0)


@given(st.floats(0, 1e4), st.floats(0, 1e4))
def test_media_beyond_the_grid_are_held_at_its_ends(scattering, absorption):
    grid = Grid()
    place = grid.coordinates([[scattering, 0.0]], [[absorption, 0.0]])[0]
    assert 0 <= place[0] <= grid.scattering - 1 + 1e-9
    assert 0 <= place[2] <= grid.absorption - 1 + 1e-9


def test_hazes_are_forward_and_pigments_less_so():
    assert tabled_anisotropy(0.0) == pytest.approx(0.85)
    assert tabled_anisotropy(100.0) == pytest.approx(0.68, abs=1e-3)


def test_unscattered_light_goes_straight_through_the_middle():
    # Beer's law along the diameter, Fresnel at the far wall: exact.
    body = spindle()
    wide = float(np.argmax(body.half_width)) / 40
    starts, _ = meeting(body, np.array([wide]), np.array([0.0]), 0.0)
    seen = Direct.of(body, starts, 0.0, INDEX).light(np.array([[0.7, 0.2]]), np.ones(1))
    kept = ((INDEX - 1) / (INDEX + 1)) ** 2
    first = (1 - kept) * np.exp(-0.9)
    assert seen[0, 0] == pytest.approx(first * (1 + kept * np.exp(-0.9)), rel=2e-3)


@cache
def quick_section(kind: SectionKind) -> ResponseTable:
    """The table of an endless section, made once."""
    places = QUICK.places(kind.body)
    traced = QUICK.one_pass(kind.body, places, 0)
    assert traced is not None
    return QUICK.table(kind.body, places, traced)


def put_together(body: Body, kinds: ReadyKinds) -> SectionedResponse:
    """A body of quick sections."""
    places = QUICK.places(body)
    mixtures = mixtures_of(body, places, kinds)
    tables = {
        kind: quick_section(kind)
        for kind in {kind.upright for mixture in mixtures for kind in mixture}
    }
    return SectionedResponse(body=body, places=places, mixtures=mixtures, tables=tables)


def test_ready_sections_of_a_rod_are_the_rod():
    body, kind = spindle(), SectionKind(above=1.0, below=1.0)
    whole = put_together(body, ReadyKinds(domes=(1.0,), boxes=()))
    table = quick_section(kind)
    s, a = np.array([[4.0, 1.0]]), np.array([[0.3, 0.1]])
    column = 12
    view, place, half, fraction = whole.places.columns[column]
    size = whole._sizes[place]
    own = table.places.number[view, 0, half, fraction]
    assert whole.light(s, a)[0, column] == pytest.approx(
        table.light(s * size, a * size)[0, own], abs=1e-4
    )


def test_a_section_turned_over_is_the_other_one_with_its_media_exchanged():
    kinds = ReadyKinds(domes=(0.5, 1.0), boxes=())
    low, high = (
        put_together(Body.straight(1.0, *heights), kinds) for heights in ((0.5, 1.0), (1.0, 0.5))
    )
    s, a = np.array([[9.0, 0.4]]), np.array([[0.2, 1.5]])
    one, other = low.light(s, a)[0], high.light(s[:, ::-1], a[:, ::-1])[0]
    view, along, half, fraction = low.places.columns.T
    twin = high.places.number[len(ANGLES) - 1 - view, along, 1 - half, fraction]
    assert one == pytest.approx(other[twin], abs=1e-5)


def test_the_kind_of_a_section_is_read_off_its_body():
    body = SectionKind(above=0.4, below=1.1, boxed=1.0).body
    kind = kind_at(body, 0.4)
    assert (kind.above, kind.below, kind.boxed) == pytest.approx((0.4, 1.1, 1.0))


@given(st.floats(0, 5), st.floats(0, 5), st.floats(0, 1))
def test_kinds_about_a_shape_weigh_one_and_each_has_a_table(above, below, boxed):
    kinds = ReadyKinds(domes=(0.5, 0.8, 1.4), boxes=(0.4, 1.0))
    mixture = kinds.mixture(SectionKind(above=above, below=below, boxed=boxed))
    assert sum(mixture.values()) == pytest.approx(1.0, abs=1e-4)
    assert {kind.upright for kind in mixture} <= set(kinds.traced)


@pytest.mark.parametrize(("index", "step"), [(1.494, 0.813), (1.12, 0.463)])
def test_half_ellipses_stand_close_where_the_other_half_begins_to_show(index, step):
    # Level light through a surface of radius r meets n·r/(n − 1) behind it; r = h²/w at the flank.
    assert np.sqrt(2 * (1 - 1 / index)) == pytest.approx(step, abs=1e-3)
    domes = np.array(KINDS[index].domes)
    upper = np.searchsorted(domes, step)
    assert domes[upper] - domes[upper - 1] <= 0.1
