"""Single flakes in a picture: its mean is the solve, its look that of flake."""

from dataclasses import replace
from functools import cache, partial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.materials.supply import Flake, FlakeShape
from partline.numerics.quadrature import gauss
from partline.physics.colorimetry import reflectance_to_xyz, xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.physics.flake import covered_share
from partline.physics.scattering import flake_coefficients
from partline.process import glints
from partline.process.appearance import media_of, solver_for
from partline.process.bait_body import bait_body
from partline.process.card import GREY
from partline.process.composition import Part, compose
from partline.process.glints import (
    Cut,
    Depths,
    FlakeColours,
    FlakeKind,
    bait_depths,
    body_depths,
    draw_flakes,
    expected_flakes,
    flake_colours,
    flat_depths,
    kinds_of,
    singled_out,
    slab_mean,
    strew,
)
from partline.process.glints.colours import NODES, WITHIN
from partline.process.glints.kernel import Entries, Flakes, View, colour
from partline.process.optics import SideOptics, side_optics
from partline.process.recipe import Loading, Recipe
from partline.process.sight import from_back, from_belly, from_side
from tests.process.shed import drops, grams, mould, plastic_of, shelf, two_colours

#: Copper flake over and in three plastics: a dark dye, a yellow one, an opaque white.
BACKS: dict[str, tuple[Loading, ...]] = {
    "dark": (drops("Peat", 4),),
    "yellow": (drops("Rind", 3),),
    "white": (drops("Chalk", 8),),
}
LOADS = (0.25, 1.0, 4.0)
#: A flat patch of two halves, 2 mm each.
PATCH = flat_depths((40, 40), 2e-3, 2e-3, 0.2e-3)


def poured(recipe: Recipe) -> tuple[list[SideOptics], list[FlakeKind]]:
    """Both sides' optics, and the flakes in them."""
    plastics = [compose(side, shelf()) for side in recipe.sides]
    kinds = [kind for place, plastic in enumerate(plastics) for kind in kinds_of(plastic, place)]
    return [side_optics(plastic) for plastic in plastics], kinds


@cache
def recipe(name: str, load: float) -> Recipe:
    """Copper flake in the back, and a little green in the belly."""
    back = (*BACKS[name], grams("Penny", load))
    return two_colours(back, (drops("Rind", 1), grams("Moss", 0.3)))


def cuts_of(kinds: list[FlakeKind]) -> tuple[Cut, ...]:
    return tuple(kind.cut for kind in kinds)


def solved(sides: list[SideOptics], own: float, other: float) -> np.ndarray:
    """XYZ of the slab, by the solver that knows nothing of single flakes."""
    solver = solver_for(sides, NODES)
    seen = solver.reflectance(media_of(solver, sides), [[0, 1]], [[own, other]], GREY)
    return np.asarray(reflectance_to_xyz(seen.normal)[0])


def patch_means(
    colours: FlakeColours, kinds: list[FlakeKind], mean: np.ndarray, seeds: range
) -> np.ndarray:
    """Mean XYZ of the patch for each seed."""
    flat = np.broadcast_to(mean, (*PATCH.own.shape, 3))
    lay = partial(strew.__wrapped__, PATCH, cuts_of(kinds))
    return np.array([draw_flakes(flat, lay(seed), colours).mean(axis=(0, 1)) for seed in seeds])


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize("name", BACKS)
def test_the_pictures_mean_is_the_solve_within_its_standard_error(name, load):
    sides, kinds = poured(recipe(name, load))
    mean = solved(sides, 2e-3, 2e-3)
    colours = flake_colours(sides, kinds, [PATCH], backing=GREY, back=0.0)
    # The table's own mean at that depth is the solve itself.
    np.testing.assert_allclose(colours.mean[-1], mean, rtol=1e-9)
    found = patch_means(colours, kinds, mean, range(40))
    error = found.std(axis=0, ddof=1) / 40**0.5
    assert np.all(np.abs(found.mean(axis=0) - mean) < 4 * error)  # 1 in 16,000 by chance
    assert np.all(error / mean < 0.015)  # or the line above would say nothing
    drift = ciede2000(xyz_to_lab(found.mean(axis=0)), xyz_to_lab(mean))
    # ΔE00 of a grey that is one such error too light or dark.
    assert drift < 4 * ciede2000(xyz_to_lab(mean * (1 + error / mean)), xyz_to_lab(mean))


