"""How clear a water is: what it absorbs and throws at each wavelength, and its Secchi depth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from partline.data.cie import D65, OBSERVER, WAVELENGTHS
from partline.data.water import PURE_WATER
from partline.errors import OutOfRange

Floats = NDArray[np.floating]

#: Mean cosine of the light that goes down under a high sun or a grey sky. [-]
MEAN_COSINE = 0.85
#: Share of what particles throw that goes backwards: 0.01 to 0.03. [-]
BACKWARD = 0.018
# What each wavelength of daylight counts for an eye.
_EYE = OBSERVER[:, 1] * D65 / np.sum(OBSERVER[:, 1] * D65)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WaterOptics:
    """What a water does to light.

    Parameters
    ----------
    diffuse : ndarray, shape (wavelengths,)
        Diffuse attenuation of the light from above, Kd. [1/m]
    beam : ndarray, shape (wavelengths,)
        Beam attenuation, c: what is lost from a straight line of sight. [1/m]
    absorption : ndarray, shape (wavelengths,)
        [1/m]
    backscattering : ndarray, shape (wavelengths,)
        What is thrown into the backward half. [1/m]
    """

    diffuse: Floats
    beam: Floats
    absorption: Floats
    backscattering: Floats


def water_scattering(wavelength: ArrayLike) -> Floats:
    r"""Scattering of pure fresh water, :math:`0.00222\,(\lambda/500\,\mathrm{nm})^{-4.32}`.

    Parameters
    ----------
    wavelength : float or ndarray, shape (...)
        [m]

    Returns
    -------
    scattering : ndarray, shape (...)
        Half of it goes backwards; sea water throws 1.3 times as much. [1/m]

    References
    ----------
    .. [1] A. Morel, in "Optical Aspects of Oceanography," 1974: pure water (from memory).
    """
    scattering: Floats = 0.00222 * (np.asarray(wavelength, dtype=float) / 500e-9) ** -4.32
    return scattering


def particle_scattering(strength: ArrayLike, wavelength: ArrayLike) -> Floats:
    r"""Scattering of what floats in water, :math:`b\,(\lambda/550\,\mathrm{nm})^{-1}`.

    Parameters
    ----------
    strength : float or ndarray, shape (...)
        At 550 nm, b. [1/m]
    wavelength : float or ndarray, shape (...)
        [m]

    Returns
    -------
    scattering : ndarray, shape (...)
        [1/m]

    References
    ----------
    .. [1] H. R. Gordon and A. Morel, "Remote Assessment of Ocean Color," 1983: exponent near 1
       (from memory); coarse mud is flatter.
    """
    return np.asarray(strength, dtype=float) * 550e-9 / np.asarray(wavelength, dtype=float)


def tannin_absorption(strength: ArrayLike, wavelength: ArrayLike, slope: float = 0.014) -> Floats:
    r"""Absorption of dissolved tannin, :math:`a\,\exp[-S(\lambda - 440\,\mathrm{nm})]`.

    Parameters
    ----------
    strength : float or ndarray, shape (...)
        At 440 nm, a. [1/m]
    wavelength : float or ndarray, shape (...)
        [m]
    slope : float
        S, 0.010 to 0.020; mud and dead matter have about 0.011. [1/nm]

    Returns
    -------
    absorption : ndarray, shape (...)
        [1/m]

    References
    ----------
    .. [1] A. Bricaud, A. Morel, L. Prieur, Limnol. Oceanogr. 26 (1981) 43: 0.014 (from memory).
    """
    beyond = np.asarray(wavelength, dtype=float) * 1e9 - 440.0
    return np.asarray(strength, dtype=float) * np.exp(-slope * beyond)


def algae_absorption(strength: ArrayLike, wavelength: ArrayLike) -> Floats:
    """Absorption of algae: a broad band in the blue, a narrow one in the red.

    Parameters
    ----------
    strength : float or ndarray, shape (...)
        At 440 nm. [1/m]
    wavelength : float or ndarray, shape (...)
        [m]

    Returns
    -------
    absorption : ndarray, shape (...)
        [1/m]

    References
    ----------
    .. [1] Ours: two hills at the bands of chlorophyll, 440 and 675 nm, heights 1 to 0.5, on a
       low floor (shape from memory).
    """
    nm = np.asarray(wavelength, dtype=float) * 1e9
    blue = np.exp(-0.5 * ((nm - 440.0) / 45.0) ** 2)
    red = 0.5 * np.exp(-0.5 * ((nm - 675.0) / 12.0) ** 2)
    return np.asarray(strength, dtype=float) * (blue + red + 0.08) / 1.08


def _sideways(mean_cosine: float) -> float:
    """How much of what is scattered comes to lengthen the way down, G of Kirk."""
    return 0.425 * mean_cosine - 0.19


def diffuse_attenuation(
    absorption: ArrayLike, scattering: ArrayLike, mean_cosine: float = MEAN_COSINE
) -> Floats:
    r"""Diffuse attenuation of the light from above.

    .. math:: K_d = \frac{1}{\mu_0}\sqrt{a^2 + G a b},\quad G = 0.425\,\mu_0 - 0.19

    Parameters
    ----------
    absorption, scattering : float or ndarray, shape (...)
        Of the water with all that is in it, a and b. [1/m]
    mean_cosine : float
        Of the refracted light just below the surface, μ₀. [-]

    Returns
    -------
    attenuation : ndarray, shape (...)
        [1/m]

    Notes
    -----
    Made for b up to 30 times a, averaged down to a tenth of the light.

    References
    ----------
    .. [1] J. T. O. Kirk, Limnol. Oceanogr. 29 (1984) 350 (from memory).
    """
    a, b = np.asarray(absorption, dtype=float), np.asarray(scattering, dtype=float)
    return np.sqrt(a**2 + _sideways(mean_cosine) * a * b) / mean_cosine


def absorption_below(
    attenuation: ArrayLike, scattering: ArrayLike, mean_cosine: float = MEAN_COSINE
) -> Floats:
    """Absorption of a water of known diffuse attenuation: `diffuse_attenuation` backwards.

    Parameters
    ----------
    attenuation, scattering : float or ndarray, shape (...)
        Kd and b. [1/m]
    mean_cosine : float
        Of the refracted light just below the surface. [-]

    Returns
    -------
    absorption : ndarray, shape (...)
        [1/m]
    """
    b = _sideways(mean_cosine) * np.asarray(scattering, dtype=float)
    goal = mean_cosine * np.asarray(attenuation, dtype=float)
    # Written so that nothing cancels where scattering is much.
    return 2.0 * goal**2 / (b + np.sqrt(b**2 + 4.0 * goal**2))


def _fading_depth(attenuation: Floats, fading: float) -> float:
    """Depth at which daylight, as an eye weighs it, has faded to exp(−fading). [m]"""

    def excess(depth: float) -> float:
        # Measured from the clearest wavelength, so that nothing underflows.
        clearest = attenuation.min()
        seen = np.log(np.sum(_EYE * np.exp(-(attenuation - clearest) * depth)))
        return float(seen - clearest * depth + fading)

    low, high = fading / attenuation.max(), fading / attenuation.min()
    # The eye's weights lose at most as much as the faintest of them stands for.
    return float(brentq(excess, 0.5 * low, 1.01 * high, xtol=1e-9 * high))


def secchi_depth(optics: WaterOptics, coupling: float = 8.7) -> float:
    r"""Depth at which a white disk, looked at from above, goes out of sight.

    .. math:: \sum_\lambda w_\lambda \exp[-(c_\lambda + K_\lambda) Z] = e^{-\Gamma}

    Parameters
    ----------
    optics : WaterOptics
        The water.
    coupling : float
        Γ, 8 to 9.4 by day: the disk's contrast to the eye's threshold, as a logarithm. [-]

    Returns
    -------
    depth : float
        [m]

    Notes
    -----
    For a grey water this is Γ/(c + Kd). The eye's weights w are ours: they let the clearest
    window of a coloured water count, as far as an eye sees in it.

    References
    ----------
    .. [1] R. W. Preisendorfer, Limnol. Oceanogr. 31 (1986) 909 (abstract; Γ from memory).
    """
    return _fading_depth(optics.beam + optics.diffuse, coupling)


def lake_optics(
    tannin: float, algae: float, mud: float, scattering: float, strength: float = 1.0
) -> WaterOptics:
    """Water with tannin, algae and mud in it.

    Parameters
    ----------
    tannin, algae, mud : float
        Absorption at 440 nm of each, before `strength`. [1/m]
    scattering : float
        Of everything that floats, at 550 nm, before `strength`. [1/m]
    strength : float
        How much of that mixture there is; 0 for pure water. [-]

    Returns
    -------
    optics : WaterOptics
        At `partline.data.cie.WAVELENGTHS`.

    Raises
    ------
    OutOfRange
        If anything is below 0.
    """
    if min(tannin, algae, mud, scattering, strength) < 0:
        raise OutOfRange("What is in a water cannot be less than nothing.", low=0.0)
    pure, thrown = water_scattering(WAVELENGTHS), particle_scattering(scattering, WAVELENGTHS)
    added = (
        tannin_absorption(tannin, WAVELENGTHS)
        + algae_absorption(algae, WAVELENGTHS)
        + tannin_absorption(mud, WAVELENGTHS, slope=0.011)
    )
    absorption = PURE_WATER + strength * added
    total = pure + strength * thrown
    return WaterOptics(
        diffuse=diffuse_attenuation(absorption, total),
        beam=absorption + total,
        absorption=absorption,
        backscattering=0.5 * pure + BACKWARD * strength * thrown,
    )


def lake_of_clarity(
    secchi: float,
    tannin: float,
    algae: float,
    mud: float,
    scattering: float,
    *,
    coupling: float = 8.7,
) -> WaterOptics:
    """Lake water of known make-up, as much in it as lets a white disk be seen so far.

    Parameters
    ----------
    secchi : float
        Secchi depth. [m]
    tannin, algae, mud, scattering : float
        The make-up, as in `lake_optics`; only its proportions count. [1/m]
    coupling : float
        As in `secchi_depth`. [-]

    Returns
    -------
    optics : WaterOptics
        At `partline.data.cie.WAVELENGTHS`.

    Raises
    ------
    OutOfRange
        If a disk is seen deeper than in pure water, or not at all, or the make-up is empty.
    """
    if scattering <= 0:
        raise OutOfRange("Something must float in a water that hides a disk.", low=0.0)
    clearest = secchi_depth(lake_optics(0.0, 0.0, 0.0, 0.0), coupling)
    if not 0 < secchi < clearest:
        raise OutOfRange(
            f"A Secchi depth of {secchi:g} m was given; it must be above 0 m and below "
            f"{clearest:.0f} m: pure water itself hides a disk there.",
            low=0.0, high=clearest, unit="m", field="secchi",
            remedy="Lower a white disk until it is out of sight and read the line.",
        )  # fmt: skip

    def excess(logarithm: float) -> float:
        optics = lake_optics(tannin, algae, mud, scattering, float(np.exp(logarithm)))
        return float(np.log(secchi_depth(optics, coupling) / secchi))

    # From nothing in it to a disk out of sight at once: c of ten times Γ/Z is beyond the answer.
    high = np.log(10.0 * coupling / secchi / scattering)
    strength = float(np.exp(brentq(excess, -40.0, high, xtol=1e-12)))
    return lake_optics(tannin, algae, mud, scattering, strength)


def sea_particles(attenuation: float) -> float:
    r"""Scattering of what floats in the open sea, from how it dims the light from above.

    .. math::
        K_d(490) = 0.0166 + 0.0773\,C^{0.6715},\quad b(550) = 0.30\,C^{0.62}

    Parameters
    ----------
    attenuation : float
        Diffuse attenuation Kd at 490 nm. [1/m]

    Returns
    -------
    strength : float
        Scattering at 550 nm, for `particle_scattering`; the sea strays from it by a factor of
        0.4 to 1.5, coasts by more. [1/m]

    Notes
    -----
    C is the chlorophyll, in mg/m³, of a sea in which everything comes from algae. For a coast it
    is a stand-in.

    References
    ----------
    .. [1] A. Morel et al., Remote Sens. Environ. 111 (2007) 69, Kd(490) (from memory).
    .. [2] H. R. Gordon and A. Morel, "Remote Assessment of Ocean Color," 1983: 0.30, 0.12 to
       0.45 (from memory).
    """
    algae = (max(attenuation - 0.0166, 0.0) / 0.0773) ** (1.0 / 0.6715)
    return float(0.30 * algae**0.62)


def sea_optics(attenuation: ArrayLike, strength: float) -> WaterOptics:
    """Sea water of known diffuse attenuation.

    Parameters
    ----------
    attenuation : ndarray, shape (wavelengths,)
        Diffuse attenuation, such as `partline.data.water.JERLOV` holds. [1/m]
    strength : float
        Scattering of what floats, at 550 nm, such as `sea_particles` tells. [1/m]

    Returns
    -------
    optics : WaterOptics
        With the absorption that brings the attenuation about.

    Raises
    ------
    OutOfRange
        If an attenuation is not above 0, or the scattering is below 0.

    Notes
    -----
    Jerlov's types tell the light from above only. How far one sees along a line of sight hangs on
    `strength`.
    """
    diffuse = np.asarray(attenuation, dtype=float)
    if not (np.all(diffuse > 0) and strength >= 0):
        raise OutOfRange(
            "A diffuse attenuation must be above 0 /m, and scattering not below.",
            low=0.0, unit="1/m",
        )  # fmt: skip
    pure, thrown = 1.3 * water_scattering(WAVELENGTHS), particle_scattering(strength, WAVELENGTHS)
    absorption = absorption_below(diffuse, thrown + pure)
    return WaterOptics(
        diffuse=diffuse,
        beam=absorption + thrown + pure,
        absorption=absorption,
        backscattering=0.5 * pure + BACKWARD * thrown,
    )
