"""Changes that were made before and stay made: what they answer is a less likely cause now."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from partline.process.run import Kind
from partline.records.workshop import Workshop
from partline.services.runs.forecasts import advice_taken
from partline.services.runs.standing import Followed
from partline.studies.diagnosis import ANSWERS, Action, Cause

#: Odds of a cause whose answer was made before: habits stay, mostly. A guess. [-]
MADE_BEFORE: Final = 0.25
#: Changes that are made once and then stay.
STAYS: Final = frozenset({Action.PURGE, Action.MARK, Action.OTHER_COLOURANT})
ANSWERED: Final = MappingProxyType({action: cause for cause, action in ANSWERS.items()})


def made_odds(workshop: Workshop, run: Followed) -> dict[Cause, float]:
    """Return odds of causes that a change made after an earlier run has answered. [-]

    Parameters
    ----------
    workshop : Workshop
        Open.
    run : Followed
        That a verdict is asked of; changes after runs on its bench count, practice left out.
    """
    bench = run.kept.bench.document_id
    found: dict[Cause, float] = {}
    for each in workshop.runs.listed(most=2000, planned_from=bench, with_kind=Kind.ADVICE):
        if each.practice is not None or each.created_at >= run.run.created_at:
            continue
        taken = advice_taken(workshop.runs.events(each.code))
        action = None if taken is None else _action(str(taken["action"]))
        if action in STAYS:
            found[ANSWERED[action]] = MADE_BEFORE
    return found


def _action(name: str) -> Action | None:
    return Action(name) if name in list(Action) else None
