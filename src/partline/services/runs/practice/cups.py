"""What the practice bench itself does not do: an emptied cup, a cup filled anew, smoke."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from partline.errors import OutOfRange
from partline.process.practice_bench import Melt, PracticeBench, filled, stored_heat
from partline.process.practice_bench.bench import CUPS
from partline.process.practice_bench.handling import LEAST

Floats = NDArray[np.floating]

#: Closer to the room than this nothing changes any more. [K]
AT_REST = 0.5
#: The oven is stopped where the hottest place smokes as thickly as here. [K]
SMOKES = 620.0
#: What is left in an emptied cup is a film: it falls with the glass, in about this time. Layers
#: so thin would need a thousand steps a second. Guesses. [kg], [s]
FILM, FILM_TIME = 0.012, 300.0


def passed(
    bench: PracticeBench, seconds: float, *, inside: str | None = None, is_on: bool = False
) -> PracticeBench:
    """Return the bench a while later, with a cup (None for both) in the oven where that is on.

    Parameters
    ----------
    bench : PracticeBench
        As it is now.
    seconds : float
        How long. [s]
    inside : str or None
        In the oven.
    is_on : bool
        Whether the oven heats.
    """
    film = bench.melt.mass < FILM
    full = replace(bench, melt=replace(bench.melt, mass=np.where(film, FILM, bench.melt.mass)))
    if film.all():
        later = replace(
            bench, clock=bench.clock + seconds, before=bench.clock, surface_before=None
        )
    else:
        later = full.burst(inside, seconds) if is_on else full.advance(seconds)
    if not film.any():
        return later
    heats = np.array([is_on and inside in (None, each) for each in CUPS[: film.size]])
    fallen = _fallen(bench, seconds, np.where(heats, bench.hidden.oven, 0.0))
    return replace(later, melt=_either(film, fallen, later.melt))


def _fallen(bench: PracticeBench, seconds: float, power: Floats) -> Melt:
    """Return cups that hold a film, with what they were given and what they lost."""
    hidden, melt = bench.hidden, bench.melt
    given = np.minimum(
        power * seconds, melt.mass * hidden.plastic_heat * np.maximum(SMOKES - melt.bulk, 0.0)
    )
    share = np.exp(-seconds / FILM_TIME)
    room, warmed = hidden.room, melt.layers + (given / (melt.mass * hidden.plastic_heat))[:, None]
    before = stored_heat(hidden, replace(melt, layers=warmed))
    later = replace(
        melt,
        layers=room[:, None] + (warmed - room[:, None]) * share,
        wet=room + (melt.wet - room) * share,
        dry=room + (melt.dry - room) * share,
        stirrer=room + (melt.stirrer - room) * share,
        given=melt.given + given,
    )
    return replace(later, lost=melt.lost + before - stored_heat(hidden, later))


def _either(mine: NDArray[np.bool_], one: Melt, other: Melt) -> Melt:
    """Return one melt for some cups, another for the rest."""

    def chosen(fresh: Floats, kept: Floats) -> Floats:
        return np.where(mine if fresh.ndim == 1 else mine[:, None], fresh, kept)

    return Melt(
        mass=chosen(one.mass, other.mass),
        layers=chosen(one.layers, other.layers),
        wet=chosen(one.wet, other.wet),
        dry=chosen(one.dry, other.dry),
        stirrer=chosen(one.stirrer, other.stirrer),
        given=chosen(one.given, other.given),
        lost=chosen(one.lost, other.lost),
        moved=chosen(one.moved, other.moved),
    )


def is_at_rest(bench: PracticeBench) -> bool:
    """Whether everything is as warm as the room."""
    melt, room = bench.melt, bench.hidden.room
    return bool(
        max(np.abs(melt.layers - room[:, None]).max(), np.abs(melt.wet - room).max()) < AT_REST
    )


def filled_again(bench: PracticeBench, place: int, mass: float) -> PracticeBench:
    """Return the bench with one cup emptied, and filled again [kg] at the room's temperature."""
    hidden, old = bench.hidden, bench.melt
    most = float(
        hidden.density[place] * np.pi / 4 * hidden.bore[place] ** 2 * hidden.height[place]
    )
    masses = old.mass.copy()
    masses[place] = min(max(mass, LEAST), most)
    mine = np.arange(masses.size) == place
    fresh = replace(filled(hidden, masses, hidden.room), stirrer=old.stirrer)
    return replace(bench, melt=_either(mine, fresh, old), surface_before=None)


def added(bench: PracticeBench, cup: str | None, mass: float) -> PracticeBench:
    """Return the bench with something [kg] put into a cup, or into both; what fits, goes in."""
    for letter in CUPS[: bench.melt.mass.size]:
        if cup in (None, letter):
            try:
                bench = bench.add(letter, mass * 1e3)
            except OutOfRange:  # more than the cup has room for: it was not put in
                continue
    return bench