@pytest.mark.parametrize(("own", "other"), [(2e-3, 2e-3), (1.3e-3, 0.7e-3)])
def test_the_mean_over_all_places_of_a_flake_is_exactly_one(own, other):
    """No chance here: the kernel's light, summed over depths and directions by quadrature."""
    sides, kinds = poured(recipe("dark", 1.0))
    colours = flake_colours(sides, kinds, [PATCH])
    nodes, weights = gauss(8)
    # Between the table's depths the light is a straight line: one rule for each piece.
    ends = np.linspace(0, 1, WITHIN) ** 2
    share = (ends[:-1, None] + np.diff(ends)[:, None] * nodes).ravel()
    width = (np.diff(ends)[:, None] * weights).ravel()
    total, above = np.zeros(3), 0.0
    for place, (kind, thick) in enumerate(zip(kinds, (own, other), strict=True)):
        seen = _met(colours, own, other, place, share * thick)
        ways = np.einsum("d,dzc->zc", -np.diff(colours.edges) / 2, seen)
        chance = kind.extinction * thick * np.exp(-above - kind.extinction * share * thick)
        total += (chance * width) @ ways
        above += kind.extinction * thick
    total += np.exp(-above) * _missed(colours, own, other)
    np.testing.assert_allclose(total, 1.0, rtol=1e-9)


def _met(
    colours: FlakeColours, own: float, other: float, kind: int, depth: np.ndarray
) -> np.ndarray:
    """Light over its mean with a flake at each depth, (directions, depths, channels)."""
    ways = colours.edges.size - 1
    count = ways * depth.size
    entries = Entries(
        np.arange(count, dtype=np.int32),
        np.arange(count, dtype=np.int32),
        np.ones(count),
        np.zeros(count),
    )
    flakes = Flakes(
        depth=np.tile(depth, ways),
        side=np.full(count, kind),
        kind=np.full(count, kind),
        direction=np.repeat(np.arange(ways), depth.size),
        factor=np.ones(count),
    )
    view = View(np.zeros(count, np.int64), np.full(count, own), np.full(count, other))
    out = np.empty((count, 3))
    colour(entries, flakes, view, colours.tables, np.ones((count, 3)), out)
    return out.reshape(ways, depth.size, 3)


def _missed(colours: FlakeColours, own: float, other: float) -> np.ndarray:
    """Light over its mean of a line of sight that meets no flake, (channels,)."""
    few, none, some = np.zeros(0, np.int32), np.zeros(0, np.int64), np.zeros(0)
    entries = Entries(few, few, some, np.ones(1))
    flakes = Flakes(some, none, none, none, some)
    view = View(np.zeros(1, np.int64), np.full(1, own), np.full(1, other))
    out = np.empty((1, 3))
    colour(entries, flakes, view, colours.tables, np.ones((1, 3)), out)
    return out[0]


@pytest.mark.parametrize("name", BACKS)
def test_painting_flakes_on_top_would_not_keep_the_mean(name, monkeypatch):
    """The trap the law avoids: what lies between flakes must make up for what they take."""
    sides, kinds = poured(recipe(name, 1.0))
    mean = solved(sides, 2e-3, 2e-3)
    colours = flake_colours(sides, kinds, [PATCH], backing=GREY, back=0.0)
    course = colours.tables.course.copy()
    course[:, :, :, :2] = 0.0  # no compensation
    painted = replace(colours, tables=colours.tables._replace(course=course))
    found = patch_means(painted, kinds, mean, range(20))
    error = found.std(axis=0, ddof=1) / 20**0.5
    assert np.all(np.abs(found.mean(axis=0) - mean) > 8 * error)


@pytest.mark.parametrize("look", [from_back, from_belly, from_side])
def test_the_mean_of_a_whole_bait_is_kept_from_every_side(look):
    sides, kinds = poured(recipe("dark", 1.0))
    depths = bait_depths(mould(), look, 1.494, 0.5e-3)
    colours = flake_colours(sides, kinds, [depths])
    mean = slab_mean(colours, depths)
    lay = partial(strew.__wrapped__, depths, cuts_of(kinds))
    drawn = [draw_flakes(mean, lay(seed), colours).sum(axis=(0, 1)) for seed in range(24)]
    found = np.array(drawn) / mean.sum(axis=(0, 1))
    error = found.std(axis=0, ddof=1) / 24**0.5
    assert np.all(np.abs(found.mean(axis=0) - 1) < 4 * error)
    assert np.all(error < 0.003)


