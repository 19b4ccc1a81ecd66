"""A run: what it follows, what was told of it, and where it stands by that."""

from partline.process.run.event import Event, Kind, Told, as_it_stands
from partline.process.run.plan import PlannedCup, PlannedMelt, RunPlan, run_plan
from partline.process.run.replay import run_state, run_states
from partline.process.run.state import Added, Burst, CupState, Phase, Reading, RunState, Shot

__all__ = [
    "Added", "Burst", "CupState", "Event", "Kind", "Phase", "PlannedCup", "PlannedMelt", "Reading",
    "RunPlan", "RunState", "Shot", "Told", "as_it_stands", "run_plan", "run_state", "run_states",
]  # fmt: skip
