"""Haze of grains and bubbles."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.data.cie import WAVELENGTHS
from partline.errors import OutOfRange
from partline.physics import grain
from partline.physics.grain import cloud_haze
from partline.physics.mie import mie_efficiencies

INSIDE = WAVELENGTHS / 1.494
RATIO = np.full(31, 1.035)


def test_coarse_grains_scatter_by_their_shadow():
    haze = cloud_haze(0.1, 200e-6, RATIO, INSIDE, spread=0.05)
    # Twice the shadow, 3/(2d) a unit of volume: the limit of every text.
    limit = 2 * 1.5 * 0.1 / 200e-6
    assert haze.scattering == pytest.approx(limit, rel=0.01)


def test_a_spread_irons_out_the_ripple_of_one_size():
    """A single size swings with the wavelength; a sieve's cut does not."""
    one = mie_efficiencies(1.035, np.pi * 100e-6 / INSIDE)
    single = 1.5 * 0.1 * one.scattering * (1 - one.anisotropy) / 100e-6
    haze = cloud_haze(0.1, 100e-6, RATIO, INSIDE)
    spread = haze.scattering * (1 - haze.anisotropy)

    def roughness(curve):
        return np.abs(np.diff(curve, 2)).max() / curve.mean()

    assert roughness(spread) < roughness(single) / 5


def test_few_wavelengths_and_sizes_stand_for_many(monkeypatch):
    """20 and 400 µm, where salt is finest and where it is dearest to sum."""
    few = {d: cloud_haze(0.1, d, RATIO, INSIDE) for d in (20e-6, 400e-6)}
    nodes = np.linspace(-4, 4, 513)
    bell = np.exp(-0.5 * nodes**2)
    monkeypatch.setattr(grain, "_log_normal", lambda: (nodes, bell / bell.sum()))
    monkeypatch.setattr(grain, "SOLVED", 31)
    for diameter, haze in few.items():
        many = cloud_haze(0.1, diameter, RATIO, INSIDE)
        assert haze.scattering == pytest.approx(many.scattering, rel=0.01)
        assert 1 - haze.anisotropy == pytest.approx(1 - many.anisotropy, rel=0.03)


@settings(deadline=None, max_examples=25)
@given(diameter=st.floats(30e-6, 400e-6), share=st.floats(1e-4, 0.3), finer=st.floats(1.3, 3))
def test_finer_grain_clouds_more(diameter, share, finer):
    coarse = cloud_haze(share, diameter, RATIO, INSIDE)
    fine = cloud_haze(share, diameter / finer, RATIO, INSIDE)
    assert np.all(fine.scattering > coarse.scattering)
    assert np.all((fine.anisotropy > 0) & (fine.anisotropy < 1))


@pytest.mark.parametrize(
    ("share", "diameter", "spread"),
    [(-0.1, 1e-4, 0.3), (1.1, 1e-4, 0.3), (0.1, 0.0, 0.3), (0.1, 1.0, 0.3), (0.1, 1e-4, 0.0),
     (0.1, float("nan"), 0.3)],
)  # fmt: skip
def test_an_impossible_cloud_is_refused(share, diameter, spread):
    with pytest.raises(OutOfRange):
        cloud_haze(share, diameter, RATIO, INSIDE, spread)