def test_the_mean_of_a_bait_of_one_plastic_is_kept():
    plastic = plastic_of(drops("Peat", 2), grams("Penny", 0.5), grams("Ink", 0.5))
    sides, kinds = [side_optics(plastic)], list(kinds_of(plastic, 0))
    depths = bait_depths(mould(), from_side, 1.494, 0.5e-3).as_one()
    colours = flake_colours(sides, kinds, [depths])
    mean = slab_mean(colours, depths)
    lay = partial(strew.__wrapped__, depths, cuts_of(kinds))
    drawn = [draw_flakes(mean, lay(seed), colours).sum(axis=(0, 1)) for seed in range(24)]
    found = np.array(drawn) / mean.sum(axis=(0, 1))
    error = found.std(axis=0, ddof=1) / 24**0.5
    assert np.all(np.abs(found.mean(axis=0) - 1) < 4 * error)
    assert np.all(error < 0.005)


def test_light_from_behind_lights_the_flakes_from_behind():
    """In clear plastic a flake that mirrors what lies behind is as bright as that."""
    plastic = plastic_of(grams("Penny", 0.05))
    patch = flat_depths((2, 2), 2e-3, 0.0, 0.2e-3)
    kinds = list(kinds_of(plastic, 0))
    looks = [
        flake_colours([side_optics(plastic)], kinds, [patch], back=back) for back in (0.0, 1.0)
    ]
    behind = [(look.tables.lit[-1, 0, 0, -1, 0] * look.mean[-1])[1] for look in looks]
    assert behind[1] > 3 * behind[0]


def test_one_solve_serves_all_views():
    sides, kinds = poured(recipe("dark", 1.0))
    views = [
        bait_depths(mould(), look, 1.494, 1e-3) for look in (from_back, from_belly, from_side)
    ]
    colours = flake_colours(sides, kinds, views)
    for depths in views:
        alone = flake_colours(sides, kinds, [depths])
        # Looked up between other depths: a few per cent of a slab that serves as a stand-in.
        together = slab_mean(colours, depths).sum(axis=(0, 1))
        assert together == pytest.approx(slab_mean(alone, depths).sum(axis=(0, 1)), rel=0.05)


def test_the_mean_is_kept_for_any_picture_and_any_channels():
    """A better renderer's picture keeps its own mean: only the pattern comes from the slab."""
    sides, kinds = poured(recipe("yellow", 1.0))
    one = np.ones((31, 1)) / 31
    colours = flake_colours(sides, kinds, [PATCH], weights=one, back=0.1, outside=1.33)
    mean = np.full((*PATCH.own.shape, 1), 0.37)
    lay = partial(strew.__wrapped__, PATCH, cuts_of(kinds))
    found = np.array([draw_flakes(mean, lay(seed), colours).mean() for seed in range(40)])
    assert found.mean() == pytest.approx(0.37, abs=4 * found.std(ddof=1) / 40**0.5)


def test_what_is_drawn_is_light_and_glitter_does_not_change_the_mean():
    sides, kinds = poured(recipe("dark", 1.0))
    colours = flake_colours(sides, kinds, [PATCH])
    mean = np.broadcast_to(colours.mean[-1], (*PATCH.own.shape, 3))
    dull, bright = (
        np.array([
            draw_flakes(mean, strew.__wrapped__(PATCH, cuts_of(kinds), seed), colours, sparkle=s)
            for seed in range(20)
        ])
        for s in (0.0, 1.0)
    )  # fmt: skip
    assert dull.min() > 0
    assert bright.min() > 0
    assert np.quantile(bright, 0.999) > 1.1 * np.quantile(dull, 0.999)
    apart = (bright - dull).mean(axis=(1, 2))
    assert np.all(np.abs(apart.mean(axis=0)) < 4 * apart.std(axis=0, ddof=1) / 20**0.5)


