"""What is foretold of a run's good baits as it begins, and how forecasts have done since."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from partline.process.run import Event, Kind, RunState, as_it_stands, run_state
from partline.process.run.questions import questions
from partline.records.plans import KeptPlan
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.runs.planned import planned
from partline.studies.forecasting import (
    Belief,
    Forecaster,
    after_change,
    as_usual,
    interval,
    like_last,
    ranked_probability_score,
    same_as_last,
    scoreboard,
    thumb,
    untried,
)
from partline.studies.luck import Tally, chance_higher, guessed_likeness

Json = dict[str, Any]
#: Baits that the forecast in words is about, where a plan says nothing of them.
WORDS_OF = 40
#: Of the resampling behind the scoreboard: the same runs give the same answer.
SEED = 20_260_301


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A run whose baits were counted.

    Parameters
    ----------
    run : KeptRun
        Which.
    state : RunState
        Where it stands.
    events : tuple of Event
        All that was told of it.
    """

    run: KeptRun
    state: RunState
    events: tuple[Event, ...]

    @property
    def good(self) -> int:
        """Baits that were good."""
        return self.state.good or 0

    @property
    def moulded(self) -> int:
        """Baits that were moulded."""
        return self.state.moulded or 0


def judged_runs(workshop: Workshop, planned_from: str = "") -> tuple[Judged, ...]:
    """Return the runs whose baits were counted, the oldest first.

    Practice runs and those set aside are not among them.

    Parameters
    ----------
    workshop : Workshop
        Open.
    planned_from : str
        Code of a document: only runs of plans made from any version of it.
    """
    found = []
    runs = workshop.runs.listed(most=2000, planned_from=planned_from, with_kind=Kind.JUDGE)
    for run in reversed(runs):
        if run.practice is not None:
            continue
        events = workshop.runs.events(run.code)
        kept = workshop.plans.get(run.plan_code)
        plan = planned(
            workshop.recipes.version(kept.recipe.id).content,
            workshop.moulds.version(kept.mould.id).content,
            workshop.benches.version(kept.bench.id).content,
            workshop.shelves.version(kept.shelf.id).content,
            kept.count,
        )
        doubted = frozenset(each.about for each in questions(events, plan))
        state = run_state(events, plan, doubted=doubted)
        if state.moulded and not state.is_aside:
            found.append(Judged(run=run, state=state, events=events))
    return tuple(found)


def forecast_for(workshop: Workshop, kept: KeptPlan) -> Json:
    """Return what is foretold of a run of a plan, as it is kept with the run.

    Parameters
    ----------
    workshop : Workshop
        Open.
    kept : KeptPlan
        That is about to be poured.
    """
    bench = workshop.benches.version(kept.bench.id).content
    usual = as_usual(bench.reject_share)
    last = _last_like(workshop, kept)
    advice = None if last is None else advice_taken(last.events)
    if last is None:
        ours, said = untried(usual), "no run of this mould and recipe was judged yet"
    else:
        habit = like_last(last.good, last.moulded)
        said = f"after run {last.run.code}: {last.good} of {last.moulded} good"
        if advice is None:
            ours = habit
        else:
            ours = after_change(habit, usual, float(advice["share"]))
            said += f", with the change made: {advice['action']}"
    answer = kept.answer.get("plan")
    baits = answer.get("moulded") if isinstance(answer, dict) else None
    count = baits if isinstance(baits, int) else WORDS_OF
    low, high = interval(ours.counts(count))
    return {
        "ours": _as_json(ours),
        "last": None if last is None else _as_json(same_as_last(last.good, last.moulded)),
        "reject_share": bench.reject_share,
        "after": None if last is None else last.run.code,
        "action": None if advice is None else advice["action"],
        "because": said,
        "baits": count,
        "good": round(ours.mean * count),
        "good_low": low,
        "good_high": high,
    }


def _last_like(workshop: Workshop, kept: KeptPlan) -> Judged | None:
    """Return the newest judged run of the same recipe in the same mould, of any version."""
    for each in reversed(judged_runs(workshop, kept.recipe.document_id)):
        plan = workshop.plans.get(each.run.plan_code)
        if plan.mould.document_id == kept.mould.document_id:
            return each
    return None


