"""Viscosity of a liquid from the time that it takes to run out of a straight tube."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.quantities.constants import STANDARD_GRAVITY

Floats = NDArray[np.floating]

#: Largest share of the head that speeding the liquid up may take, before it is no longer a tube's
#: flow: Hagenbach's correction. [-]
MOST_SPEEDING = 0.2


def drained_viscosity(
    time: ArrayLike,
    volume: ArrayLike,
    bore: ArrayLike,
    tube_length: ArrayLike,
    *,
    head_before: ArrayLike,
    head_after: ArrayLike,
    density: ArrayLike,
) -> Floats:
    r"""Viscosity from the time that a vessel of upright walls takes to drain through a tube.

    .. math::
        \eta = \frac{\pi\,\rho\,g\,d^4\,t}{128\,L\,V}\,
        \frac{h_1-h_2}{\ln(h_1/h_2)} - \frac{m\,\rho\,V}{8\,\pi\,L\,t},\quad m = 1.1

    Parameters
    ----------
    time : float or ndarray, shape (...)
        Of the drain, t. [s]
    volume : float or ndarray, shape (...)
        That ran out, V. [m³]
    bore : float or ndarray, shape (...)
        Diameter of the tube, d. [m]
    tube_length : float or ndarray, shape (...)
        L. [m]
    head_before, head_after : float or ndarray, shape (...)
        Height of the liquid's surface over the lower end of the tube, h1 and h2. [m]
    density : float or ndarray, shape (...)
        Of the liquid, ρ. [kg/m³]

    Returns
    -------
    viscosity : ndarray, shape (...)
        [Pa·s]

    Raises
    ------
    OutOfRange
        If a size is not above 0, the head does not fall, or speeding the liquid up would take
        more than a fifth of the head: it runs too fast to tell its viscosity by this.

    Notes
    -----
    Hagen and Poiseuille's tube under the mean head of a falling surface, less Hagenbach's kinetic
    term. Newtonian liquid, steady flow, Re well under 2000, which that last limit holds for any
    tube some bores long. Plastisol thins with shear: what is told is the viscosity at this flow.

    References
    ----------
    .. [1] H. A. Barnes, J. F. Hutton, K. Walters, An Introduction to Rheology (Elsevier, 1989),
       sec. 2.4.7 (from memory); Hagenbach's coefficient 1.1, ibid.

    Examples
    --------
    >>> thick = drained_viscosity(
    ...     60.0, 20e-6, 4e-3, 30e-3, head_before=90e-3, head_after=70e-3, density=1000.0
    ... )
    >>> round(float(thick), 3)
    0.49
    """
    t, v, d, length, before, after, rho = (
        np.asarray(each, dtype=float)
        for each in (time, volume, bore, tube_length, head_before, head_after, density)
    )
    if not all(np.all(each > 0) for each in (t, v, d, length, after, rho)):
        raise OutOfRange("A time and a size must be above 0.", low=0.0)
    if not np.all(before > after):
        raise OutOfRange("The surface must fall while the vessel drains.", low=0.0, unit="m")
    head = (before - after) / np.log(before / after)
    friction = np.pi * rho * STANDARD_GRAVITY * d**4 * t * head / (128 * length * v)
    speeding = 1.1 * rho * v / (8 * np.pi * length * t)
    if not np.all(speeding < MOST_SPEEDING * friction):
        raise OutOfRange(
            "It runs out so fast that most of its weight goes into speed, not into friction.",
            low=0.0, unit="s",
        )  # fmt: skip
    return np.asarray(friction - speeding)
