"""How clear a water is."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.data.cie import WAVELENGTHS
from partline.data.water import JERLOV
from partline.errors import OutOfRange
from partline.physics.water_column import (
    absorption_below,
    algae_absorption,
    diffuse_attenuation,
    lake_of_clarity,
    lake_optics,
    sea_optics,
    sea_particles,
    secchi_depth,
    tannin_absorption,
)

CLEAR = (0.15, 0.06, 0.04, 1.0)
TEA = (3.0, 0.1, 0.1, 1.0)


@given(st.floats(1e-3, 50), st.floats(0, 200), st.floats(0.6, 1.0))
def test_attenuation_and_absorption_are_each_others_inverse(absorption, scattering, cosine):
    attenuation = diffuse_attenuation(absorption, scattering, cosine)
    back = absorption_below(attenuation, scattering, cosine)
    assert back == pytest.approx(absorption, rel=1e-6)


@settings(deadline=None, max_examples=40)
@given(
    secchi=st.floats(0.02, 80),
    make_up=st.sampled_from([CLEAR, TEA, (0.25, 0.5, 0.1, 2.0), (0.8, 0.2, 1.0, 8.0)]),
    coupling=st.floats(8.0, 9.4),
)
def test_a_lake_hides_the_disk_where_it_was_read(secchi, make_up, coupling):
    lake = lake_of_clarity(secchi, *make_up, coupling=coupling)
    assert secchi_depth(lake, coupling) == pytest.approx(secchi, rel=1e-6)
    assert np.all(lake.beam > lake.absorption)
    assert np.all(lake.diffuse > lake.absorption)


@settings(deadline=None, max_examples=40)
@given(secchi=st.floats(0.02, 60), clearer=st.floats(1.01, 1.3))
def test_a_disk_seen_deeper_means_clearer_water_at_every_wavelength(secchi, clearer):
    murky, clear = (lake_of_clarity(each, *CLEAR) for each in (secchi, secchi * clearer))
    assert np.all(clear.beam < murky.beam)
    assert np.all(clear.diffuse < murky.diffuse)


def test_tea_water_lets_red_through_and_clear_water_green():
    tea, clear = lake_of_clarity(1.0, *TEA), lake_of_clarity(8.0, *CLEAR)
    assert WAVELENGTHS[tea.diffuse.argmin()] > 600e-9
    assert 480e-9 < WAVELENGTHS[clear.diffuse.argmin()] < 590e-9


def test_tannin_falls_by_half_in_fifty_nanometres_and_algae_have_two_bands():
    assert tannin_absorption(2.0, 440e-9) == pytest.approx(2.0)
    assert tannin_absorption(1.0, 489.5e-9) == pytest.approx(0.5, abs=1e-3)  # ln 2 / 0.014
    green, red = algae_absorption(1.0, [560e-9, 675e-9])
    assert algae_absorption(1.0, 440e-9) == pytest.approx(1.0, abs=1e-9)
    assert red > 3 * green


def test_an_empty_lake_is_pure_water():
    pure, empty = lake_optics(0, 0, 0, 0), lake_optics(*TEA, strength=0.0)
    assert empty.beam == pytest.approx(pure.beam)
    assert 100 < secchi_depth(pure) < 300  # no lake is as clear


@pytest.mark.parametrize("kind", JERLOV)
def test_a_sea_keeps_its_types_attenuation(kind):
    strength = sea_particles(JERLOV[kind][9])
    sea = sea_optics(JERLOV[kind], strength)
    scattering = sea.beam - sea.absorption
    assert diffuse_attenuation(sea.absorption, scattering) == pytest.approx(JERLOV[kind])
    assert np.all(sea.beam > 0.85 * sea.diffuse)  # light that goes down aslant has a longer way


@pytest.mark.parametrize("secchi", [0.0, -1.0, 500.0, float("nan")])
def test_a_disk_nobody_can_have_read_is_refused(secchi):
    with pytest.raises(OutOfRange, match="white disk"):
        lake_of_clarity(secchi, *CLEAR)


@pytest.mark.parametrize(
    "make",
    [
        lambda: lake_optics(-0.1, 0, 0, 0),
        lambda: lake_of_clarity(1.0, 1, 1, 1, 0),
        lambda: sea_optics(np.zeros(31), 0.1),
        lambda: sea_optics(JERLOV["I"], -0.1),
    ],
)
def test_water_with_less_than_nothing_in_it_is_refused(make):
    with pytest.raises(OutOfRange):
        make()
