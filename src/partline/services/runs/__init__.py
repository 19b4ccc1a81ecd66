"""A run at the bench: begun from a plan, told event by event, always recomputed from them."""

from __future__ import annotations

from collections.abc import Sequence

from partline.errors import InputError, OutOfRange
from partline.process.run import run_state
from partline.process.run.questions import questions
from partline.records.workshop import Workshop
from partline.services.runs.clock import run_clock
from partline.services.runs.forecasts import forecast_for
from partline.services.runs.log import moment
from partline.services.runs.practice import checked
from partline.services.runs.practice import signs as practice_signs
from partline.services.runs.standing import as_json, followed, standing
from partline.services.runs.wire import read_event
from partline.services.workshop import now, program_version

__all__ = ["add_photo", "begin", "listed", "record", "run_clock", "state"]

Json = dict[str, object]
#: Moulds that can be in rotation.
MOST_MOULDS = 12


def begin(
    workshop: Workshop,
    plan_code: str,
    *,
    device: str = "",
    moulds: int = 1,
    practice: Json | None = None,
) -> str:
    """Begin a run of a kept plan and return its code.

    Parameters
    ----------
    workshop : Workshop
        Open.
    plan_code : str
        As it stands on the card.
    device : str
        That begins it.
    moulds : int
        Alike, in rotation, 1 to 12.
    practice : dict, optional
        For a practice run: ``seed``, and where wanted ``speed`` (1, 4 or 10) and ``slips``.

    Raises
    ------
    NotFound
        If there is no such plan.
    OutOfRange
        If there are no moulds, or more than 12.
    InputError
        If a practice run is asked for that there is not.
    """
    if not 1 <= moulds <= MOST_MOULDS:
        raise OutOfRange(
            f"{moulds} moulds were told; a run is for 1 to {MOST_MOULDS} in rotation.",
            low=1, high=MOST_MOULDS, field="moulds", given=str(moulds),
        )  # fmt: skip
    pretended = None if practice is None else checked(practice)
    kept = workshop.plans.get(plan_code)
    run = workshop.runs.begin(
        kept.code, now=now(), program=program_version(), device=device, moulds=moulds,
        practice=pretended, forecast=None if practice else forecast_for(workshop, kept),
    )  # fmt: skip
    return run.code


def record(workshop: Workshop, code: str, raw: Sequence[object], *, device: str = "") -> Json:
    """Keep what a device tells, and return where the run stands then.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.
    raw : sequence of object
        Events as JSON says them; one that is kept already is left as it is.
    device : str
        That tells.

    Returns
    -------
    dict
        ``kept``: ids; ``problems``: what could not be kept, with its place; ``state``.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    events, problems = [], []
    for place, each in enumerate(raw):
        try:
            events.append(read_event(each))
        except InputError as error:
            given = each.get("id") if isinstance(each, dict) else None
            problems.append({"place": place, "id": given, **error.as_dict()})
    run = workshop.runs.get(code)
    kept = workshop.runs.add(run.code, events, device=device, now=run_clock(run, now()))
    return {"kept": list(kept), "problems": problems, "state": state(workshop, run.code)}


def state(workshop: Workshop, code: str) -> Json:
    """Return where a run stands, recomputed from its events.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    run = followed(workshop, code)
    events = workshop.runs.events(run.run.code)
    clock = run_clock(run.run, now())
    return {
        **as_json(standing(run, events, clock)),
        "practice": practice_signs(run, events, clock),
    }


def listed(workshop: Workshop) -> list[Json]:
    """Return all runs, the newest first."""
    found = []
    for run in workshop.runs.listed():
        known = followed(workshop, run.code)
        events = workshop.runs.events(run.code)
        doubted = frozenset(each.about for each in questions(events, known.plan))
        stands = run_state(events, known.plan, doubted=doubted)
        found.append(
            {
                "code": run.code,
                "plan": run.plan_code,
                "recipe": known.recipe.name,
                "version": known.recipe.version,
                "mould": known.mould.name,
                "state": stands.phase.value,
                "is_stopped": stands.is_stopped,
                "shots": len(stands.shots),
                "good": stands.good,
                "moulded": stands.moulded,
                "begun": moment(min([run.created_at, *(event.at for event in events)])),
                "is_practice": run.practice is not None,
                "is_pinned": stands.is_pinned,
                "is_aside": stands.is_aside,
            }
        )
    return found


def add_photo(workshop: Workshop, code: str, name: str, content: bytes) -> str:
    """Keep a photo of a run and return its code.

    Raises
    ------
    NotFound
        If there is no such run.
    InputError
        If it is no photo, or too large.
    """
    run = workshop.runs.get(code)
    return workshop.photos.add_to_run(run.code, content, name=name, now=now()).id
