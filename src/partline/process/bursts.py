"""A heat, burst by burst, as it is planned: where it ends, what goes in when, what it does."""

from __future__ import annotations

from dataclasses import dataclass

from partline.process.additions import HeldBack
from partline.process.heating import CupState, HeatedCup
from partline.process.ingredients import Ingredient
from partline.quantities.estimate import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """Where a heat is to end, and what it must not pass.

    Parameters
    ----------
    target : float
        Where fusion is done; for a top-up, where shooting can begin. [K]
    ceiling : float
        The label's maximum. [K]
    doubt : float
        How far every reading of the thermometer may be off. [K]
    noise : float
        How far two readings may be apart by its fault. [K]
    """

    target: float
    ceiling: float
    doubt: float = 5.0
    noise: float = 1.0

    @property
    def limit(self) -> float:
        """What a reading of the hottest place must stay under. [K]"""
        return self.ceiling - self.doubt


@dataclass(frozen=True, slots=True, kw_only=True)
class ToHeat:
    """One cup before a heat.

    Parameters
    ----------
    name : str
        A or B.
    cup : HeatedCup
        With everything that this melt will have in it.
    state : CupState
        As it begins.
    ingredients : tuple of Ingredient
        Of the whole melt.
    """

    name: str
    cup: HeatedCup
    state: CupState
    ingredients: tuple[Ingredient, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CupAfter:
    """One cup after a burst, stirred and read.

    Parameters
    ----------
    name : str
        A or B.
    expected : Estimate
        Reading, if the one before was as expected. [K]
    hottest : Estimate
        Of the hottest place just before the stir. [K]
    adds : tuple of Ingredient
        To be stirred in now.
    """

    name: str
    expected: Estimate
    hottest: Estimate
    adds: tuple[Ingredient, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Burst:
    """One run of the oven.

    Parameters
    ----------
    seconds : float
        At full power. [s]
    cups : tuple of CupAfter
        That are in it.
    seconds_per_kelvin : float
        What the next burst is longer by for each degree that the hotter cup reads less. [s/K]
    """

    seconds: float
    cups: tuple[CupAfter, ...]
    seconds_per_kelvin: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposed:
    """What a heat does to one cup's plastic.

    Parameters
    ----------
    name : str
        A or B.
    above : float
        Time above 160 °C until it is down at the start. [s]
    dose : float
        As time at 177 °C. [s]
    """

    name: str
    above: float
    dose: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """What the custom of 60, 30 and 15 s would take.

    Parameters
    ----------
    bursts : tuple of float
        [s]
    hottest : Estimate
        [K]
    """

    bursts: tuple[float, ...]
    hottest: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstPlan:
    """A heat, burst by burst.

    Parameters
    ----------
    goal : Goal
        Where it ends.
    bursts : tuple of Burst
        In order.
    exposed : tuple of Exposed
        One a cup.
    held_back : dict of str to tuple of HeldBack
        What must wait for the last heat, by cup.
    habit : Habit
        To compare.
    before : dict of str to tuple of Ingredient
        Into each cup before the first burst.
    cool_s : float
        From the last stir until the warmer cup is down at the start; 0 where none was told. [s]
    """

    goal: Goal
    bursts: tuple[Burst, ...]
    exposed: tuple[Exposed, ...]
    held_back: dict[str, tuple[HeldBack, ...]]
    habit: Habit
    before: dict[str, tuple[Ingredient, ...]]
    cool_s: float

    @property
    def short_by(self) -> float:
        """How far under its target the warmer cup ends, as far as is expected. [K]"""
        if not self.bursts:
            return 0.0
        return max(self.goal.target - max(c.expected.value for c in self.bursts[-1].cups), 0.0)

    @property
    def oven_seconds(self) -> float:
        """With the oven on. [s]"""
        return sum(burst.seconds for burst in self.bursts)
