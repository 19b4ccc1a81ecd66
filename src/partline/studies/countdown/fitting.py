"""From a cup's readings to what is known of it.

A grid over the temperature at the anchor and the logarithm of the time constant, laid wide and
then twice over what was left possible. No chance is involved, so the same readings give the same
answer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from partline.quantities.estimate import HALF_RANGE, Estimate
from partline.studies.countdown.history import Cooling, CupHistory
from partline.studies.countdown.likelihood import (
    SKIN,
    SLIP,
    reading_likelihood,
    reading_noise,
)
from partline.studies.countdown.posterior import Posterior

Floats = NDArray[np.floating]

#: Nodes of the pace's doubt.
PACE_NODES = 7
#: Points of the grid along temperature and along the logarithm of the time constant.
WIDE, FINE = (61, 41), (65, 65)
#: Points that weigh less than this share of the heaviest are let go.
NEGLIGIBLE = 1e-4


def fit(history: CupHistory, slip: float = SLIP) -> Posterior:
    """Return what is known after every reading of a history.

    Parameters
    ----------
    history : CupHistory
        With one reading at least since the cup was last heated, or a forecast.
    slip : float
        How often a reading is a slip, above 0. [-]

    Returns
    -------
    posterior : Posterior
        Of the last cooling; earlier ones have told it the time constant.

    Raises
    ------
    InputError
        If there is no reading and no forecast since the last heat.
    """
    *earlier, current = history.coolings
    middle, spread = _prior(history.time_constant)
    span: Floats = middle + np.linspace(-4, 4, WIDE[1]) * spread
    warm: Floats = np.linspace(*_reach(current, history), WIDE[0])
    likely = _logarithms(warm, span, current, earlier, history, slip=slip)
    for _ in range(2):  # twice, since a wide first grid may hold all its weight in few cells
        warm, span = _narrowed(warm, likely, 1), _narrowed(span, likely, 0)
        likely = _logarithms(warm, span, current, earlier, history, slip=slip)
    return _points(warm, span, likely, current, history)


def _prior(time_constant: Estimate) -> tuple[float, float]:
    """Return middle and standard deviation of the logarithm of a time constant."""
    low, high = np.log(time_constant.low), np.log(time_constant.high)
    spread = max(float(high - low) / 2 / HALF_RANGE, 1e-3)
    return float(np.log(time_constant.value)), spread


def _reach(cooling: Cooling, history: CupHistory) -> tuple[float, float]:
    """Return the coldest and the warmest that the melt may have been at the anchor. [K]"""
    noise = reading_noise(history.between)
    known = [(r.temperature, 6 * noise, 6 * noise + 5 * SKIN) for r in cooling.readings[:3]]
    if cooling.expected is not None:
        wide = 2 * (cooling.expected.high - cooling.expected.low)
        known.append((cooling.expected.value, wide, wide))
    low = min(value - below for value, below, _ in known)
    high = max(value + above for value, _, above in known)
    return max(low, history.room), high + 0.5 * (high - low)


def _logarithms(
    warm: Floats,
    span: Floats,
    current: Cooling,
    earlier: list[Cooling],
    history: CupHistory,
    *,
    slip: float,
) -> Floats:
    """Return the logarithm of the posterior, shape (temperatures, time constants)."""
    middle, spread = _prior(history.time_constant)
    prior = -0.5 * ((span - middle) / spread) ** 2
    for cooling in earlier:
        # What another heat began with is of no interest: it is summed over.
        own = np.linspace(*_reach(cooling, history), 241)
        likely = _cooling_likelihood(own, span, cooling, history, slip)
        top = likely.max()
        prior = prior + top + np.log(np.exp(likely - top).sum(axis=0) + 1e-300)
    return prior + _cooling_likelihood(warm, span, current, history, slip)


def _cooling_likelihood(
    warm: Floats, span: Floats, cooling: Cooling, history: CupHistory, slip: float
) -> Floats:
    """Return the logarithm of the likelihood of one cooling's readings and forecast."""
    tau = np.exp(span)[None, :]
    lead = np.maximum(warm - history.room, 1e-9)[:, None]
    total = np.zeros((warm.size, span.size))
    for reading in cooling.readings:
        fall = cooling.course.fall(reading.at, tau, lead, cooling.last, 1.0)
        melt = history.room + lead * np.exp(-fall)
        total += reading_likelihood(
            reading.temperature, melt, history.between, reading.since_stir, slip
        )
    if cooling.expected is not None:
        wide = max(cooling.expected.high - cooling.expected.low, 1e-3) / 2 / HALF_RANGE
        total += (-0.5 * ((warm - cooling.expected.value) / wide) ** 2)[:, None]
    return total


def _narrowed(axis: Floats, likely: Floats, across: int) -> Floats:
    """Return an axis laid over what is still possible, one cell more at either end."""
    best = likely.max(axis=across)
    kept = np.flatnonzero(best > best.max() + np.log(NEGLIGIBLE))
    first, last = max(kept[0] - 1, 0), min(kept[-1] + 1, axis.size - 1)
    return np.linspace(axis[first], axis[last], FINE[0] if across == 1 else FINE[1])


def _points(
    warm: Floats, span: Floats, likely: Floats, cooling: Cooling, history: CupHistory
) -> Posterior:
    """Return the grid's points with weight, each with every node of the pace's doubt."""
    weight = np.exp(likely - likely.max())
    rows, columns = np.nonzero(weight > NEGLIGIBLE)
    node, share = np.polynomial.hermite_e.hermegauss(PACE_NODES)
    share = share / share.sum()
    spread = float(np.log(history.pace.high / history.pace.low)) / (2 * HALF_RANGE)
    kept = weight[rows, columns]
    whole = (kept[:, None] * share).ravel() / kept.sum()
    return Posterior(
        warmth=np.repeat(warm[rows], PACE_NODES),
        slowness=np.repeat(np.exp(span[columns]), PACE_NODES),
        pace=np.tile(history.pace.value * np.exp(spread * node), rows.size),
        weight=whole,
        course=cooling.course,
        last=cooling.last,
        room=history.room,
        count=sum(len(each.readings) for each in history.coolings),
    )
