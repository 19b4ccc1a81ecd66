"""What a hidden bench is, and what its maker does: drawn at random, told to nobody.

Every law here is this file's own: the tool's tables of odds, its band and its cups know nothing
of it. All figures are invented within what the trade tells, origin `default`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from partline.process.practice_bench import Hidden, drawn
from tests.journeys.hidden_bench.light import Bottles

NAMES = ("Peat", "Chalk", "Rind", "Soot")


class Fault(StrEnum):
    """What a maker does wrong on a bench, to begin with."""

    THIN = "too little colour"
    HOT = "starts hot"
    HURRIED = "pushes in a hurry"
    UNMATCHED = "does not match the cups"
    UNPURGED = "does not purge the block"
    DYE = "a colourant that moves"
    UNMARKED = "halves and cups without marks"
    ALIKE = "two pale colours"


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """A bench and its mould as they are.

    Parameters
    ----------
    heat : Hidden
        Cups, oven and thermometer of the pretended bench.
    offset : float
        By which the thermometer reads high beyond that. [K]
    viscosity : float
        Of the melt at 436 K. [Pa·s]
    thinning : float
        Warmth over which it becomes e times as thin. [K]
    uneven : float
        Logarithm of cup A's viscosity over cup B's at one temperature. [-]
    critical : float
        Reynolds number at the gate at which half the line is mixed. [-]
    steepness : float
        Power by which mixing grows with it. [-]
    folding : float
        Reynolds number at which every other jet folds. [-]
    wraps : float
        Logarithm of the viscosities' ratio at which half of a bait is wrapped. [-]
    barrel : float
        Warmth that the plastic loses in the barrel in a second. [K/s]
    stale : float
        Plastic of the last pour that the block holds. [kg]
    bottles : Bottles
        Off their labels.
    stretch : float
        True thickness of the mould over the told one. [-]
    moves : float
        Halo of a dye after a week. [m]
    confuses : float
        Chance that unmarked halves or cups are swapped. [-]
    eye : float
        Hiding that this maker's eye asks for. [-]
    reject : float
        Share that fails for other reasons. [-]
    scatter : float
        Spread of what differs from run to run, of logarithms. [-]
    """

    heat: Hidden
    offset: float
    viscosity: float
    thinning: float
    uneven: float
    critical: float
    steepness: float
    folding: float
    wraps: float
    barrel: float
    stale: float
    bottles: Bottles
    stretch: float
    moves: float
    confuses: float
    eye: float
    reject: float
    scatter: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """What the maker does on the next run.

    Parameters
    ----------
    start : float
        Reading of the warmer cup at which shooting begins. [K]
    apart : float
        By how much cup A is let be warmer. [K]
    push : float
        Of one stroke. [s]
    purged : float
        Plastic pushed out before the first shot. [kg]
    marked : bool
        Whether halves and cups are marked.
    is_dye : bool
        Whether one colourant moves in the plastic.
    back, belly : dict of str to float
        Drops in 100 g.
    """

    start: float
    apart: float
    push: float
    purged: float
    marked: bool
    is_dye: bool
    back: dict[str, float]
    belly: dict[str, float]

    def with_loads(self, half: str, loads: dict[str, float]) -> Habits:
        """Return the same with other colour in one half."""
        return replace(self, back=loads) if half == "back" else replace(self, belly=loads)


#: A calm, clean pour of the trade's custom.
CUSTOM = Habits(
    start=436.15, apart=0.0, push=6.0, purged=0.012, marked=True, is_dye=False,
    back={"Peat": 9.0}, belly={"Chalk": 5.0, "Rind": 3.0},
)  # fmt: skip


def draw_truth(rng: np.random.Generator) -> Truth:
    """Draw a bench."""

    def about(middle: float, spread: float) -> float:
        return float(middle * np.exp(spread * rng.standard_normal()))

    return Truth(
        heat=drawn(rng),
        offset=float(rng.normal(0.0, 2.0)),
        viscosity=about(0.6, 0.25),
        thinning=about(20.0, 0.2),
        uneven=float(rng.normal(0.0, 0.07)),
        critical=about(6.5, 0.25),
        steepness=float(rng.uniform(2.2, 4.0)),
        folding=about(14.0, 0.25),
        wraps=about(0.35, 0.2),
        barrel=about(0.5, 0.3),
        stale=about(6e-3, 0.3),
        bottles=Bottles(
            strength={name: about(1.0, 0.16) for name in NAMES},
            tilt={name: float(rng.normal(0.0, 0.2)) for name in NAMES},
            path=about(1.05, 0.12),
        ),
        stretch=about(1.0, 0.02),
        moves=about(3e-3, 0.3),
        confuses=float(rng.uniform(0.5, 1.0)),
        eye=float(rng.uniform(0.76, 0.88)),
        reject=float(rng.beta(3, 60)),
        scatter=float(rng.uniform(0.08, 0.25)),
    )


def draw_faults(rng: np.random.Generator) -> tuple[Fault, ...]:
    """Draw what this maker does wrong: mostly one thing, often two, now and then three."""
    count = int(rng.choice([1, 2, 3], p=[0.55, 0.35, 0.10]))
    odds = np.array([0.22, 0.16, 0.16, 0.14, 0.10, 0.07, 0.08, 0.07])
    return tuple(rng.choice(list(Fault), size=count, replace=False, p=odds / odds.sum()))


def first_habits(faults: tuple[Fault, ...], rng: np.random.Generator) -> Habits:
    """Return what a maker with these faults does on the first run."""
    habits = replace(
        CUSTOM, start=CUSTOM.start + float(rng.normal(0.0, 1.5)),
        apart=float(rng.normal(0.0, 1.0)), push=float(rng.uniform(5.0, 7.5)),
    )  # fmt: skip
    for fault in faults:
        habits = _with(habits, Fault(fault), rng)
    return habits


def _with(habits: Habits, fault: Fault, rng: np.random.Generator) -> Habits:
    match fault:
        case Fault.THIN if rng.random() < 0.7:
            return replace(habits, back={**habits.back, "Peat": float(rng.integers(2, 4))})
        case Fault.THIN:
            return replace(habits, belly={**habits.belly, "Chalk": 1.0})
        case Fault.HOT:
            return replace(habits, start=habits.start + float(rng.uniform(8.0, 14.0)))
        case Fault.HURRIED:
            return replace(habits, push=float(rng.uniform(1.5, 2.8)))
        case Fault.UNMATCHED:
            return replace(habits, apart=float(rng.choice([-1, 1]) * rng.uniform(7.0, 13.0)))
        case Fault.UNPURGED:
            return replace(habits, purged=0.0)
        case Fault.DYE:
            return replace(habits, is_dye=True)
        case Fault.UNMARKED:
            return replace(habits, marked=False)
        case Fault.ALIKE:
            return replace(habits, back={"Chalk": 5.0, "Rind": 3.0, "Peat": 1.0})
