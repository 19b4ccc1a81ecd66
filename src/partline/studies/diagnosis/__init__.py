"""What spoiled a run: causes and actions by what was seen, joined with what laws foretell."""

from partline.studies.diagnosis.cause import ANSWERS, Action, Cause
from partline.studies.diagnosis.look import LOOKS, Case, Look, Source
from partline.studies.diagnosis.together import Together
from partline.studies.diagnosis.verdict import (
    ActionOdds,
    CauseOdds,
    NextLook,
    Verdict,
    verdict,
)

__all__ = [
    "ANSWERS", "LOOKS", "Action", "ActionOdds", "Case", "Cause", "CauseOdds", "Look", "NextLook",
    "Source", "Together", "Verdict", "verdict",
]  # fmt: skip
