"""What is done to the cups of a practice bench: stirring, drawing, adding; heat is kept."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.process.practice_bench.hidden import Hidden
from partline.process.practice_bench.melt import Melt, glass_capacities

Floats = NDArray[np.floating]

#: What is left behind however much is drawn. [kg]
LEAST = 0.004


def stirred(hidden: Hidden, melt: Melt, cups: NDArray[np.bool_] | None = None) -> Melt:
    """Return the cups evenly mixed; the stirrer takes its part of the heat.

    Parameters
    ----------
    hidden : Hidden
        The true bench.
    melt : Melt
        As it is now.
    cups : ndarray of bool, shape (cups,), optional
        Which are stirred; all when left out.
    """
    which = np.ones(melt.mass.shape, dtype=bool) if cups is None else cups
    held = melt.mass * hidden.plastic_heat
    taken = hidden.stirrer * (melt.bulk - melt.stirrer) / (1 + hidden.stirrer / held)
    even = melt.bulk - taken / held
    return replace(
        melt,
        layers=np.where(which[:, None], even[:, None], melt.layers),
        stirrer=np.where(which, even, melt.stirrer),
        lost=melt.lost + np.where(which, taken, 0.0),
    )


def poured(hidden: Hidden, melt: Melt, mass: ArrayLike) -> Melt:
    """Return the cups with plastic put in at the room's temperature, or (below 0) taken out.

    Parameters
    ----------
    hidden : Hidden
        The true bench.
    melt : Melt
        As it is now.
    mass : float or ndarray, shape (cups,)
        [kg]

    Raises
    ------
    OutOfRange
        If more is taken out than a cup holds, or more put in.
    """
    change = np.broadcast_to(np.asarray(mass, dtype=float), melt.mass.shape)
    after = melt.mass + change
    most = hidden.density * np.pi / 4 * hidden.bore**2 * hidden.height
    if not np.all((after >= LEAST) & (after <= most)):
        raise OutOfRange(
            "There is not that much plastic in the cup, or not that much room for it.",
            low=LEAST,
            unit="kg",
        )
    warm = np.where(
        (change > 0)[:, None],
        hidden.room[:, None] + (melt.layers - hidden.room[:, None]) * (melt.mass / after)[:, None],
        melt.layers,
    )
    taken = np.where(change < 0, change * hidden.plastic_heat * (melt.bulk - hidden.room), 0.0)
    wet, dry = _waterline(hidden, melt, after)
    return replace(
        melt, mass=np.asarray(after), layers=warm, wet=wet, dry=dry, moved=melt.moved + taken
    )


def _waterline(hidden: Hidden, melt: Melt, after: Floats) -> tuple[Floats, Floats]:
    """Return wet and dry glass after the surface has moved: glass changes sides with its heat."""
    wet, dry = glass_capacities(hidden, melt.mass)
    new_wet, new_dry = glass_capacities(hidden, after)
    gained = new_wet - wet
    heat_wet = wet * melt.wet + np.where(gained > 0, gained * melt.dry, gained * melt.wet)
    whole = wet * melt.wet + dry * melt.dry
    return np.asarray(heat_wet / new_wet), np.asarray((whole - heat_wet) / new_dry)
