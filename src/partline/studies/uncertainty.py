"""Ranges from what is not known exactly: drop masses and colourant strengths, sampled."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import qmc

from partline.process.optics import SideOptics
from partline.quantities.estimate import Estimate, Origin

Floats = NDArray[np.floating]

#: Draws behind a range; a power of two, as the even sequence wants.
DRAWS = 32
SEED = 20
#: Ends of the central 80 % range. [-]
ENDS = (0.10, 0.90)


def uncertain_names(sides: Sequence[SideOptics]) -> tuple[str, ...]:
    """Return the supplies whose amount or strength is in doubt, each once."""
    doubtful = {
        name: None
        for side in sides
        for name, spread in zip(side.names, side.spread, strict=True)
        if spread > 0
    }
    return tuple(doubtful)


def draw_factors(
    sides: Sequence[SideOptics], *, draws: int = DRAWS, seed: int = SEED
) -> tuple[list[Floats], Floats]:
    """Draw what each part's amount may really be, as a multiple of what is written.

    Parameters
    ----------
    sides : sequence of SideOptics
        A supply in both sides is drawn once: it is the same bottle.
    draws : int
        A power of two.
    seed : int
        Same seed, same draws.

    Returns
    -------
    factors : list of ndarray, shape (draws, parts)
        One array a side, log-normal about 1. [-]
    standard : ndarray, shape (draws, supplies)
        The same draws as standard normal numbers, in the order of `uncertain_names`. [-]
    """
    names = uncertain_names(sides)
    if not names:
        return [np.ones((draws, len(side.names))) for side in sides], np.zeros((draws, 0))
    sequence = qmc.Sobol(len(names), rng=np.random.default_rng(seed))
    # Half a step keeps the even sequence off 0 and 1, where the normal has no value.
    standard = ndtri(np.clip(sequence.random(draws), 0.5 / draws, 1 - 0.5 / draws))
    place = {name: i for i, name in enumerate(names)}
    factors = []
    for side in sides:
        logs = np.zeros((draws, len(side.names)))
        for part, (name, spread) in enumerate(zip(side.names, side.spread, strict=True)):
            if name in place:
                logs[:, part] = spread * standard[:, place[name]]
        factors.append(np.exp(logs))
    return factors, standard


def central_range(samples: Floats) -> tuple[float, float]:
    """Return the ends of the central 80 % of samples, shape (draws,).

    Linear between samples, as `numpy.percentile`, which takes ten times as long for so few.
    """
    low, high = np.interp(ENDS, np.linspace(0.0, 1.0, samples.size), np.sort(samples))
    return float(low), float(high)


def ranged(
    value: float,
    samples: Floats,
    *,
    picture_error: float = 0.0,
    floor: float = 0.0,
    ceiling: float = np.inf,
    source: str,
    narrows: str = "",
) -> Estimate:
    """Return a value with the central 80 % range of its samples.

    Parameters
    ----------
    value : float
        The figure without doubt in the amounts.
    samples : ndarray, shape (draws,)
        The same figure for each draw.
    picture_error : float
        Bound that 80 % of a model's own errors lie within, added in quadrature.
    floor, ceiling : float
        Smallest and largest possible value.
    source, narrows : str
        As in `Estimate`.
    """
    low, high = central_range(samples)
    below = np.hypot(max(value - low, 0.0), picture_error)
    above = np.hypot(max(high - value, 0.0), picture_error)
    return Estimate(
        value=value,
        low=max(float(value - below), min(floor, value)),
        high=min(float(value + above), max(ceiling, value)),
        origin=Origin.COMPUTED,
        source=source,
        narrows=narrows,
    )


def most_to_blame(samples: Floats, standard: Floats, names: Sequence[str]) -> str:
    """Return the supply whose doubt moves the samples most; empty where none does."""
    if not names:
        return ""
    moved = np.abs((samples - samples.mean()) @ standard)
    return names[int(moved.argmax())] if moved.max() > 0 else ""
