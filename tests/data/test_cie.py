"""The wavelength grid and the tables on it."""

import numpy as np
import pytest

from partline.data.cie import D65, OBSERVER, WAVELENGTHS


def test_the_grid_runs_from_400_to_700_nm_by_10():
    assert pytest.approx(np.arange(400, 701, 10) * 1e-9, rel=1e-12) == WAVELENGTHS


def test_tables_fit_the_grid_and_cannot_be_changed():
    assert OBSERVER.shape == (31, 3)
    assert D65.shape == (31,)
    with pytest.raises(ValueError, match="read-only"):
        D65[0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        WAVELENGTHS[0] = 1.0
