"""Defined constants: the few numbers that are exact because somebody decided them.

The measures are `Fraction`, so that what a maker types is converted without rounding
on the way; wrap one in ``float()`` where speed matters more.

References
----------
.. [1] BIPM, "The International System of Units," 9th ed., 2019, section 2.3.1 (kelvin):
   t/°C = T/K − 273.15 (from memory).
.. [2] NIST Handbook 44, Appendix C, "General Tables of Units of Measurement": yard and pound of
   1959, US gallon of 231 cubic inches, metric equivalents of spoons and cups (from memory).
.. [3] The Units of Measurement Regulations 1995 (UK), S.I. 1995/1804: gallon of 4.546 09 dm³
   (from memory).
.. [4] CODATA 2018: molar gas, Stefan–Boltzmann and second radiation constants, exact since the SI
   of 2019 (from memory).
.. [5] General Conference on Weights and Measures: 3rd, 1901, standard gravity; 10th, 1954,
   standard atmosphere (from memory).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

ZERO_CELSIUS: Final = 273.15  # [K] exact [1]
INCH: Final = Fraction("0.0254")  # [m] exact, a 36th of the yard of 0.9144 m [2]
POUND: Final = Fraction("0.45359237")  # [kg] exact, avoirdupois [2]
US_GALLON: Final = 231 * INCH**3  # [m³] exact [2]
IMPERIAL_GALLON: Final = Fraction("0.00454609")  # [m³] exact [3]
GAS_CONSTANT: Final = 8.31446261815324  # [J/(mol·K)] exact [4]
STEFAN_BOLTZMANN: Final = 5.670374419e-8  # [W/(m²·K⁴)] exact, cut after ten digits [4]
SECOND_RADIATION: Final = 0.01438776877  # [m·K] hc/k, exact, cut after ten digits [4]
STANDARD_GRAVITY: Final = 9.80665  # [m/s²] exact [5]
STANDARD_PRESSURE: Final = 101325.0  # [Pa] exact [5]
