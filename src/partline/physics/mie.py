"""Light on one sphere: how much it throws, and how far forward."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.numerics.compiled import compiled

Floats = NDArray[np.floating]
Complexes = NDArray[np.complexfloating]

#: Size parameters that the series was checked for. [-]
SMALLEST, LARGEST = 0.01, 30_000.0


class Efficiencies(NamedTuple):
    """What a sphere does to a beam, against its own shadow.

    Parameters
    ----------
    extinction, scattering : ndarray, shape (...)
        Cross-section over the area of the shadow. [-]
    anisotropy : ndarray, shape (...)
        Mean cosine of the scattering angle. [-]
    """

    extinction: Floats
    scattering: Floats
    anisotropy: Floats


@compiled(__file__)
def _series(index: Complexes, size: Floats, answer: Floats) -> None:  # pragma: no cover
    """Sum the series of each sphere into the columns of `answer`, shape (spheres, 3)."""
    for sphere in range(size.size):
        x, m = size[sphere], index[sphere]
        orders = int(x + 4.05 * x ** (1.0 / 3.0) + 2.0)
        # Logarithmic derivative of ψ at mx, downwards: the only stable way. It begins far enough
        # above the turning point |mx| to have forgotten its beginning.
        inside = abs(m * x)
        start = int(max(float(orders), inside) + 8.0 * inside ** (1.0 / 3.0)) + 16
        slope = np.zeros(start + 1, dtype=np.complex128)
        for n in range(start, 0, -1):
            ratio = n / (m * x)
            slope[n - 1] = ratio - 1.0 / (slope[n] + ratio)
        # ψ(x) and χ(x), upwards.
        psi_before, psi = np.cos(x), np.sin(x)
        chi_before, chi = -np.sin(x), np.cos(x)
        a_before, b_before = 0.0j, 0.0j
        extinction = scattering = forward = 0.0
        for n in range(1, orders + 1):
            psi_next = (2 * n - 1) / x * psi - psi_before
            chi_next = (2 * n - 1) / x * chi - chi_before
            xi, xi_before = psi_next - 1j * chi_next, psi - 1j * chi
            electric = slope[n] / m + n / x
            magnetic = slope[n] * m + n / x
            a = (electric * psi_next - psi) / (electric * xi - xi_before)
            b = (magnetic * psi_next - psi) / (magnetic * xi - xi_before)
            extinction += (2 * n + 1) * (a.real + b.real)
            scattering += (2 * n + 1) * (abs(a) ** 2 + abs(b) ** 2)
            forward += (2 * n + 1) / (n * (n + 1.0)) * (a * b.conjugate()).real
            if n > 1:
                together = a_before * a.conjugate() + b_before * b.conjugate()
                forward += (n - 1.0) * (n + 1.0) / n * together.real
            a_before, b_before = a, b
            psi_before, psi = psi, psi_next
            chi_before, chi = chi, chi_next
        answer[sphere, 0] = 2.0 * extinction / x**2
        answer[sphere, 1] = 2.0 * scattering / x**2
        answer[sphere, 2] = 2.0 * forward / scattering


def mie_efficiencies(index: ArrayLike, size: ArrayLike) -> Efficiencies:
    r"""Extinction, scattering and mean cosine of a sphere in a clear medium.

    .. math::
        Q_{ext} = \frac{2}{x^2}\sum (2n+1)\,\Re(a_n + b_n),\quad
        Q_{sca} = \frac{2}{x^2}\sum (2n+1)\,(|a_n|^2 + |b_n|^2)

    Parameters
    ----------
    index : float, complex or ndarray, shape (...)
        Refractive index of the sphere over that of the medium, m = n − ik or n + ik: either
        sign of the absorbing part means the same. [-]
    size : float or ndarray, shape (...)
        Circumference over the wavelength in the medium, :math:`x = \pi d n_0/\lambda`. [-]

    Returns
    -------
    efficiencies : Efficiencies
        Of each sphere.

    Raises
    ------
    OutOfRange
        If a size lies outside 0.01 to 30,000, an index has no real part above 0, or it is the
        medium's own, so that there is nothing to see.

    References
    ----------
    .. [1] C. F. Bohren and D. R. Huffman, "Absorption and Scattering of Light by Small
       Particles," 1983, Eqs. (4.61), (4.62), (4.88), (4.89) and appendix A (from memory).
    .. [2] W. J. Wiscombe, Appl. Opt. 19 (1980) 1505: how many terms (from memory).

    Examples
    --------
    >>> float(mie_efficiencies(1.5, 10.0).extinction)
    2.882
    """
    ratio, sizes = np.broadcast_arrays(
        np.asarray(index, dtype=complex), np.asarray(size, dtype=float)
    )
    if not (np.all(sizes >= SMALLEST) and np.all(sizes <= LARGEST)):
        raise OutOfRange(
            f"A sphere's size parameter must lie in {SMALLEST:g} to {LARGEST:g}: circumference "
            "over wavelength.",
            low=SMALLEST, high=LARGEST, field="size",
        )  # fmt: skip
    if not (np.all(ratio.real > 0) and np.all(ratio != 1)):
        raise OutOfRange("A sphere's index must be above 0, and another than the medium's.")
    spheres = np.ascontiguousarray(ratio.real + 1j * np.abs(ratio.imag)).ravel()
    answer = np.empty((spheres.size, 3))
    _series(spheres, np.ascontiguousarray(sizes).ravel(), answer)
    found = answer.reshape(*sizes.shape, 3)
    return Efficiencies(found[..., 0], found[..., 1], found[..., 2])
