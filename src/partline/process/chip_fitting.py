"""The bottles of a family whose chips look as they were read, near to draws from a posterior."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import qmc

from partline.process.chip_reading import Bottles, Reading, Seen, look

Floats = NDArray[np.floating]
Rows = NDArray[np.integer]

#: Bottles that a guess stands for, all alike likely: a power of two, as the even sequence wants.
MEMBERS = 32
SEED = 31
#: Steps towards each member; most are there after six.
STEPS = 12
#: A step too short to matter, in standard deviations of what is drawn. [-]
SETTLED = 0.1


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """Bottles whose chips look as read; the likeliest first, then members all alike likely.

    Parameters
    ----------
    numbers : ndarray, shape (1 + members, numbers)
        The family's, one for each reading, then those that readings share. [-]
    errors : ndarray, shape (values,)
        How far the likeliest stays from each value, in the value's own unit. [-]
    spread : ndarray, shape (values,)
        Standard deviation that each value may be off by, by itself. [-]
    """

    numbers: Floats
    errors: Floats
    spread: Floats

    @property
    def misfit(self) -> float:
        """The largest error in standard deviations; 0 where nothing was read. [-]"""
        return float(np.max(np.abs(self.errors) / self.spread, initial=0.0))


def fit_bottles(family: Bottles, readings: Sequence[Reading], shared: int = 0) -> Fitted:
    """Fit the bottles of a family to readings of their chips.

    Parameters
    ----------
    family : Family or LotPair
        What they are drawn from.
    readings : sequence of Reading
        What was read; may be none.
    shared : int
        How many numbers the readings share.

    Notes
    -----
    Each member starts from numbers drawn out of the family and is moved, as little as their
    spreads ask, until its chip looks like the readings, themselves drawn within what each may be
    off by. Where looks move linearly with the numbers, the members are draws from the
    posterior.

    References
    ----------
    .. [1] D. S. Oliver, N. He, A. C. Reynolds, "Conditioning permeability fields to pressure
       data," 5th European Conference on the Mathematics of Oil Recovery (1996): randomized
       maximum likelihood (from memory).
    """
    wanted = np.concatenate([each.value for each in readings]) if readings else np.zeros(0)
    spread = np.concatenate([each.spread for each in readings]) if readings else np.zeros(0)
    count = family.count + len(readings) + shared
    drawn = _drawn(count + wanted.size, is_stepped=shared > 0)
    start, noise = drawn[:, :count], drawn[:, -wanted.size or drawn.size :]
    if not readings:
        return Fitted(numbers=start, errors=wanted, spread=spread)
    likeliest, _ = _fitted(family, readings, start[:1], wanted[None], spread, start[:1])
    # Beginning where the chip looks right already, no member ends where it looks wrong.
    begin = np.repeat(likeliest, len(start), axis=0)
    read = wanted + spread * noise
    numbers, seen = _fitted(family, readings, start, read, spread, begin)
    return Fitted(numbers=numbers, errors=seen[0] - wanted, spread=spread)


@lru_cache(maxsize=16)
def _drawn(count: int, *, is_stepped: bool) -> Floats:
    """Return standard normal numbers, shape (1 + members, count); the first row is zero."""
    rng = np.random.default_rng(SEED)
    if is_stepped:
        # So many numbers at so few points: Sobol's sequence would tie some of them to others,
        # and the members would lie too close together (seen: 70 % held of 80 %).
        spread = qmc.LatinHypercube(count, rng=rng, optimization="random-cd").random(MEMBERS)
    else:
        edge = 0.5 / MEMBERS
        spread = np.clip(qmc.Sobol(count, rng=rng).random(MEMBERS), edge, 1 - edge)
    return np.vstack([np.zeros(count), ndtri(spread)])


def _fitted(
    family: Bottles,
    readings: Sequence[Reading],
    start: Floats,
    wanted: Floats,
    spread: Floats,
    begin: Floats,
) -> tuple[Floats, Floats]:
    """Find, nearest to each row's start, a bottle whose chip looks as wanted.

    By damped Gauss–Newton steps from where each row begins.

    Returns
    -------
    numbers, seen : ndarray, shape (rows, numbers) and (rows, values)
        Where each row came to, and what its chip looks like there.
    """

    def cost(rows: Rows, numbers: Floats, seen: Seen) -> Floats:
        off = ((numbers - start[rows]) ** 2).sum(axis=1)
        return np.asarray(off + (((seen.value - wanted[rows]) / spread) ** 2).sum(axis=1))

    rows: Rows = np.arange(len(start))
    here, seen = begin.copy(), look(family, readings, begin)
    least, reach = cost(rows, here, seen), np.full(len(start), 2.0)
    for _ in range(STEPS):
        step = _step(seen, here, start, wanted, spread)
        length = np.linalg.norm(step, axis=1)
        rows = np.flatnonzero((length > SETTLED) & (reach > SETTLED))
        if not rows.size:
            break
        part = np.minimum(1.0, reach[rows] / length[rows])
        there = here[rows] + part[:, None] * step[rows]
        found = look(family, readings, there)
        now = cost(rows, there, found)
        better = now < least[rows]
        reach[rows] *= np.where(better, 2.0, 0.35)
        won = rows[better]
        least[won], here[won] = now[better], there[better]
        seen.value[won], seen.slope[won] = found.value[better], found.slope[better]
    return here, seen.value


def _step(seen: Seen, here: Floats, start: Floats, wanted: Floats, spread: Floats) -> Floats:
    """Return the step of each row to the least cost of looks that move linearly."""
    slope = seen.slope / spread[:, None]
    missing = (wanted - seen.value) / spread + np.einsum("rvn,rn->rv", slope, here - start)
    weight = np.einsum("rvn,rwn->rvw", slope, slope) + np.eye(wanted.shape[-1])
    solved = np.linalg.solve(weight, missing[..., None])[..., 0]
    return np.asarray(start + np.einsum("rvn,rv->rn", slope, solved) - here)
