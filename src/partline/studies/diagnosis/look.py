"""What can be looked at on a bait, and how likely each sight is under each cause.

The chances are guesses to begin with. A maker's own confirmed cases replace them little by little.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from partline.studies.diagnosis.cause import Cause


class Source(StrEnum):
    """What a sight is taken from; two sights from one cut are not two cuts."""

    SPRUE = "sprue cut"
    BELLY = "belly cut"
    CARD = "over black and over white"
    WHOLE = "whole bait"
    SHOTS = "order of the shots"
    DAYS = "days later"
    RECORD = "run record"
    GREY = "grey photo"
    DONE = "what was done"


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Something that is seen or not.

    Parameters
    ----------
    key : str
        By which it is told.
    question : str
        To be answered with yes or no.
    source : Source
        What it is taken from.
    chances : tuple of float
        Of a yes under each cause, in the order of `Cause`. [-]
    effort : float
        Minutes that it takes. [min]
    """

    key: str
    question: str
    source: Source
    chances: tuple[float, ...]
    effort: float

    def chance(self, cause: Cause) -> float:
        """Return the chance of a yes under a cause. [-]"""
        return self.chances[tuple(Cause).index(cause)]


def _look(
    key: str, question: str, source: Source, effort: float, *chances: float
) -> tuple[str, Look]:
    return key, Look(key=key, question=question, source=source, chances=chances, effort=effort)


#: Every look, by its key. Starting chances are guesses: see-through, mixed, block, wrap-round,
#: creep, inverted, too alike.
LOOKS: Final = MappingProxyType(
    dict(
        (
            _look("sprue_crisp", "Is the line in the cut sprue crisp?", Source.SPRUE, 1,
                  0.95, 0.15, 0.50, 0.50, 0.95, 0.97, 0.97),
            _look("belly_crisp", "Is the line on a fresh belly cut crisp, wet, over pale?",
                  Source.BELLY, 2, 0.85, 0.08, 0.60, 0.20, 0.20, 0.97, 0.95),
            _look("ring", "Does one colour run round the other in the cut?", Source.BELLY, 2,
                  0.03, 0.15, 0.10, 0.85, 0.05, 0.02, 0.02),
            _look("changes", "Does the outside change from black to white behind it?",
                  Source.CARD, 1, 0.90, 0.25, 0.25, 0.25, 0.30, 0.15, 0.20),
            _look("tail_worse", "Is the tail worse than the belly?", Source.WHOLE, 0.5,
                  0.90, 0.40, 0.30, 0.50, 0.60, 0.05, 0.30),
            _look("gate_worse", "Is it worse near the gate than far from it?", Source.WHOLE, 0.5,
                  0.10, 0.75, 0.50, 0.30, 0.10, 0.03, 0.05),
            _look("dark_down", "Does the first bait lie dark side down, or with its colours "
                  "exchanged?", Source.WHOLE, 0.2,
                  0.03, 0.03, 0.03, 0.05, 0.03, 0.95, 0.05),
            _look("first_only", "Is only the first shot spoiled?", Source.SHOTS, 1,
                  0.03, 0.15, 0.90, 0.10, 0.03, 0.05, 0.03),
            _look("purged", "Was plastic pushed out before the first shot, until both colours "
                  "left the block as halves?", Source.DONE, 0.1,
                  0.70, 0.70, 0.10, 0.70, 0.70, 0.70, 0.70),
            _look("worse_later", "Was it fine on the day, and is it worse now?", Source.DAYS, 0.5,
                  0.02, 0.02, 0.02, 0.02, 0.95, 0.02, 0.02),
            _look("hot_or_fast", "Was it started above the usual band, or pushed in half the "
                  "usual time?", Source.RECORD, 0,
                  0.25, 0.75, 0.30, 0.40, 0.25, 0.25, 0.25),
            _look("cups_apart", "Were the cups more than 5 °C apart at the draw?", Source.RECORD,
                  0, 0.15, 0.40, 0.25, 0.70, 0.15, 0.15, 0.15),
            _look("no_step", "Does a grey photo of the cut show no step?", Source.GREY, 3,
                  0.10, 0.50, 0.30, 0.20, 0.30, 0.03, 0.90),
        )
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A run whose cause was confirmed later.

    Parameters
    ----------
    cause : Cause
        What it was.
    seen : dict of str to bool
        What had been looked at, by the look's key.
    """

    cause: Cause
    seen: dict[str, bool]


#: So many cases' worth the starting guesses are held to be.
GUESS_WORTH: Final = 6.0


def chance_of(
    look: Look, cause: Cause, cases: tuple[Case, ...], foretold: float | None = None
) -> float:
    """Return the chance of a yes under a cause, the guess and the confirmed cases together. [-]

    Parameters
    ----------
    look : Look
        Which.
    cause : Cause
        Which.
    cases : tuple of Case
        Confirmed; those of another cause, or without this look, tell nothing about it.
    foretold : float or None
        What a law says of this run, instead of the table's guess. [-]
    """
    answers = [
        case.seen[look.key] for case in cases if case.cause is cause and look.key in case.seen
    ]
    guess = look.chance(cause) if foretold is None else foretold
    yes = guess * GUESS_WORTH + sum(answers)
    return yes / (GUESS_WORTH + len(answers))
