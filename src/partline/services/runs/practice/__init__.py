"""The practice run: the bench screen before a pretended bench, and how it went."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from partline.errors import InputError
from partline.process.run import Event, run_states
from partline.records.workshop import Workshop
from partline.services.runs.log import moment
from partline.services.runs.practice.acts import NOBODY
from partline.services.runs.practice.display import thermometer
from partline.services.runs.practice.options import (
    SPEEDS,
    Json,
    Slip,
    checked,
    hidden_slips,
    read_practice,
)
from partline.services.runs.practice.score import scored
from partline.services.runs.practice.session import session
from partline.services.runs.practice.sight import seen
from partline.services.runs.practice.slips import away_until, hiding
from partline.services.runs.standing import Followed

__all__ = ["SPEEDS", "Slip", "checked", "read_practice", "reading", "score", "sees", "signs"]


def reading(workshop: Workshop, code: str, cup: str, *, now: datetime | None = None) -> Json:
    """Return what the pretended thermometer shows of a cup now.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of a practice run.
    cup : str
        A or B.
    now : datetime, optional
        On the run's own clock; read off the wall's when left out.

    Returns
    -------
    dict
        ``shows``, ``unit`` (C or F), ``celsius``, ``setting`` and ``why``. The same for the same
        seed, readings told so far and moment.

    Raises
    ------
    NotFound
        If there is no such run.
    InputError
        If it is no practice run, or has no such cup.
    """
    known = session(workshop, code, now=now)
    letters = known.run.plan.letters
    if cup not in letters:
        raise InputError(
            f"This run has no cup {cup[:20]}: its plan fills cup {' and '.join(letters)}.",
            field="cup", given=cup[:20],
        )  # fmt: skip
    return thermometer(known, cup)


def sees(workshop: Workshop, code: str, *, now: datetime | None = None) -> Json:
    """Return what a maker would see at the pretended bench now.

    Raises
    ------
    NotFound
        If there is no such run.
    InputError
        If it is no practice run.
    """
    return seen(session(workshop, code, now=now))


def signs(run: Followed, events: Sequence[Event], now: datetime) -> Json | None:
    """Return what the bench screen must know of a practice run without being asked.

    Returns
    -------
    dict or None
        ``seed`` and ``away_until``: while somebody is at the door. None where it is no practice.
    """
    if run.run.practice is None:
        return None
    practice = read_practice(run.run.practice)
    hidden = hiding(practice.seed, hidden_slips(practice, run.plan), run.plan)
    steps = tuple(run_states(events, run.plan, doubted=NOBODY)) if hidden.slips else ()
    back = away_until(hidden, steps)
    is_away = back is not None and now < back
    return {
        "seed": practice.seed,
        "away_until": moment(back) if is_away and back is not None else None,
    }


def score(workshop: Workshop, code: str, *, now: datetime | None = None) -> Json:
    """Return how a practice run went, against the truth of its pretended bench.

    Raises
    ------
    NotFound
        If there is no such run.
    InputError
        If it is no practice run.
    """
    return scored(session(workshop, code, now=now))
