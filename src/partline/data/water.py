"""Tables of what water does to light, on Partline's wavelength grid."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.data.loader import rows

Floats = NDArray[np.floating]

_JERLOV = rows("jerlov_1976_kd.csv")


def _filled(kind: str) -> Floats:
    """Return one water type on the grid, its logarithm drawn straight between the table's rows."""
    printed = np.array([float(row["wavelength_nm"]) for row in _JERLOV]) * 1e-9
    values = np.log([float(row[kind]) for row in _JERLOV])
    spectrum = np.exp(np.interp(WAVELENGTHS, printed, values))
    spectrum.setflags(write=False)
    return spectrum


JERLOV: dict[str, Floats] = {kind: _filled(kind) for kind in _JERLOV[0] if kind != "wavelength_nm"}
"""Diffuse attenuation Kd of Jerlov's types of sea water, each of shape (31,). [1/m]"""

PURE_WATER: Floats = np.array(
    [float(row["absorption"]) for row in rows("pope_fry_1997_water.csv")]
)
"""Absorption of pure water, shape (31,). [1/m]"""
PURE_WATER.setflags(write=False)
