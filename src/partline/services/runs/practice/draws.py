"""Every draw of a practice run, as the pretended cups truly were at it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from partline.process.practice_bench.bench import CUPS
from partline.process.run import RunPlan
from partline.quantities.constants import ZERO_CELSIUS
from partline.services.runs.practice.acts import Does
from partline.services.runs.practice.session import Session

Floats = NDArray[np.floating]

#: What a display in whole degrees cannot tell. [K]
READABLE = 1.0
#: The two cups are matched when they are no further apart. [K]
MATCHED = 2.0
#: A cup was stirred for a draw when that was no longer ago. Common practice, no source. [s]
STIRRED = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueDraw:
    """One draw.

    Parameters
    ----------
    at : datetime
        When.
    melt, number : int
        Of which melt, and which draw of it.
    warmth : dict of str to float
        Plastic of each cup, throughout. [°C]
    reads : dict of str to float
        What the bench's thermometer would show of it, without noise. [°C]
    stirred : dict of str to float or None
        How long ago each was stirred; None for never. [s]
    band : tuple of float
        Stop and start. [°C]
    """

    at: datetime
    melt: int
    number: int
    warmth: dict[str, float]
    reads: dict[str, float]
    stirred: dict[str, float | None]
    band: tuple[float, float]

    @property
    def off(self) -> float:
        """How far the cup that is furthest out lies outside the band; 0 within. [K]"""
        return self._off(self.warmth)

    @property
    def reads_off(self) -> float:
        """The same as the thermometer would show it: a maker has no other. [K]"""
        return self._off(self.reads)

    def _off(self, warmth: dict[str, float]) -> float:
        low, high = self.band
        return max(max(low - each, each - high, 0.0) for each in warmth.values())

    @property
    def verdict(self) -> str:
        """``in`` the band in truth; ``near``: in it as the thermometer reads it; or ``out``."""
        if self.off <= 0:
            return "in"
        return "near" if self.reads_off <= READABLE else "out"

    @property
    def apart(self) -> float:
        """How much warmer one cup was than the other. [K]"""
        return max(self.warmth.values()) - min(self.warmth.values())

    @property
    def is_stirred(self) -> bool:
        """Whether every cup had been stirred just before."""
        return all(ago is not None and ago <= STIRRED for ago in self.stirred.values())


def draws(session: Session) -> tuple[TrueDraw, ...]:
    """Return every draw, in order."""
    return tuple(_draws(session))


def _draws(session: Session) -> Iterator[TrueDraw]:
    plan, acts = session.run.plan, session.replay.acts
    low, high = (edge - ZERO_CELSIUS for edge in plan.band)
    seen: set[str] = set()
    numbers: dict[int, int] = {}
    for place, act in enumerate(acts):
        if act.does is not Does.DRAW or act.event in seen:
            continue
        seen.add(act.event)
        numbers[act.melt] = numbers.get(act.melt, 0) + 1
        bench = session.replay.before(place).bench
        yield TrueDraw(
            at=session.moment(act.at),
            melt=act.melt,
            number=numbers[act.melt],
            warmth=_by_cup(plan, bench.true_bulk()),
            reads=_by_cup(plan, bench.stirred_reading()),
            stirred={letter: _since_stir(session, place, letter) for letter in plan.letters},
            band=(low, high),
        )


def _by_cup(plan: RunPlan, kelvin: Floats) -> dict[str, float]:
    return {letter: float(kelvin[CUPS.index(letter)]) - ZERO_CELSIUS for letter in plan.letters}


def _since_stir(session: Session, place: int, cup: str) -> float | None:
    acts = session.replay.acts
    at = acts[place].at
    for act in reversed(acts[:place]):
        if act.does is Does.STIR and act.cup in (None, cup):
            return at - act.at
        if act.does is Does.FILL and act.cup == cup:
            return None
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Peak:
    """The hottest that a cup was in one melt.

    Parameters
    ----------
    melt : int
        Which.
    cup : str
        A or B.
    bulk, place : float
        Plastic throughout, and its hottest place. [°C]
    """

    melt: int
    cup: str
    bulk: float
    place: float


def peaks(session: Session) -> tuple[Peak, ...]:
    """Return the hottest of every cup of every melt that was heated."""
    found: dict[tuple[int, str], Peak] = {}
    stages = zip(session.replay.acts, session.replay.stages, strict=True)
    heated = {act.melt for act in session.replay.acts if act.does is Does.HEAT}
    for act, stage in stages:
        if act.melt not in heated:
            continue
        for letter in session.run.plan.letters:
            place = CUPS.index(letter)
            bulk = float(stage.bench.true_bulk()[place]) - ZERO_CELSIUS
            hottest = float(stage.bench.melt.layers[place].max()) - ZERO_CELSIUS
            old = found.get((act.melt, letter))
            found[act.melt, letter] = Peak(
                melt=act.melt, cup=letter,
                bulk=bulk if old is None else max(old.bulk, bulk),
                place=hottest if old is None else max(old.place, hottest),
            )  # fmt: skip
    return tuple(found.values())