def test_the_same_seed_is_the_same_picture_and_another_is_not():
    sides, kinds = poured(recipe("dark", 1.0))
    colours = flake_colours(sides, kinds, [PATCH])
    mean = np.broadcast_to(colours.mean[-1], (*PATCH.own.shape, 3))
    first, again, other = (
        draw_flakes(mean, strew.__wrapped__(PATCH, cuts_of(kinds), seed), colours)
        for seed in (7, 7, 8)
    )
    np.testing.assert_array_equal(first, again)
    assert np.abs(first - other).max() > 0.01


def test_flakes_stay_where_they_are_when_only_the_colour_changes():
    (_, dark), (_, yellow) = poured(recipe("dark", 1.0)), poured(recipe("yellow", 1.0))
    assert strew(PATCH, cuts_of(dark), 7) is strew(PATCH, cuts_of(yellow), 7)


@settings(deadline=None, max_examples=20)
@given(
    shape=st.sampled_from(FlakeShape),
    size=st.floats(0.2e-3, 2e-3),
    less=st.floats(0, 300),
    more=st.floats(0, 300),
    seed=st.integers(0, 1000),
)
def test_with_more_flake_the_first_ones_stay_and_more_is_covered(shape, size, less, more, seed):
    def laid(extinction: float) -> glints.Strewn:
        cut = Cut(side=0, shape=shape, size=size, number=extinction / size**2)
        return strew.__wrapped__(PATCH, (cut,), seed)

    few, many = laid(less), laid(less + more)
    assert set(few.depth) <= set(many.depth)
    assert many.covered >= few.covered - 1e-12
    assert np.all(many.entries.bare <= few.entries.bare + 1e-12)


def test_without_flake_nothing_changes():
    sides, kinds = poured(recipe("dark", 0.0))
    assert [kind.name for kind in kinds] == ["Moss"]
    mean = np.random.default_rng(0).random((*PATCH.own.shape, 3))
    colours = flake_colours(sides, [], [PATCH])
    np.testing.assert_array_equal(draw_flakes(mean, strew(PATCH, (), 1), colours), mean)
    none = replace(kinds[0], cut=replace(kinds[0].cut, number=0.0), extinction=0.0)
    colours = flake_colours(sides, [none], [PATCH])
    drawn = draw_flakes(mean, strew(PATCH, (none.cut,), 1), colours)
    np.testing.assert_allclose(drawn, mean, rtol=1e-12)


@pytest.mark.parametrize("shape", FlakeShape)
def test_covered_area_follows_beers_law(shape):
    cut = Cut(side=0, shape=shape, size=0.5e-3, number=1.2e9)
    plate = glints.Cut.corners.fget(cut)  # type: ignore[attr-defined]
    x, y = plate.T
    area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
    found = np.array([strew.__wrapped__(PATCH, (cut,), seed).covered for seed in range(40)])
    expected = covered_share(1.2e9 * area / 2, 2e-3)
    assert found.mean() == pytest.approx(expected, abs=4 * found.std(ddof=1) / 40**0.5)
    assert found.std() < 0.05


def test_finer_flake_of_the_same_mass_makes_a_finer_and_fainter_pattern():
    """Smaller than a pixel, they average out by the area they cover."""
    patterns = []
    for size in (0.8e-3, 0.4e-3, 0.1e-3):
        penny = shelf().find("Penny")
        assert isinstance(penny, Flake)
        plain = compose(recipe("dark", 0.5).sides[0], shelf())
        parts = tuple(
            Part(supply=replace(penny, size=size), share=part.share)
            if part.supply is penny
            else part
            for part in plain.parts
        )
        plastic = replace(plain, parts=parts)
        kinds = kinds_of(plastic, 0)
        patch = flat_depths((40, 40), 2e-3, 0.0, 0.2e-3)
        sides = [side_optics(plastic)]
        colours = flake_colours(sides, kinds, [patch])
        mean = np.broadcast_to(colours.mean[-1], (40, 40, 3))
        drawn = draw_flakes(mean, strew(patch, cuts_of(list(kinds)), 3), colours)
        patterns.append(float((drawn[..., 1] / mean[..., 1]).std()))
    assert patterns[0] > patterns[1] > 2 * patterns[2]


