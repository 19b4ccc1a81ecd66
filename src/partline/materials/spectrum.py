"""Smooth spectra as a sum of a few named shapes, so that a person can write one down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from partline.errors import OutOfRange

Floats = NDArray[np.floating]

#: Span of the wavelength grid that a sampled spectrum is given on. [m]
SAMPLED_FROM, SAMPLED_TO = 400e-9, 700e-9


class Shape(StrEnum):
    """Form of one term, as a function of wavelength λ with parameters p and q."""

    LEVEL = "level"  # 1
    POWER = "power"  # (λ / p)^q
    EDGE = "edge"  # 1 / (1 + exp((λ − p) / q)): high below p
    DECAY = "decay"  # exp(−(λ − p) / q)
    HILL = "hill"  # exp(−((λ − p) / q)² / 2)


FORMS: dict[Shape, Callable[[Floats, float, float], Floats]] = {
    Shape.LEVEL: lambda w, p, q: np.ones_like(w),  # noqa: ARG005
    Shape.POWER: lambda w, p, q: (w / p) ** q,
    Shape.EDGE: lambda w, p, q: 1.0 / (1.0 + np.exp((w - p) / q)),
    Shape.DECAY: lambda w, p, q: np.exp(-(w - p) / q),
    Shape.HILL: lambda w, p, q: np.exp(-0.5 * ((w - p) / q) ** 2),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One shape times a height.

    Parameters
    ----------
    shape : Shape
        The form.
    height : float
        Factor of the form. [the spectrum's unit]
    place : float
        p of the form: a wavelength. [m]
    spread : float
        q of the form: a wavelength for edge, decay and hill [m], an exponent for power [-].
    """

    shape: Shape
    height: float
    place: float = 550e-9
    spread: float = 1.0

    def at(self, wavelength: Floats) -> Floats:
        """Return the term at each wavelength. [m] to [the spectrum's unit], shape (...)."""
        return self.height * FORMS[self.shape](wavelength, self.place, self.spread)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spectrum:
    """A sum of terms, or values sampled evenly from 400 to 700 nm.

    Parameters
    ----------
    terms : tuple of Term
        Added up.
    sampled : tuple of float
        Values at evenly spaced wavelengths from 400 to 700 nm, ends included; held level
        outside. [the spectrum's unit]
    """

    terms: tuple[Term, ...] = ()
    sampled: tuple[float, ...] = ()

    def at(self, wavelength: Floats) -> Floats:
        """Return the spectrum at each wavelength. [m] to [its unit], shape (...).

        Raises
        ------
        OutOfRange
            If the sum is negative somewhere: no plastic gives light back by absorbing less
            than nothing.
        """
        total = np.zeros_like(wavelength)
        for term in self.terms:
            total = total + term.at(wavelength)
        if self.sampled:
            grid = np.linspace(SAMPLED_FROM, SAMPLED_TO, len(self.sampled))
            total = total + np.interp(wavelength, grid, self.sampled)
        if np.any(total < 0):
            raise OutOfRange("A spectrum is below zero at some wavelength.", low=0.0)
        return total


#: The spectrum that is zero everywhere.
NOTHING = Spectrum()


@dataclass(frozen=True, slots=True, kw_only=True)
class Optics:
    """Absorption, scattering and forwardness of a supply.

    Parameters
    ----------
    absorption, scattering : Spectrum
        Coefficients of the plain plastic [1/m], or what a unit mass share of a colourant adds
        to them. [1/m per kg/kg]
    anisotropy : float
        Mean cosine g of the scattering angle. [-]
    """

    absorption: Spectrum = NOTHING
    scattering: Spectrum = NOTHING
    anisotropy: float = 0.0
