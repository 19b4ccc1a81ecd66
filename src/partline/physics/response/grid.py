"""Where the response of a body is tabled: nodes of scattering and absorption, and look-up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.floating]


#: Mean cosine of the haze of clear plastic and that of pigments, and the reduced scattering times
#: the reference length at which a plastic is half way from one to the other. [-]
CLEAR, PIGMENTED, HALF_WAY = 0.85, 0.68, 0.15


def tabled_anisotropy(reduced: ArrayLike) -> Floats:
    """Mean cosine that scattering is followed with.

    Parameters
    ----------
    reduced : ndarray, shape (...)
        μs(1 − g) times the body's reference length. [-]

    Returns
    -------
    anisotropy : ndarray, shape (...)
        [-]

    Notes
    -----
    Where light is scattered many times only μs(1 − g) counts. Where it is scattered once or not
    at all the plastic is nearly clear, and its haze throws light forwards.
    """
    share = 1 / (1 + (np.asarray(reduced, dtype=float) / HALF_WAY) ** 1.5)
    return PIGMENTED + (CLEAR - PIGMENTED) * share


def tabled_scattering(reduced: ArrayLike) -> Floats:
    """Scattering μs with that mean cosine, times the reference length, shape (...). [-]"""
    return np.asarray(reduced, dtype=float) / (1 - tabled_anisotropy(reduced))


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Nodes, even in the logarithm of one plus the coefficient, from zero on.

    Parameters
    ----------
    scattering, absorption : int
        Number of nodes of each medium.
    least_scattering, least_absorption : float
        Below these, times the reference length, steps are even; plain plastic's own haze in a
        half of 6 mm lies at the first node above zero. [-]
    most_scattering, most_absorption : float
        Last node, times the reference length; scattering is the reduced one, μs(1 − g). [-]
    """

    scattering: int = 10
    absorption: int = 12
    least_scattering: float = 0.01
    least_absorption: float = 0.01
    most_scattering: float = 150.0
    most_absorption: float = 40.0

    @property
    def scattering_nodes(self) -> Floats:
        """Of μs(1 − g) times the reference length, shape (scattering,). [-]"""
        least = self.least_scattering
        return least * np.expm1(
            np.linspace(0.0, np.log1p(self.most_scattering / least), self.scattering)
        )

    @property
    def absorption_nodes(self) -> Floats:
        """Of μa times the reference length, shape (absorption,). [-]"""
        least = self.least_absorption
        return least * np.expm1(
            np.linspace(0.0, np.log1p(self.most_absorption / least), self.absorption)
        )

    def coordinates(self, scattering: ArrayLike, absorption: ArrayLike) -> Floats:
        """Where media lie among the nodes.

        Parameters
        ----------
        scattering, absorption : ndarray, shape (..., 2)
            μs(1 − g) and μa of both media times the reference length. [-]

        Returns
        -------
        place : ndarray, shape (..., 4)
            Scattering of the first and second, absorption of the first and second, in nodes. [-]

        Notes
        -----
        Beyond the last scattering node the absorption is scaled with the scattering: a medium
        that dense is as good as endless, and only their ratio counts. Beyond the last absorption
        node the last one stands: nothing comes back from there.
        """
        s = np.asarray(scattering, dtype=float)
        a = np.asarray(absorption, dtype=float)
        beyond = np.maximum(s / self.most_scattering, 1.0)
        s, a = s / beyond, np.minimum(a / beyond, self.most_absorption)
        top_s = np.log1p(self.most_scattering / self.least_scattering)
        top_a = np.log1p(self.most_absorption / self.least_absorption)
        return np.concatenate(
            [
                np.log1p(s / self.least_scattering) / top_s * (self.scattering - 1),
                np.log1p(a / self.least_absorption) / top_a * (self.absorption - 1),
            ],
            axis=-1,
        )