def test_single_flakes_shade_as_they_do_in_the_mean():
    plastic = plastic_of(drops("Peat", 3), grams("Penny", 1.0))
    (kind,) = kinds_of(plastic, 0)
    flake = shelf().find("Penny")
    assert isinstance(flake, Flake)
    volume = 0.01 * plastic.density.value / flake.density.value
    lost, thrown = flake_coefficients(volume, flake.thickness, kind.reflectance)
    # Three digits, the fourth cut off: what is left stays a haze.
    assert np.all(kind.extinction <= lost + thrown)
    np.testing.assert_allclose(kind.extinction, lost + thrown, rtol=0.01)


def test_of_flake_too_fine_to_be_told_apart_the_most_is_haze():
    sides, kinds = poured(recipe("dark", 1.0))
    # The same mass cut into a thousand times as many.
    dust = replace(
        kinds[0],
        cut=replace(kinds[0].cut, size=4e-4 / 1000**0.5, number=1000 * kinds[0].cut.number),
    )
    with pytest.raises(OutOfRange, match="in the mean"):
        strew(PATCH, (dust.cut,), 1)
    few, other = singled_out([dust, kinds[1]], [PATCH])
    assert other == kinds[1] or other.cut == kinds[1].cut
    assert few.cut.size == dust.cut.size
    assert 0.98e5 < expected_flakes(few.cut, PATCH) <= 1e5
    assert few.extinction / dust.extinction == pytest.approx(few.cut.number / dust.cut.number)
    # Some drawn and some not, the mean is kept: dust is part of the plastic.
    colours = flake_colours(sides, [few, other], [PATCH], backing=GREY, back=0.0)
    np.testing.assert_allclose(colours.mean[-1], solved(sides, 2e-3, 2e-3), rtol=1e-9)
    found = patch_means(colours, [few, other], colours.mean[-1], range(12))
    error = found.std(axis=0, ddof=1) / 12**0.5
    assert np.all(np.abs(found.mean(axis=0) - colours.mean[-1]) < 5 * error)


def test_nearer_flakes_stand_out_more():
    """In a dark dye a facing flake at the skin is the brightest thing there is."""
    back = (drops("Peat", 60), grams("Penny", 0.25))
    sides, kinds = poured(two_colours(back, (drops("Rind", 1),)))
    tables = flake_colours(sides, kinds, [PATCH]).tables
    facing = tables.lit[-1, 0, 0, 0, :, 1]
    assert np.all(np.diff(facing) < 0)
    assert facing[0] > 3
    assert facing[0] > 2 * tables.lit[-1, 0, 0, -1, 0, 1]  # one that mirrors what lies behind


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Cut(side=0, shape=FlakeShape.SQUARE, size=0.0, number=1.0), "larger than 0"),
        (lambda: Cut(side=0, shape=FlakeShape.SQUARE, size=0.04, number=1.0), "inches"),
        (lambda: Cut(side=0, shape=FlakeShape.SQUARE, size=np.nan, number=1.0), "larger than 0"),
        (lambda: Cut(side=0, shape=FlakeShape.BAR, size=1e-3, number=-1.0), "0 or more"),
        (lambda: Cut(side=0, shape=FlakeShape.BAR, size=1e-3, number=np.inf), "0 or more"),
        (lambda: flat_depths((3, 3), -1e-3, 0.0, 1e-4), "below 0"),
        (lambda: flat_depths((3, 3), 1e-3, 0.0, 0.0), "no size"),
        (lambda: strew(PATCH, (), -1), "seed"),
    ],
)
def test_impossible_flake_is_refused_in_a_sentence(make, says):
    with pytest.raises(OutOfRange, match=says):
        make()


def test_film_of_no_thickness_is_refused():
    penny = shelf().find("Penny")
    assert isinstance(penny, Flake)
    plastic = plastic_of(grams("Penny", 1.0))
    parts = (plastic.parts[0], Part(supply=replace(penny, thickness=0.0), share=0.01))
    with pytest.raises(OutOfRange, match="film of Penny"):
        kinds_of(replace(plastic, parts=parts), 0)


