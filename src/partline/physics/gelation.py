"""Where a hot plastisol gel sets and melts again: the gel line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import InputError, OutOfRange

Floats = NDArray[np.floating]

#: How far below the gel line a cooling melt sets, until a bench has shown it; 10 to 40 K is from
#: memory. [K]
UNDERCOOLING: Final = 15.0
#: How far a soft gel may melt above or below the line: a guess, twice what two ways of carrying
#: the line down from 45 % resin differ by at most. [K]
LINE_DOUBT: Final = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GelLine:
    """Gel temperature against resin, a straight line of ln w against 1/T through one point.

    Parameters
    ----------
    resin : float
        Mass share of resin at the point. [-]
    temperature : float
        Gel temperature at the point. [K]
    steepness : float
        Heat of melting of the cross-links over the gas constant. [K]
    measured : tuple of float
        Lowest and highest share that was measured. [-]
    """

    resin: float
    temperature: float
    steepness: float
    measured: tuple[float, float]


def _share(resin: ArrayLike) -> Floats:
    w = np.asarray(resin, dtype=float)
    if not np.all((w > 0) & (w <= 1)):
        raise OutOfRange(
            "The share of resin must be above 0 and at most 1: without resin there is no gel.",
            low=0.0,
            high=1.0,
        )
    return w


def _kelvin(temperature: ArrayLike) -> Floats:
    kelvin = np.asarray(temperature, dtype=float)
    if not np.all((kelvin > 0) & np.isfinite(kelvin)):
        raise OutOfRange("A temperature must be above 0 K.", low=0.0, unit="K")
    return kelvin


def line_through(resin: ArrayLike, temperature: ArrayLike) -> GelLine:
    r"""Gel line through two measured points.

    .. math:: B = \ln(w_2/w_1) / (1/T_1 - 1/T_2)

    Parameters
    ----------
    resin : array_like, shape (2,)
        Mass shares of resin, rising. [-]
    temperature : array_like, shape (2,)
        Critical gel temperatures, rising. [K]

    Returns
    -------
    gel_line : GelLine
        Its `steepness` B is in kelvin; times the gas constant it is the heat of melting.

    Raises
    ------
    InputError
        If there are not two shares and two temperatures, both rising.
    OutOfRange
        If a share is outside 0 to 1, or a temperature not above absolute zero.

    Notes
    -----
    Two points leave no remainder to judge the line by; see `LINE_DOUBT`.

    References
    ----------
    .. [1] Eldridge, Ferry, J. Phys. Chem. 58 (1954) 992 (from memory).

    Examples
    --------
    >>> round(line_through([0.455, 0.704], [463.15, 483.15]).steepness)
    4884
    """
    w, kelvin = _share(resin), _kelvin(temperature)
    if not (w.shape == kelvin.shape == (2,) and w[0] < w[1] and kelvin[0] < kelvin[1]):
        raise InputError(
            "A gel line needs two shares of resin and their two gel temperatures, both rising."
        )
    steepness = np.log(w[1] / w[0]) / (1 / kelvin[0] - 1 / kelvin[1])
    return GelLine(
        resin=float(w[0]),
        temperature=float(kelvin[0]),
        steepness=float(steepness),
        measured=(float(w[0]), float(w[1])),
    )


#: PVC in DINP: 45.5 % at 190 °C and 70.4 % at 210 °C.
DINP_LINE: Final = line_through([0.455, 0.704], [463.15, 483.15])


def gel_temperature(resin: ArrayLike, gel_line: GelLine = DINP_LINE) -> Floats:
    r"""Temperature at which a warmed gel melts.

    .. math:: 1/T_g = 1/T_0 - \ln(w/w_0) / B

    Parameters
    ----------
    resin : float or ndarray, shape (...)
        Mass share w of resin in resin and plasticiser, fillers left out. [-]
    gel_line : GelLine
        Point and steepness; PVC in DINP if not told.

    Returns
    -------
    temperature : ndarray, shape (...)
        [K]

    Raises
    ------
    OutOfRange
        If a share is not above 0 and at most 1.

    Notes
    -----
    Measured from 45.5 to 70.4 % resin alone (`GelLine.measured`). A bait's 10 to 25 % is an
    extrapolation without a printed spread: written in volume shares the same two points give 2
    to 5 K more, and `LINE_DOUBT` is our guess of the whole doubt. These are heating values: on
    cooling the gel forms later (`setting_temperature`). Plasticisers that dissolve resin better
    than DINP gel lower.

    References
    ----------
    .. [1] "Rheological properties of PVC/plasticizer systems: relation between sol-gel
       transition and elongational viscosity" (PVC and DINP, 2014 to 2015; abstract seen).
    .. [2] Eldridge, Ferry, J. Phys. Chem. 58 (1954) 992 (from memory).

    Examples
    --------
    >>> round(float(gel_temperature(0.455)), 2)
    463.15
    """
    reach = np.log(_share(resin) / gel_line.resin) / gel_line.steepness
    return np.asarray(1.0 / (1.0 / gel_line.temperature - reach))


def gel_share(temperature: ArrayLike, gel_line: GelLine = DINP_LINE) -> Floats:
    r"""Share of resin from which a plastisol is a gel at a temperature.

    .. math:: w_g = w_0 \exp[-B (1/T - 1/T_0)]

    Parameters
    ----------
    temperature : float or ndarray, shape (...)
        [K]
    gel_line : GelLine
        Point and steepness; PVC in DINP if not told.

    Returns
    -------
    share : ndarray, shape (...)
        Mass share of resin; above 1, at more than 227 °C for DINP, no share is a gel. [-]

    Raises
    ------
    OutOfRange
        If a temperature is not above absolute zero.

    Notes
    -----
    The inverse of `gel_temperature`, with its range and its doubt: measured from 190 to 210 °C,
    extrapolated below. Near 160 °C, 10 K stand for more than a quarter of the share.

    References
    ----------
    .. [1] As `gel_temperature`.

    Examples
    --------
    >>> round(float(gel_share(463.15)), 3)
    0.455
    """
    inverse = 1.0 / _kelvin(temperature) - 1.0 / gel_line.temperature
    return np.asarray(gel_line.resin * np.exp(-gel_line.steepness * inverse))


def setting_temperature(
    resin: ArrayLike, undercooling: ArrayLike = UNDERCOOLING, gel_line: GelLine = DINP_LINE
) -> Floats:
    r"""Temperature at which a cooling melt sets and flows no more.

    .. math:: T_s = T_g(w) - \delta

    Parameters
    ----------
    resin : float or ndarray, shape (...)
        Mass share w of resin in resin and plasticiser, fillers left out. [-]
    undercooling : float or ndarray, shape (...)
        δ, how late the gel forms; to be fitted per grade. [K]
    gel_line : GelLine
        Point and steepness; PVC in DINP if not told.

    Returns
    -------
    temperature : ndarray, shape (...)
        [K]

    Raises
    ------
    OutOfRange
        If a share is not above 0 and at most 1, or the undercooling is below 0 or reaches
        absolute zero.

    Notes
    -----
    δ of 10 to 40 K is from memory, and it grows with the speed of cooling, which this leaves
    out. Range and doubt of the line itself as in `gel_temperature`.

    References
    ----------
    .. [1] As `gel_temperature`; the shift is ours.

    Examples
    --------
    >>> round(float(setting_temperature(0.455, 15.0)), 2)
    448.15
    """
    late = np.asarray(undercooling, dtype=float)
    melting = gel_temperature(resin, gel_line)
    if not np.all((late >= 0) & (late < melting)):
        raise OutOfRange(
            "A melt sets at or below its gel line: the undercooling cannot be below 0 K, "
            "nor take it to absolute zero.",
            low=0.0,
            unit="K",
        )
    return np.asarray(melting - late)
