"""What a station looks like: monotone in colour, the same for one side as for two of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.materials.mould import SectionShape
from partline.process.appearance import (
    card_hiding,
    media_of,
    sightings,
    solver_for,
)
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.optics import SideOptics, side_optics
from partline.process.supply_doubt import log_spread
from partline.quantities.estimate import Estimate
from tests.process.shed import (
    LESSON_NAMES,
    demo,
    drops,
    grams,
    lesson,
    mould,
    one_colour,
    optics_of,
    plastic_of,
    shelf,
    station,
    two_colours,
    without_flake,
)

#: The solver keeps energy to 1e-10; a difference below this is its last digits.
SOLVER = 1e-9
ROUND = station(12, 6, 6)


def of(*loadings) -> SideOptics:
    return side_optics(plastic_of(*loadings))


@settings(deadline=None, max_examples=15)
@given(
    amount=st.floats(0, 40),
    more=st.floats(0.1, 40),
    thickness=st.floats(0.2e-3, 12e-3),
    backing=st.floats(0, 0.9),
    chalk=st.floats(0, 8),
)
def test_more_of_a_purely_absorbing_colourant_never_gives_more_light_back(
    amount, more, thickness, backing, chalk
):
    side = of(drops("Peat", 1), drops("Chalk", chalk))  # Peat scatters nothing
    factors = np.ones((2, len(side.names)))
    factors[:, side.names.index("Peat")] = amount, amount + more
    solver = solver_for([side], 4)
    media = media_of(solver, [side], [factors])
    slab = solver.slab(media, np.array([thickness, thickness]))
    passes = slab.diffuse_transmittance
    assert np.all(passes[1] <= passes[0] + SOLVER)
    order, depth = np.array([[0], [1]]), np.full((2, 1), thickness)
    back = solver.reflectance(media, order, depth, backing).normal
    assert np.all(back[1] <= back[0] + SOLVER)


@settings(deadline=None, max_examples=15)
@given(
    thickness=st.floats(0.2e-3, 12e-3),
    supply=st.sampled_from(["Peat", "Chalk", "Rind", "Soot"]),
    base=st.sampled_from([(), (drops("Chalk", 2),), (grams("Penny", 0.5),)]),
)
def test_more_colour_never_hides_less(thickness, supply, base):
    base = tuple(each for each in base if each.supply != supply)
    side = of(drops(supply, 1), *base)
    factors = np.ones((8, len(side.names)))
    factors[:, side.names.index(supply)] = np.geomspace(0.5, 60, 8)
    hiding = card_hiding(side, np.array([thickness]), factors, nodes=4)[:, 0]
    # The solver's directions are few: its quadrature may wander by this much of the step.
    assert np.all(np.diff(hiding) >= -1e-4)


@settings(deadline=None, max_examples=10)
@given(supply=st.sampled_from(["Peat", "Chalk", "Soot"]), amount=st.floats(0.5, 30))
def test_thicker_plastic_never_hides_less(supply, amount):
    side = of(drops(supply, amount))
    depth = np.geomspace(0.2e-3, 20e-3, 12)
    hiding = card_hiding(side, depth, np.ones((1, len(side.names))), nodes=4)[0]
    assert np.all(np.diff(hiding) >= -1e-4)  # as above
    assert np.all((hiding > -1e-9) & (hiding < 1 + 1e-9))


def test_no_thickness_hides_nothing_but_the_light_the_skin_throws_away():
    side = of()
    hiding = card_hiding(side, np.array([1e-9]), np.ones((1, len(side.names))))[0, 0]
    # Two Fresnel surfaces in air keep a little light off the card: the step is not quite whole.
    assert 0 <= hiding < 0.25


def test_a_half_hides_the_same_whether_asked_alone_or_in_a_bait():
    sides = optics_of(demo(3))
    seen = sightings(sides, [ROUND])
    for side, hiding in zip(sides, (seen.back_hiding, seen.belly_hiding), strict=True):
        alone = card_hiding(side, np.array([6e-3]), np.ones((1, len(side.names))))[0, 0]
        # The bait's solver has the sides' mean index; it is the same plastic on both sides.
        assert alone == pytest.approx(float(hiding[0, 0]), abs=SOLVER)


def test_two_sides_of_one_plastic_are_one_colour():
    same = (drops("Chalk", 5), drops("Rind", 3))
    seen = sightings(optics_of(two_colours(same, same)), [ROUND, station(4, 2, 2)])
    for figure in (seen.back_belly, seen.side, seen.back_see_through, seen.belly_see_through):
        np.testing.assert_allclose(figure, 0.0, atol=1e-6)  # ΔE00 of equal colours


def test_swapping_the_cups_swaps_the_views():
    one, other = (drops("Peat", 9),), (drops("Chalk", 5),)
    seen = sightings(optics_of(two_colours(one, other)), [ROUND])
    swapped = sightings(optics_of(two_colours(other, one)), [ROUND])
    np.testing.assert_allclose(seen.back, swapped.belly, rtol=1e-9)  # the solver's rounding
    np.testing.assert_allclose(seen.back_belly, swapped.back_belly, rtol=1e-9)
    np.testing.assert_allclose(seen.belly_hiding, swapped.back_hiding, rtol=1e-9)


def test_a_bait_turned_over_shows_its_other_view():
    one, other = (drops("Peat", 9),), (drops("Chalk", 5),)
    # A thick back over a thin belly, and the same bait lying on its back.
    seen = sightings(optics_of(two_colours(one, other)), [station(12, 8, 3)])
    turned = sightings(optics_of(two_colours(other, one)), [station(12, 3, 8)])
    for here, there in (("back", "belly"), ("back_alone", "belly_alone"), ("upper", "lower"),
                        ("back_hiding", "belly_hiding")):  # fmt: skip
        for name, twin in ((here, there), (there, here)):
            # The solver's rounding.
            np.testing.assert_allclose(getattr(seen, name), getattr(turned, twin), rtol=1e-9)


def test_a_one_colour_bait_looks_like_two_cups_of_it():
    loading = (drops("Chalk", 5),)
    one = sightings(optics_of(one_colour(*loading)), [ROUND])
    two = sightings(optics_of(two_colours(loading, loading)), [ROUND])
    np.testing.assert_allclose(one.back, two.back, rtol=1e-9)  # the solver's rounding
    np.testing.assert_allclose(one.belly, two.belly, rtol=1e-9)
    np.testing.assert_allclose(one.back_belly, 0.0, atol=1e-9)
    # The whole is twice as thick as a half, so it hides more.
    assert one.back_hiding[0, 0] > two.back_hiding[0, 0]


@pytest.mark.parametrize("name", LESSON_NAMES)
def test_every_lesson_is_seen_at_every_station_of_both_moulds(name):
    stock = shelf("lessons")
    for body in (mould(), mould("fry-75")):
        seen = sightings(optics_of(lesson(name), stock), body.stations, nodes=4)
        for xyz in (seen.back, seen.belly, seen.upper, seen.lower, seen.back_alone):
            assert np.all(np.isfinite(xyz))
            assert np.all((xyz >= 0) & (xyz <= 1.2))  # Z of D65 is 1.09 for a perfect reflector
        assert np.all((seen.back_hiding >= -1e-9) & (seen.back_hiding <= 1 + 1e-9))


def test_draws_are_looked_at_one_by_one():
    sides = optics_of(demo(1))
    rng = np.random.default_rng(3)
    factors = [rng.uniform(0.5, 2.0, (5, len(side.names))) for side in sides]
    together = sightings(sides, mould().stations, factors, nodes=4)
    for draw in range(5):
        alone = sightings(
            sides, mould().stations, [each[draw : draw + 1] for each in factors], nodes=4
        )
        np.testing.assert_allclose(together.back_belly[draw], alone.back_belly[0], atol=1e-8)
        np.testing.assert_allclose(together.back_hiding[draw], alone.back_hiding[0], atol=1e-10)


def test_figures_shown_agree_with_a_finer_solve():
    sides = optics_of(demo(1))
    shown, fine = (sightings(sides, mould().stations, nodes=n) for n in (8, 16))
    # physics.md section 2: N = 8 is off by ΔE00 0.56 at worst over 500 random baits; a figure
    # that is a difference of two such colours may be off by twice that.
    np.testing.assert_allclose(shown.back_belly, fine.back_belly, atol=1.1)
    np.testing.assert_allclose(shown.back_hiding, fine.back_hiding, atol=0.01)


def test_salt_makes_a_side_hazy_and_softeners_do_not():
    stock = of(grams("fine salt", 10))
    assert stock.scattering[1].min() > 0
    assert stock.absorption[1].max() == 0
    assert "fine salt" in stock.names


def test_flake_counts_by_volume_whatever_its_size():
    small, large = of(grams("Ink", 1.0)), of(grams("Moss", 1.0))
    total = [side.absorption[1] + side.scattering[1] for side in (small, large)]
    # Ink is 0.2 mm and Moss 0.6 mm, of one film: physics.md, κ = mass/(2 t ρ V).
    np.testing.assert_allclose(total[0], total[1], rtol=1e-12)


def test_flake_covers_twice_less_than_its_faces_and_edges_say():
    side = of(grams("Ink", 1.0))
    covered = (side.absorption[1] + side.scattering[1])[0]
    plastic = plastic_of(grams("Ink", 1.0))
    volume = 0.01 * plastic.density.value / shelf().find("Ink").density.value
    assert covered == pytest.approx(volume / (2 * 25e-6), rel=1e-9)  # κ = φ / (2 t)


def test_each_drop_adds_what_the_demo_page_prints_for_it():
    side = of(drops("Peat", 3))
    wavelength = np.linspace(400, 700, 31)
    printed = 3 * 0.07 * np.exp(-(wavelength - 400) / 110) * 1e3  # demo.md, 1/mm to 1/m
    np.testing.assert_allclose(side.absorption[1], printed, rtol=1e-9)


def test_a_mean_of_logs_gives_back_the_range_it_was_made_from():
    spread = log_spread(shelf().find("Peat").strength)  # type: ignore[attr-defined]
    # demo.md: strength known to ±20 %, a central 80 % range: 1.2816 standard deviations.
    assert np.exp(1.2815515655 * spread) == pytest.approx(1.2, rel=2e-4)  # 0.8333 is rounded


def test_an_exact_or_unbounded_range_has_no_spread():
    assert log_spread(Estimate.exact(1.0)) == 0.0
    assert log_spread(replace(Estimate.exact(1.0), low=0.0)) == 0.0


def test_a_section_of_any_shape_has_both_flanks():
    for shape in SectionShape:
        cut = station(10, 5, 5, shape)
        seen = sightings(optics_of(without_flake(demo(3))), [cut], nodes=4)
        assert seen.side[0, 0] > 12  # brown against pale yellow is strong in any shape


def test_the_card_is_the_one_of_the_definitions():
    assert (CARD_WHITE, CARD_BLACK) == (0.85, 0.04)  # definitions.md