def run_after(workshop: Workshop, run: KeptRun, events: tuple[Event, ...]) -> Json | None:
    """Return the next judged run of the same recipe and mould, and whether it came out better.

    Parameters
    ----------
    workshop : Workshop
        Open.
    run : KeptRun
        That was poured before it.
    events : tuple of Event
        All that was told of that one.
    """
    kept = workshop.plans.get(run.plan_code)
    recipe = kept.recipe.document_id
    judged = workshop.runs.listed(most=2000, planned_from=recipe, with_kind=Kind.JUDGE)
    if all(each.created_at <= run.created_at for each in judged):
        return None
    for each in judged_runs(workshop, recipe):
        plan = workshop.plans.get(each.run.plan_code)
        if each.run.created_at <= run.created_at:
            continue
        if plan.mould.document_id == kept.mould.document_id:
            before = _counted(events)
            return {
                "run": each.run.code,
                "good": each.good,
                "moulded": each.moulded,
                "chance_better": None
                if before is None
                else round(_better(before, each, _cavities(workshop, kept)), 3),
            }
    return None


def _counted(events: tuple[Event, ...]) -> tuple[int, int] | None:
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    judged = [event for event in told if event.kind is Kind.JUDGE]
    if not judged or not judged[-1].number("moulded"):
        return None
    return int(judged[-1].number("good") or 0), int(judged[-1].number("moulded") or 0)


def _cavities(workshop: Workshop, kept: KeptPlan) -> int:
    return workshop.moulds.version(kept.mould.id).content.cavities


def _better(before: tuple[int, int], after: Judged, per_shot: int) -> float:
    """Return the chance that the later run's share of good baits is the higher one. [-]"""
    first, second = (
        Tally(good=min(good, baits), baits=baits, per_shot=per_shot, likeness=guessed_likeness())
        for good, baits in (before, (after.good, after.moulded))
    )
    return chance_higher(first, second)


def advice_taken(events: tuple[Event, ...]) -> Json | None:
    """Return the newest change that the maker said to make after a run; None where none."""
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    taken = [event for event in told if event.kind is Kind.ADVICE]
    if not taken:
        return None
    share = taken[-1].number("share")
    return {
        "action": taken[-1].text("action"),
        "text": taken[-1].text("text"),
        "share": min(max(share or 0.0, 0.0), 1.0),
    }


def _as_json(belief: Belief) -> Json:
    return {
        "weights": list(belief.weights), "good": list(belief.good), "bad": list(belief.bad),
        "mean": round(belief.mean, 4),
    }  # fmt: skip


def _belief(told: Json) -> Belief:
    return Belief(weights=tuple(told["weights"]), good=tuple(told["good"]), bad=tuple(told["bad"]))


def forecast_scores(workshop: Workshop) -> Json:
    """Return how the tool's forecasts have done beside habit and the rule of thumb.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    rows, scores = [], {who: list[float]() for who in Forecaster}
    for each in judged_runs(workshop):
        told = each.run.forecast
        if told is None:
            continue
        row = _scored(each, told)
        rows.append(row)
        if told["last"] is not None:  # compared where habit has something to say
            for who in Forecaster:
                scores[who].append(row["scores"][who.value])
    compared = len(scores[Forecaster.OURS])
    board = scoreboard(scores, np.random.default_rng(SEED)) if compared else []
    inside = [row["good_low"] <= row["good"] <= row["good_high"] for row in rows]
    return {
        "runs": rows,
        "compared": compared,
        "inside": sum(inside),
        "forecasters": [
            {
                "who": each.who.value,
                "runs": each.runs,
                "mean_score": round(each.mean, 4),
                "better_than_ours": None if each.better is None else round(each.better, 3),
            }
            for each in board
        ],
        "says": _says(compared, board),
    }


def _scored(judged: Judged, told: Json) -> Json:
    baits, good = judged.moulded, judged.good
    ours = _belief(told["ours"]).counts(baits)
    chances = {Forecaster.OURS: ours, Forecaster.THUMB: thumb(told["reject_share"], baits)}
    if told["last"] is not None:
        chances[Forecaster.LAST] = _belief(told["last"]).counts(baits)
    low, high = interval(ours)
    return {
        "run": judged.run.code,
        "good": good,
        "moulded": baits,
        "good_low": low,
        "good_high": high,
        "because": told["because"],
        "scores": {
            who.value: round(ranked_probability_score(each, good), 4)
            for who, each in chances.items()
        },
    }


def _says(compared: int, board: list[Any]) -> str:
    if compared < 2:
        return "Fewer than two forecasts can be compared yet: nothing is to be said of them."
    beaten = [each for each in board if each.better is not None and each.better > 0.9]
    if beaten:
        return f"So far “{beaten[0].who.value}” does better than this tool."
    ahead = [each for each in board if each.better is not None and each.better < 0.1]
    if len(ahead) == len(board) - 1:
        return "So far the tool does better than both habits."
    return "So far the tool is not plainly better than habit."
