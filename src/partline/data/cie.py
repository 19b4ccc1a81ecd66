"""The CIE's standard observer and lights on Partline's wavelength grid, 400 to 700 nm by 10 nm.

Light outside 400–700 nm adds less than 0.2 % to Y and is left out on both sides of every ratio:
white is summed over the same wavelengths.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from partline.data.loader import rows

Floats = NDArray[np.floating]


def _columns(name: str, *columns: str, scale: float = 1.0) -> Floats:
    table = scale * np.array([[float(row[column]) for column in columns] for row in rows(name)])
    table.setflags(write=False)
    return table


WAVELENGTHS: Floats = _columns("cie_018_2019_observer.csv", "wavelength_nm", scale=1e-9)[:, 0]
"""Wavelengths of every spectrum, shape (31,). [m]"""

OBSERVER: Floats = _columns("cie_018_2019_observer.csv", "x_bar", "y_bar", "z_bar")
"""Colour-matching functions of the CIE 1931 2° standard observer, shape (31, 3). [-]"""

D65: Floats = _columns("cie_015_2018_d65.csv", "power")[:, 0]
"""Relative spectral power of standard illuminant D65, shape (31,). [-]"""

DAYLIGHT: Floats = _columns("cie_015_2018_daylight.csv", "s0", "s1", "s2")
"""Components S0, S1, S2 that any phase of daylight is mixed from, shape (31, 3). [-]"""

LED_B1: Floats = _columns("cie_015_2018_led.csv", "led_b1")[:, 0]
"""Relative spectral power of illuminant LED-B1, a warm lamp, shape (31,). [-]"""

LED_B5: Floats = _columns("cie_015_2018_led.csv", "led_b5")[:, 0]
"""Relative spectral power of illuminant LED-B5, a cool lamp, shape (31,). [-]"""