def test_pictures_and_flakes_that_do_not_belong_together_are_refused():
    sides, kinds = poured(recipe("dark", 1.0))
    colours = flake_colours(sides, kinds, [PATCH])
    strewn = strew(PATCH, cuts_of(kinds), 1)
    mean = np.ones((*PATCH.own.shape, 3))
    with pytest.raises(InputError, match="pixels"):
        draw_flakes(mean[:-1], strewn, colours)
    with pytest.raises(InputError, match="other flakes"):
        draw_flakes(mean, strew(PATCH, cuts_of(kinds[:1]), 1), colours)
    with pytest.raises(OutOfRange, match="sparkle"):
        draw_flakes(mean, strewn, colours, sparkle=1.5)
    with pytest.raises(InputError, match="one plastic"):
        flake_colours(sides[:1], kinds[:1], [PATCH])
    with pytest.raises(InputError, match="not a number"):
        flat_depths((3, 3), np.nan, 0.0, 1e-4)
    with pytest.raises(InputError, match="all alike"):
        Depths(own=np.ones((2, 2)), other=np.ones(4), first=np.zeros((2, 2), int), pixel=1e-4)
    with pytest.raises(InputError, match="side 0 or side 1"):
        Depths(own=np.ones((2, 2)), other=np.ones((2, 2)), first=np.full((2, 2), 2), pixel=1e-4)


def test_a_baits_depths_are_those_of_its_halves():
    reed = mould()
    thickest = max(reed.stations, key=lambda station: station.back_half)
    back = bait_depths(reed, from_back, 1.494, 0.2e-3)
    belly = bait_depths(reed, from_belly, 1.494, 0.2e-3)
    assert back.own.max() == pytest.approx(thickest.back_half, rel=0.01)
    assert belly.own.max() == pytest.approx(thickest.belly_half, rel=0.01)
    assert not back.first.any()
    assert belly.first.all()
    side = bait_depths(reed, from_side, 1.494, 0.2e-3)
    assert set(np.unique(side.first)) == {0, 1}
    for depths in (back, belly, side):
        assert np.all(depths.own[[0, -1]] == 0)
        np.testing.assert_array_equal(depths.reach.sum(axis=0), depths.own + depths.other)


@pytest.mark.parametrize(
    ("look", "angle"), [(from_back, 0.0), (from_side, np.pi / 2), (from_belly, np.pi)]
)
def test_a_traced_bodys_depths_are_those_of_its_sections(look, angle):
    """Followed through the body's skin or by the formulas of a section: two ways, one length."""
    reed = mould()
    body = bait_body(reed)
    traced = body_depths(body, angle, 1.494, 0.5e-3)
    plain = bait_depths(reed, look, 1.494, 0.5e-3)
    assert traced.own.shape == plain.own.shape
    straight = slice(traced.own.shape[1] // 4, traced.own.shape[1] // 2)
    for one, two in ((traced.own, plain.own), (traced.other, plain.other)):
        # Within a pixel: the edge is looked at in the middle of what is covered.
        inside = (plain.own[:, straight] > 2e-3) & (traced.own[:, straight] > 2e-3)
        apart = np.abs(one - two)[:, straight][inside]
        assert np.median(apart) < 0.02e-3
        assert apart.max() < 0.3e-3
    met = (traced.own > 0) & (plain.own > 0)
    assert (traced.first != plain.first)[met].mean() < 0.01


def test_a_bait_seen_from_three_quarters_keeps_its_mean():
    sides, kinds = poured(recipe("dark", 1.0))
    depths = body_depths(bait_body(mould()), np.pi / 4, 1.494, 0.5e-3)
    assert set(np.unique(depths.first[depths.own > 0])) == {0, 1}
    colours = flake_colours(sides, kinds, [depths])
    mean = slab_mean(colours, depths)
    lay = partial(strew.__wrapped__, depths, cuts_of(kinds))
    drawn = [draw_flakes(mean, lay(seed), colours).sum(axis=(0, 1)) for seed in range(24)]
    found = np.array(drawn) / mean.sum(axis=(0, 1))
    error = found.std(axis=0, ddof=1) / 24**0.5
    assert np.all(np.abs(found.mean(axis=0) - 1) < 4 * error)


def test_more_flakes_are_expected_where_there_is_more_plastic():
    cut = Cut(side=0, shape=FlakeShape.HEXAGON, size=0.4e-3, number=1e9)
    shallow = flat_depths((40, 40), 1e-3, 1e-3, 0.2e-3)
    assert expected_flakes(cut, PATCH) == pytest.approx(2 * expected_flakes(cut, shallow))
