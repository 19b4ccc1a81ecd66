"""The hottest place of a cup in the oven: more power than in the mean, until it is stirred."""

from __future__ import annotations

from math import cosh, exp, pi, sinh

from partline.materials.published import published
from partline.process.plastic_heat import diffusivity
from partline.quantities.estimate import Estimate, Origin

#: Power at the worst place over the mean, of what a turntable does not even out. A guess.
PATCHES = Estimate(
    value=1.25, low=1.05, high=1.6, origin=Origin.DEFAULT,
    source="standing waves that a turntable leaves", narrows="two readings before stirring, in "
    "the middle and at the edge",
)  # fmt: skip
#: Distance from a hot patch to a cold one: a quarter of the wave in plastic of permittivity 3. [m]
PATCH = 0.0177


def edge_power(bore: float, depth: float) -> float:
    r"""Power at a cup's wall over its mean, for waves that fade on their way in from all round.

    .. math:: \frac{\cosh x}{2\,(x\sinh x - \cosh x + 1)/x^2},\quad x = R/\delta

    Parameters
    ----------
    bore : float
        Of the cup, 2 R. [m]
    depth : float
        That the power fades to a third in, δ. [m]

    Returns
    -------
    share : float
        At least 1. [-]
    """
    x = bore / 2 / depth
    return cosh(x) * x**2 / (2 * (x * sinh(x) - cosh(x) + 1))


def worst_share(bore: float) -> Estimate:
    """Return the power at a cup's worst place over the mean: fading and patches together. [-]

    Parameters
    ----------
    bore : float
        Of the cup. [m]
    """
    depth = published("gel", "microwave penetration depth").estimate()
    fading = Estimate(
        value=edge_power(bore, depth.value),
        low=edge_power(bore, depth.high),
        high=edge_power(bore, depth.low),
        origin=Origin.COMPUTED,
    )
    return Estimate(
        value=PATCHES.value * fading.value,
        low=PATCHES.low * fading.low,
        high=PATCHES.high * fading.high,
        origin=Origin.DEFAULT,
        source="waves that fade on their way in, and patches that a turntable leaves",
        narrows=PATCHES.narrows,
    )


def excess(share: float, rise: float, seconds: float) -> float:
    """Return how much hotter than the mean the worst place is after a burst. [K]

    Parameters
    ----------
    share : float
        Power there over the mean. [-]
    rise : float
        Of the mean by the oven, in the burst. [K]
    seconds : float
        Of the burst. [s]

    Notes
    -----
    Conduction evens a patch out in some seven minutes; a thin hot melt also turns over by
    itself, which is left out: it can only help.
    """
    if seconds <= 0:
        return 0.0
    evening = PATCH**2 / (pi**2 * diffusivity().value)
    kept = evening / seconds * (1 - exp(-seconds / evening))
    return (share - 1) * rise * kept
