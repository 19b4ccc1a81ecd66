r"""What several runs tell of one constant of a bench: each run a little off, all of them about it.

A run :math:`r` measures the logarithm of the constant as :math:`y_r` with its own doubt
:math:`s_r`. No two runs are quite alike (a draught, a fuller cup, another place on the turntable),
so that runs scatter by a further :math:`\omega` which is learned with it:

.. math:: y_r \sim N(\mu, s_r^2 + \omega^2),\quad \mu \sim N(m_0, s_0^2),\quad
          \omega \sim \text{half-normal}(\omega_0)

The most likely pair and the curvature about it (Laplace) give the answer. What all runs share of a
law's own error (:math:`c`, such as a heat capacity that nobody measured) no number of runs takes
away: they tell :math:`\mu + c`, which the next run will show again, and :math:`\mu` itself no
better than :math:`c` allows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from partline.errors import ConvergenceError, InputError
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin

Floats = NDArray[np.floating]

#: How far runs of one bench scatter about its constant, as a guess. [-]
USUAL_SCATTER = 0.08
#: Step of the second differences, in the parameters' own units (logarithms). [-]
STEP = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What one run tells of a constant.

    Parameters
    ----------
    run : str
        Its code.
    value : float
        As it was measured, above 0. [the constant's SI unit]
    doubt : float
        Standard deviation of its logarithm. [-]
    count : int
        Readings or bursts behind it.
    """

    run: str
    value: float
    doubt: float
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """A constant before and after the runs.

    Parameters
    ----------
    before, after : Estimate
        The constant of the bench. [SI]
    next_run : Estimate
        What the next run is to be expected to show of it, scatter included. [SI]
    scatter : float
        Most likely scatter from run to run, of the logarithm. [-]
    runs : tuple of Measured
        That it rests on.
    """

    before: Estimate
    after: Estimate
    next_run: Estimate
    scatter: float
    runs: tuple[Measured, ...]


def learn(
    before: Estimate,
    runs: Sequence[Measured],
    *,
    narrows: str = "",
    common: float = 0.0,
    usual: float = USUAL_SCATTER,
) -> Learned:
    """Return what is known of a constant after some runs.

    Parameters
    ----------
    before : Estimate
        What is thought without any run; positive, its range that of a log-normal. [SI]
    runs : sequence of Measured
        Each at most once.
    narrows : str
        The measurement that would narrow it most.
    common : float
        Standard deviation of what every run errs by alike, of the logarithm. [-]
    usual : float
        How far runs are thought to scatter about the constant. [-]

    Returns
    -------
    Learned
        Without runs, what was thought before.

    Raises
    ------
    InputError
        If a value or a doubt is not above 0, or a run is told twice.
    ConvergenceError
        If the most likely pair is not found.

    References
    ----------
    .. [1] A. Gelman and others, Bayesian Data Analysis, 3rd ed., sections 4.1 and 5.4 (from
       memory).
    """
    if common < 0 or not before.low > 0 or any(not (r.value > 0 and r.doubt > 0) for r in runs):
        raise InputError("A constant of the bench, and its doubt, are above 0.")
    if len({r.run for r in runs}) < len(runs):
        raise InputError("A run tells of a constant once.")
    if not runs:
        return Learned(before=before, after=before, next_run=before, scatter=usual, runs=())
    middle = log(before.value)
    own = max(log(before.high / before.low) / (2 * HALF_RANGE), 1e-6)
    spread = float(np.hypot(own, common))
    y = np.array([log(r.value) for r in runs])
    s = np.array([r.doubt for r in runs])

    def cost(where: Floats) -> float:
        return minus_log_posterior(where, y, s, middle, spread, usual)

    found = minimize(cost, _start(y, s, middle, spread, usual), method="Nelder-Mead",
                     options={"xatol": 1e-8, "fatol": 1e-10, "maxiter": 4000})  # fmt: skip
    if not found.success:
        message = f"What the runs tell did not settle: {found.message}"
        raise ConvergenceError(message)
    best = np.asarray(found.x, dtype=float)
    covariance = np.linalg.inv(_curvature(cost, best))
    deviation = float(np.sqrt(covariance[0, 0]))
    scatter = exp(float(best[1]))
    # Runs differ by more than the most likely scatter as often as by less.
    widest = float(np.hypot(deviation, scatter * exp(0.5 * float(covariance[1, 1]))))
    count = sum(r.count for r in runs)
    told = f"{len(runs)} run{'' if len(runs) == 1 else 's'}"
    # Of the sum that the runs tell, the constant takes its part and the common error the rest.
    part = (own / spread) ** 2
    true = middle + part * (float(best[0]) - middle)
    doubt = float(np.hypot(part * deviation, common * own / spread))
    return Learned(
        before=before,
        after=_estimate(true, doubt, count, told, narrows),
        next_run=_estimate(float(best[0]), widest, count, f"{told}, and their scatter", narrows),
        scatter=scatter,
        runs=tuple(runs),
    )


def minus_log_posterior(
    where: Floats,
    y: Floats,
    s: Floats,
    middle: float,
    spread: float,
    usual: float = USUAL_SCATTER,
) -> float:
    """Return minus the logarithm of the posterior, less a constant.

    Parameters
    ----------
    where : ndarray, shape (2,)
        Mean of the logarithm, and logarithm of the scatter. [-]
    y, s : ndarray, shape (runs,)
        What each run tells, and its doubt, in logarithms. [-]
    middle, spread : float
        What is thought of the mean before. [-]
    usual : float
        Of the scatter. [-]
    """
    mu, omega = float(where[0]), exp(min(float(where[1]), 50.0))
    variance = s**2 + omega**2
    misfit = 0.5 * float(np.sum((y - mu) ** 2 / variance + np.log(variance)))
    before = 0.5 * ((mu - middle) / spread) ** 2 + 0.5 * (omega / usual) ** 2
    return misfit + before - float(where[1])  # of the logarithm of the scatter


def _start(y: Floats, s: Floats, middle: float, spread: float, usual: float) -> Floats:
    weight = np.append(1 / (s**2 + usual**2), 1 / spread**2)
    return np.array([np.average(np.append(y, middle), weights=weight), log(usual)])


def _curvature(cost: object, best: Floats) -> Floats:
    """Return the second derivatives of a function about a place, by central differences."""
    assert callable(cost)
    steps = np.eye(2) * STEP
    found = np.empty((2, 2))
    for i in range(2):
        for j in range(2):
            found[i, j] = (
                cost(best + steps[i] + steps[j]) - cost(best + steps[i] - steps[j])
                - cost(best - steps[i] + steps[j]) + cost(best - steps[i] - steps[j])
            ) / (4 * STEP**2)  # fmt: skip
    return found


def _estimate(mu: float, deviation: float, count: int, told: str, narrows: str) -> Estimate:
    return Estimate(
        value=exp(mu),
        low=exp(mu - HALF_RANGE * deviation),
        high=exp(mu + HALF_RANGE * deviation),
        origin=Origin.MEASURED,
        source=told,
        narrows=narrows,
        count=count,
    )
