"""Haze of clear grains and bubbles."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.physics.mie import mie_efficiencies

Floats = NDArray[np.floating]

#: Sizes that the haze of a cloud is computed for. [m]
FINEST, COARSEST = 0.5e-6, 3e-3
#: Widest spread of sizes, as a standard deviation of the logarithm. [-]
WIDEST_SPREAD = 1.0
#: How many wavelengths a cloud is summed at; the others lie between.
SOLVED = 7
#: Size parameter from which a sphere is taken as one of geometrical optics, in which only its
#: shadow counts: within 1 % in extinction, 10 % in what is turned away. [-]
GEOMETRICAL = 10_000.0


class Haze(NamedTuple):
    """How a cloud of grains or bubbles scatters.

    Parameters
    ----------
    scattering : ndarray, shape (..., wavelengths)
        Scattering coefficient. [1/m]
    anisotropy : ndarray, shape (..., wavelengths)
        Mean cosine of the scattering angle. [-]
    """

    scattering: Floats
    anisotropy: Floats


def cloud_haze(
    volume_fraction: float,
    diameter: float,
    index: ArrayLike,
    wavelength: ArrayLike,
    spread: float = 0.35,
) -> Haze:
    r"""Haze of a cloud of clear spheres whose sizes are spread.

    .. math::
        \mu_s = \tfrac{3}{2}\varphi\int f(d)\,Q_{sca}(d)/d\;\mathrm{d}d,\qquad
        \mu_s g = \tfrac{3}{2}\varphi\int f(d)\,Q_{sca}(d)\,g(d)/d\;\mathrm{d}d

    with f the share of the volume in grains of diameter d, log-normal.

    Parameters
    ----------
    volume_fraction : float
        Volume share φ of the spheres. [-]
    diameter : float
        Median by volume, or by mass as on a sieve. [m]
    index : ndarray, shape (wavelengths,)
        Refractive index of the sphere over that of the medium. [-]
    wavelength : ndarray, shape (wavelengths,)
        In the medium, rising. [m]
    spread : float
        Standard deviation of ln d; 0.35 means that four grains in five lie within a factor 1.57
        of the median. It irons out the ripple of a single size. [-]

    Returns
    -------
    haze : Haze
        Forward diffraction counts as scattered.

    Raises
    ------
    OutOfRange
        If the share is outside 0 to 1, or the diameter or the spread is not within reach of the
        series.

    Notes
    -----
    Spheres apart from each other: below some per cent by volume. Grains of salt are cubes and
    were seen to be off by a factor up to two.

    References
    ----------
    .. [1] `partline.physics.mie`; H. C. van de Hulst, "Light scattering by small particles,"
       1957, section 9.1, for the sum over sizes (from memory).
    """
    if not 0 <= volume_fraction <= 1:
        raise OutOfRange(
            f"A share of {volume_fraction:g} of the volume was given; it must lie in 0 to 1.",
            low=0.0, high=1.0, field="volume_fraction",
        )  # fmt: skip
    if not (0 < spread <= WIDEST_SPREAD and FINEST <= diameter <= COARSEST):
        raise OutOfRange(
            f"Grains of {diameter * 1e6:g} µm, spread {spread:g}, were given; their size must lie "
            f"in {FINEST * 1e6:g} to {COARSEST * 1e6:g} µm and its spread in 0 to "
            f"{WIDEST_SPREAD:g}.",
            low=FINEST, high=COARSEST, unit="m", field="diameter",
        )  # fmt: skip
    ratio, length = np.asarray(index, dtype=float), np.asarray(wavelength, dtype=float)
    # The average is smooth in the wavelength: a few of them do.
    places = np.linspace(0, length.size - 1, min(length.size, SOLVED)).round().astype(int)
    deviates, weights = _log_normal()
    sizes = diameter * np.exp(spread * deviates)
    rounds = np.minimum(np.pi * sizes / length[places, None], GEOMETRICAL)
    found = mie_efficiencies(ratio[places, None], rounds)
    thrown = weights * found.scattering / sizes
    total = thrown.sum(axis=-1)
    forward = (thrown * found.anisotropy).sum(axis=-1) / total
    return Haze(
        1.5 * volume_fraction * np.interp(length, length[places], total),
        np.interp(length, length[places], forward),
    )


@cache
def _log_normal() -> tuple[Floats, Floats]:
    """Return nodes in standard deviations and their weights: even steps, for a smooth integrand.

    Even steps over a bell curve converge faster than any power of the step.
    """
    nodes = np.linspace(-3.5, 3.5, 57)
    bell = np.exp(-0.5 * nodes**2)
    return nodes, bell / bell.sum()
