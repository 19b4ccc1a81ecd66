"""The water tables on the grid."""

from itertools import pairwise

import numpy as np
import pytest

from partline.data.cie import WAVELENGTHS
from partline.data.water import JERLOV, PURE_WATER


def test_between_the_printed_rows_the_logarithm_runs_straight():
    at = {nm: JERLOV["II"][np.searchsorted(WAVELENGTHS, nm * 1e-9 - 1e-12)] for nm in (420, 450)}
    assert at[450] == 0.068
    # 425 nm holds 0.081 and 400 nm 0.096: four fifths of the way.
    assert at[420] == pytest.approx(0.096 * (0.081 / 0.096) ** 0.8, rel=1e-12)


def test_a_murkier_type_dims_more_at_every_wavelength():
    order = ["I", "IA", "IB", "II", "III"]
    for clearer, murkier in pairwise(order):
        assert np.all(JERLOV[clearer] < JERLOV[murkier])
    for clearer, murkier in pairwise(["1C", "3C", "5C", "7C", "9C"]):
        assert np.all(JERLOV[clearer] < JERLOV[murkier])


def test_tables_cannot_be_written_to():
    for table in (PURE_WATER, *JERLOV.values()):
        assert table.shape == (31,)
        with pytest.raises(ValueError, match="read-only"):
            table[0] = 1.0
