"""How thick a hot plastisol is: plasticiser, dissolved resin, fillers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import InputError, OutOfRange
from partline.physics.gelation import DINP_LINE, UNDERCOOLING, GelLine, gel_share
from partline.physics.mixtures import expanded_density

Floats = NDArray[np.floating]

#: How the melt thickens with resin far from the gel line: the power of its share.
RESIN_POWER: Final = 4.0
#: How it thickens towards the gel line; 1.4 to 1.6 was measured.
GEL_POWER: Final = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Vogel:
    """Kinematic viscosity of a liquid against temperature, and the density that goes with it.

    Parameters
    ----------
    scale : float
        Viscosity that the liquid would tend to when ever hotter. [m²/s]
    steepness : float
        How it falls with the temperature. [K]
    pole : float
        Temperature at which it would be infinite. [K]
    density : float
        At 23 °C. [kg/m³]
    expansion : float
        Mean volumetric expansion from 23 °C. [1/K]
    measured : tuple of float
        Lowest and highest temperature that was measured. [K]
    """

    scale: float
    steepness: float
    pole: float
    density: float
    expansion: float
    measured: tuple[float, float]


#: Fit to four printed points at 0, 20, 37.8 and 100 °C, within 2.5 %; expansion from memory.
DINP: Final = Vogel(
    scale=1e-6 * float(np.exp(-1.61415)),
    steepness=601.0537,
    pole=196.4321,
    density=970.0,
    expansion=7.4e-4,
    measured=(273.15, 373.15),
)
#: Through three printed points at 0, 37.8 and 100 °C; 986 kg/m³ at 20 °C, expansion from memory.
DEHP: Final = Vogel(
    scale=1e-6 * float(np.exp(-1.8012)),
    steepness=608.69,
    pole=194.68,
    density=984.0,
    expansion=7.4e-4,
    measured=(273.15, 373.15),
)


def plasticiser_viscosity(temperature: ArrayLike, liquid: Vogel = DINP) -> Floats:
    r"""Viscosity of the plasticiser alone.

    .. math:: \eta_s = \rho(T)\,\nu_\infty \exp[B/(T - T_\infty)]

    Parameters
    ----------
    temperature : float or ndarray, shape (...)
        [K]
    liquid : Vogel
        Coefficients; those of DINP if not told.

    Returns
    -------
    viscosity : ndarray, shape (...)
        Dynamic viscosity. [Pa·s]

    Raises
    ------
    OutOfRange
        If a temperature is not above the liquid's pole, below which it is a glass.

    Notes
    -----
    Fitted to 0 to 100 °C (`Vogel.measured`), within 2.5 % for DINP. At a bait maker's 150 to
    180 °C it is an extrapolation: another form through the same points (Walther's) gives 1.7
    where this gives 2.0 mPa·s at 170 °C. Newtonian.

    References
    ----------
    .. [1] Kinematic viscosities of DINP and DEHP: monograph of the Merck Index kind, stored
       public page (seen); the fits are the project's.
    .. [2] Vogel, Phys. Z. 22 (1921) 645 (from memory).

    Examples
    --------
    >>> round(float(plasticiser_viscosity(443.15)) * 1e3, 1)
    2.0
    """
    kelvin = np.asarray(temperature, dtype=float)
    if not np.all((kelvin > liquid.pole) & np.isfinite(kelvin)):
        raise OutOfRange(
            f"A plasticiser is a liquid above {liquid.pole:.1f} K only.",
            low=liquid.pole,
            unit="K",
        )
    with np.errstate(over="ignore"):  # infinite just above the pole
        kinematic = liquid.scale * np.exp(liquid.steepness / (kelvin - liquid.pole))
    return np.asarray(kinematic * expanded_density(liquid.density, liquid.expansion, kelvin))


def filler_factor(
    volume_fraction: ArrayLike, packing: ArrayLike = 0.55, intrinsic: ArrayLike = 3.1
) -> Floats:
    r"""How many times thicker grains make a liquid.

    .. math:: \eta/\eta_0 = (1 - \varphi/\varphi_m)^{-[\eta]\varphi_m}

    Parameters
    ----------
    volume_fraction : float or ndarray, shape (...)
        Share φ of the volume that is grains. [-]
    packing : float or ndarray, shape (...)
        Share φm at which they jam: rough and cubic grains 0.50 to 0.58, like spheres 0.58 to
        0.64, spheres of many sizes 0.68. [-]
    intrinsic : float or ndarray, shape (...)
        Intrinsic viscosity [η]: 2.5 for spheres, 3.1 for angular grains. [-]

    Returns
    -------
    factor : ndarray, shape (...)
        1 without grains; infinite where they jam. [-]

    Raises
    ------
    OutOfRange
        If the volume share is outside 0 to 1, the packing not above 0 and at most 1, or the
        intrinsic viscosity not above 0.

    Notes
    -----
    For grains well below the gap they flow through, slow shear, no settling; useful to about
    φ = 0.9 φm. Flakes jam far lower and need a law of their own aspect.

    References
    ----------
    .. [1] Krieger, Dougherty, Trans. Soc. Rheol. 3 (1959) 137 (from memory); form also in
       Table 6 of PMC8391775 (seen). Typical φm from memory.

    Examples
    --------
    >>> round(float(filler_factor(0.2, 0.64, 2.5)), 3)
    1.821
    """
    filled, full = np.asarray(volume_fraction, dtype=float), np.asarray(packing, dtype=float)
    power = np.asarray(intrinsic, dtype=float)
    if not np.all((filled >= 0) & (filled <= 1)):
        raise OutOfRange("The volume share of grains must lie in 0 to 1.", low=0.0, high=1.0)
    if not np.all((full > 0) & (full <= 1) & (power > 0)):
        raise OutOfRange(
            "Grains jam at a volume share above 0 and at most 1, and their intrinsic viscosity "
            "must be above 0.",
            low=0.0,
            high=1.0,
        )
    room = np.maximum(1.0 - filled / full, 0.0)
    return _thickening(room, power * full)


def gel_viscosity(
    resin: ArrayLike,
    temperature: ArrayLike,
    solvent_viscosity: ArrayLike,
    melt_scale: ArrayLike,
    undercooling: ArrayLike = UNDERCOOLING,
    gel_line: GelLine = DINP_LINE,
) -> Floats:
    r"""Viscosity of a hot fused plastisol without fillers.

    .. math:: \eta = K\,\eta_s\,w^4\,[1 - w/w_g(T + \delta)]^{-1.5}

    Parameters
    ----------
    resin : float or ndarray, shape (...)
        Mass share w of resin in resin and plasticiser, fillers left out. [-]
    temperature : float or ndarray, shape (...)
        T of the melt. [K]
    solvent_viscosity : float or ndarray, shape (...)
        ηs, of the plasticiser at this temperature. [Pa·s]
    melt_scale : float or ndarray, shape (...)
        K, from one timed flow (`melt_scale_from`). [-]
    undercooling : float or ndarray, shape (...)
        δ, how far below the gel line the melt sets; fitted from a second flow, cooler. [K]
    gel_line : GelLine
        wg against temperature; PVC in DINP if not told.

    Returns
    -------
    viscosity : ndarray, shape (...)
        At low shear; infinite where the melt has set. [Pa·s]

    Raises
    ------
    OutOfRange
        If a share is not above 0 and at most 1, a viscosity or the scale not above 0, the
        undercooling below 0, or a temperature not above absolute zero.

    Notes
    -----
    For 10 to 30 % resin, from the setting temperature to about 200 °C. No measured viscosity of
    a fused plastisol of 15 to 25 % was found: the power 1.5 was measured before the gel point at
    one temperature, the power 4 and the product are the project's suggestion, K is free. Until
    it is fitted, 20 % at 170 to 175 °C is 1 Pa·s within 0.3 to 5. With an undercooling of 15 K the
    steps from 15 to 20 and 25 % resin are those of Martin's equation within 30 %; without one
    the step to 25 % is nearly thrice as steep. Multiply by `filler_factor` for grains.

    References
    ----------
    .. [1] Li, Uchida, Aoki, Yao, Macromolecules 30 (1997) 7842: η0 as (1 − c/cg)^−1.5±0.1
       (abstract seen).
    .. [2] Gel line as `gel_temperature`; plasticiser as `plasticiser_viscosity`.

    Examples
    --------
    >>> hot, set_ = gel_viscosity(0.2, [448.15, 410.0], 1.87e-3, 4e4)
    >>> bool(hot < 2.0), float(set_)
    (True, inf)
    """
    solvent, scale = (np.asarray(each, dtype=float) for each in (solvent_viscosity, melt_scale))
    if not np.all((solvent > 0) & (scale > 0)):
        raise OutOfRange(
            "The viscosity of a plasticiser and the scale of its melts must be above 0.", low=0.0
        )
    shape = _melt_shape(resin, temperature, undercooling, gel_line)
    return np.asarray(scale * solvent * shape)


def melt_scale_from(
    viscosity: ArrayLike,
    resin: ArrayLike,
    temperature: ArrayLike,
    solvent_viscosity: ArrayLike,
    undercooling: ArrayLike = UNDERCOOLING,
    gel_line: GelLine = DINP_LINE,
) -> Floats:
    r"""Scale K that a measured viscosity of a melt without fillers stands for.

    .. math:: K = \eta\,[1 - w/w_g(T + \delta)]^{1.5} / (\eta_s w^4)

    Parameters
    ----------
    viscosity : float or ndarray, shape (...)
        η as measured. [Pa·s]
    resin : float or ndarray, shape (...)
        Mass share w of resin in resin and plasticiser, fillers left out. [-]
    temperature : float or ndarray, shape (...)
        T of the melt. [K]
    solvent_viscosity : float or ndarray, shape (...)
        ηs, of the plasticiser at this temperature. [Pa·s]
    undercooling : float or ndarray, shape (...)
        δ, how far below the gel line the melt sets. [K]
    gel_line : GelLine
        wg against temperature; PVC in DINP if not told.

    Returns
    -------
    melt_scale : ndarray, shape (...)
        [-]

    Raises
    ------
    InputError
        If the melt could not have flowed: by this gel line and undercooling it had set.
    OutOfRange
        If a viscosity is not above 0 and finite, or as in `gel_viscosity`.

    Notes
    -----
    The inverse of `gel_viscosity` in K alone, with its range. A degree on the thermometer changes
    K of 20 % resin by 4 % at 175 °C and by 7 % at 160 °C, far more with a smaller undercooling:
    measure hot.

    References
    ----------
    .. [1] As `gel_viscosity`.

    Examples
    --------
    >>> scale = melt_scale_from(1.0, 0.2, 448.15, 1.87e-3)
    >>> round(float(gel_viscosity(0.2, 448.15, 1.87e-3, scale)), 6)
    1.0
    """
    measured, solvent = (np.asarray(each, dtype=float) for each in (viscosity, solvent_viscosity))
    if not np.all((measured > 0) & (solvent > 0) & np.isfinite(measured)):
        raise OutOfRange("A viscosity must be above 0 and finite.", low=0.0, unit="Pa·s")
    shape = _melt_shape(resin, temperature, undercooling, gel_line)
    if not np.all(np.isfinite(shape)):
        raise InputError(
            "By the gel line this melt had set when it was measured; a flow can only be timed "
            "above it.",
            remedy="Measure hotter, or allow a larger undercooling.",
        )
    return np.asarray(measured / (solvent * shape))


def _melt_shape(
    resin: ArrayLike, temperature: ArrayLike, undercooling: ArrayLike, gel_line: GelLine
) -> Floats:
    """Viscosity over K times the plasticiser's: w⁴ [1 − w/wg(T + δ)]^−1.5."""
    w, late = np.asarray(resin, dtype=float), np.asarray(undercooling, dtype=float)
    kelvin = np.asarray(temperature, dtype=float)
    if not np.all((w > 0) & (w <= 1)):
        raise OutOfRange("The share of resin must be above 0 and at most 1.", low=0.0, high=1.0)
    if not (np.all(late >= 0) and np.all(kelvin > 0)):
        raise OutOfRange(
            "A temperature must be above 0 K, an undercooling not below 0 K.", low=0.0, unit="K"
        )
    # A melt sets late: at T it is as far from its gel as the line is at T + δ.
    w, limit = np.broadcast_arrays(w, gel_share(kelvin + late, gel_line))
    flows = w < limit
    room = np.divide(limit - w, limit, out=np.zeros(w.shape), where=flows)
    return np.asarray(w**RESIN_POWER * _thickening(room, GEL_POWER))


def _thickening(room: Floats, power: ArrayLike) -> Floats:
    """Room to the power −`power`, infinite where there is no room left."""
    flowing = room ** np.asarray(power, dtype=float)
    infinite = np.full(np.shape(flowing), np.inf)
    with np.errstate(over="ignore"):  # a room so narrow that nothing passes
        return np.asarray(np.divide(1.0, flowing, out=infinite, where=flowing > 0))
