"""Light on one sphere."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.mie import mie_efficiencies


@settings(deadline=None)  # no timed assertions
@given(
    real=st.floats(0.5, 3.0).filter(lambda each: abs(each - 1) > 1e-3),
    absorbing=st.sampled_from([0.0, 1e-4, 0.1, 1.0]),
    size=st.floats(0.05, 2_000.0),
)
def test_a_sphere_never_throws_more_than_it_takes_out(real, absorbing, size):
    found = mie_efficiencies(complex(real, absorbing), size)
    if absorbing:
        assert found.scattering <= found.extinction * (1 + 1e-9)
    else:
        # What takes nothing up throws everything; small spheres cancel digits.
        assert found.scattering == pytest.approx(found.extinction, rel=1e-6)
    assert abs(found.anisotropy) < 1


def test_either_sign_of_the_absorbing_part_means_the_same():
    for minus, plus in zip(
        mie_efficiencies(1.5 - 0.1j, 7.0), mie_efficiencies(1.5 + 0.1j, 7.0), strict=True
    ):
        assert minus == plus


def test_a_great_sphere_takes_twice_its_shadow_out_of_the_beam():
    assert mie_efficiencies(1.5 - 1j, 20_000.0).extinction == pytest.approx(2.0, abs=0.01)


def test_spheres_are_worked_on_side_by_side():
    indices, sizes = np.array([[1.2], [1.5]]), np.array([1.0, 10.0, 50.0])
    found = mie_efficiencies(indices, sizes)
    assert found.extinction.shape == (2, 3)
    assert found.extinction[1, 1] == mie_efficiencies(1.5, 10.0).extinction


@pytest.mark.parametrize(
    ("index", "size"), [(1.5, 0.0), (1.5, -1.0), (1.5, 1e6), (1.5, float("nan")), (0.0, 1.0)]
)
def test_an_impossible_sphere_is_refused(index, size):
    with pytest.raises(OutOfRange):
        mie_efficiencies(index, size)


def test_a_sphere_of_the_mediums_own_index_has_nothing_to_show():
    with pytest.raises(OutOfRange, match="another than the medium's"):
        mie_efficiencies(1.0, 5.0)
