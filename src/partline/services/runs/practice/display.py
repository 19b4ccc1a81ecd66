"""What the pretended thermometer and scale show."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from partline.process.practice_bench import PracticeBench
from partline.process.practice_bench.bench import CUPS
from partline.quantities.constants import ZERO_CELSIUS
from partline.services.plan import scale_reading
from partline.services.runs.practice.options import Json
from partline.services.runs.practice.session import Session
from partline.services.runs.practice.slips import (
    WRONG_SETTING,
    away_until,
    is_other_unit,
    is_setting_wrong,
    is_weighing_gross,
)

#: How far a hand that fills a cup stops from the figure on the card, as one standard deviation.
#: A guess. [kg]
POURED = 3e-4


def thermometer(session: Session, cup: str) -> Json:
    """Return what the thermometer shows of a cup, held over it now.

    Parameters
    ----------
    session : Session
        The practice run.
    cup : str
        A or B.

    Returns
    -------
    dict
        ``shows``, ``unit``, ``celsius`` and ``setting``; where nothing can be read, ``shows`` is
        empty and ``why`` says it.
    """
    setting = session.run.bench.thermometer.emissivity if session.run.bench.thermometer else 0.95
    is_wrong = is_setting_wrong(session.hiding, session.told)
    shown: Json = {"cup": cup, "setting": WRONG_SETTING if is_wrong else setting}
    if why := _unseen(session, cup):
        return {**shown, "shows": "", "unit": "", "celsius": None, "why": why}
    celsius, _ = _set(session, is_wrong=is_wrong).read(cup)
    reads_f = session.run.bench.reads_fahrenheit ^ is_other_unit(session.hiding, session.told)
    figure = round(celsius * 1.8 + 32) if reads_f else round(celsius)
    return {
        **shown, "shows": f"{figure}", "unit": "F" if reads_f else "C",
        "celsius": round((figure - 32) / 1.8, 2) if reads_f else float(figure), "why": "",
    }  # fmt: skip


def _set(session: Session, *, is_wrong: bool) -> PracticeBench:
    """Return the bench with its thermometer as it is set, at its next reading."""
    bench = replace(session.stage().bench, acts=len(session.readings))
    if not is_wrong:
        return bench
    wrong = np.full_like(bench.hidden.setting, WRONG_SETTING)
    return replace(bench, hidden=replace(bench.hidden, setting=wrong))


def _unseen(session: Session, cup: str) -> str:
    """Return why a cup cannot be read now; empty where it can."""
    back = away_until(session.hiding, session.steps)
    if back is not None and session.now < back:
        return "You are at the door."
    if session.stage().is_inside(cup, session.seconds(session.now)):
        return f"Cup {cup} is in the oven."
    return ""


def scale(session: Session) -> Json | None:
    """Return what the scale shows while a cup is to be weighed; None when none is.

    A hand filled the cup to about the figure on the card.
    """
    state = session.state
    waiting = [
        letter
        for letter, cup in state.cups.items()
        if not cup.is_weighed and not cup.bursts and state.melt_shots() == 0
    ]
    if not waiting:
        return None
    cup = waiting[0]
    planned = session.run.plan.melts[state.melt - 1].cups[cup].cold_mass
    rng = np.random.default_rng([session.practice.seed, 3, state.melt, CUPS.index(cup)])
    mass, tare = planned + POURED * rng.standard_normal(), session.run.bench.vessel.mass
    is_gross = is_weighing_gross(session.hiding, state.melt, cup) and tare is not None
    if is_gross and tare is not None:
        mass += tare.value
    return {"cup": cup, "shows": f"{scale_reading(mass):.1f}", "unit": "g"}


def true_celsius(bench: PracticeBench, cup: str) -> float:
    """Return how warm the plastic of a cup is throughout. [°C]"""
    return float(bench.true_bulk()[CUPS.index(cup)]) - ZERO_CELSIUS
