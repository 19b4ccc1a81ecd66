"""What somebody at the pretended bench would see, beside thermometer and scale."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import exp

import numpy as np

from partline.process.practice_bench.bench import CUPS
from partline.process.run import Kind, Phase, RunState, Shot
from partline.quantities.constants import ZERO_CELSIUS
from partline.services.opening import WARM_MOULD
from partline.services.runs.log import moment
from partline.services.runs.moulds import mould_timers
from partline.services.runs.practice.display import scale, thermometer
from partline.services.runs.practice.options import Json
from partline.services.runs.practice.session import Session
from partline.services.runs.practice.slips import away_until, is_swapped, is_upside_down

#: How plastisol looks on its way up: below each, so. Common practice, no source. [°C]
LOOKS = (
    (45.0, "milky and runny"),
    (75.0, "thickening"),
    (115.0, "a stiff paste, dull"),
    (145.0, "softening, clear at the rim"),
)
CLEAR = "clear and runny"
#: A skin shows on plastic left alone for so long. Common practice, no source. [s]
SKIN = 60.0
#: What was just opened can be looked at for so long. [s]
JUST = 120.0
#: How far the true time to open strays from the forecast, as a standard deviation of its
#: logarithm. A guess. [-]
STRAYS = 0.08


def seen(session: Session) -> Json:
    """Return what a maker would see now.

    Parameters
    ----------
    session : Session
        The practice run.

    Returns
    -------
    dict
        ``cups``: a word of each; ``displays``: of the thermometer over each; ``scale``: while a
        cup is weighed; ``mould``, ``syringes``, ``bait``, ``opened``: a sentence or empty;
        ``away_until``: while somebody is at the door.
    """
    back = away_until(session.hiding, session.steps)
    is_away = back is not None and session.now < back
    letters = session.run.plan.letters
    return {
        "cups": {letter: "" if is_away else look(session, letter) for letter in letters},
        "displays": {letter: thermometer(session, letter) for letter in letters},
        "scale": scale(session),
        "mould": _mould(session),
        "syringes": _syringes(session),
        "bait": bait(session),
        "opened": _opened(session),
        "away_until": moment(back) if is_away and back is not None else None,
    }


def look(session: Session, cup: str) -> str:
    """Return how a cup looks, in a few words."""
    stage = session.stage()
    if stage.is_inside(cup, session.seconds(session.now)):
        return "in the oven"
    place = CUPS.index(cup)
    melt = stage.bench.melt
    bulk = float(melt.bulk[place]) - ZERO_CELSIUS
    hottest = float(melt.layers[place].max())
    if hottest >= session.run.plan.ceiling:
        return "smoking: out with it, ventilate"
    words = next((look for below, look in LOOKS if bulk < below), CLEAR)
    state = session.state.cups.get(cup)
    was_hot = state is not None and bool(state.bursts)
    if was_hot and bulk >= 75.0 and _since_stir(session, cup) > SKIN:
        return f"{words}, a skin on it"
    return words


def _since_stir(session: Session, cup: str) -> float:
    state = session.state.cups[cup]
    last = [at for at in (state.stirred_at, state.last_burst and state.last_burst.end) if at]
    return (session.now - max(last)).total_seconds() if last else 0.0


def _mould(session: Session) -> str:
    """Return how the clamped mould lies, for as long as nothing is in it."""
    state, mark = session.state, session.run.plan.mark
    if not mark or len(session.run.plan.letters) < 2 or state.phase is Phase.CLOSED:
        return ""
    is_down = is_upside_down(session.hiding, session.told, session.now)
    return f"The clamped mould: {mark} {'above' if is_down else 'below'}."


def _syringes(session: Session) -> str:
    state = session.state
    if not state.is_drawn or len(session.run.plan.letters) < 2:
        return ""
    wrong = is_swapped(
        session.hiding, session.told, session.now, state.melt, state.melt_shots() + 1
    )
    one, other = ("B", "A") if wrong else ("A", "B")
    return f"The syringe with the solid band was filled at cup {one}, the striped at {other}."


def bait(session: Session) -> str:
    """Return how the first bait of the melt lies, once it is out and nobody has said so."""
    state = session.state
    first = first_of_melt(state)
    if first is None or first.opened_at is None or len(session.run.plan.letters) < 2:
        return ""
    if state.is_first_shot_seen:
        return ""
    wrong = is_upside_down(session.hiding, session.told, first.at) != is_swapped(
        session.hiding, session.told, first.at, state.melt, 1
    )
    return f"The first bait, as it lay in the mould: dark side {'down' if wrong else 'up'}."


def first_of_melt(state: RunState) -> Shot | None:
    """Return the first shot of the melt in hand; None before it."""
    return next((shot for shot in state.shots if shot.melt == state.melt), None)


def _opened(session: Session) -> str:
    """Return how the baits look that were just taken out."""
    for event, before, after in reversed(session.steps):
        if session.now - event.at > timedelta(seconds=JUST):
            return ""
        if event.kind is Kind.OPEN and after.shots != before.shots:
            early = opened_early(session, before, event.at, int(event.number("mould") or 1))
            return (
                f"Opened {early:.0f} s early: the belly is soft and the tails bend."
                if early > 0
                else "Out clean, firm enough to lie flat."
            )
    return ""


def opened_early(session: Session, before: RunState, at: datetime, mould: int) -> float:
    """Return by how much a mould was opened too early [s]; 0 where it was not."""
    run = session.run
    timers = mould_timers(before, run.plan, run.mould, count=run.run.moulds, wall=WARM_MOULD)
    shut = before.closed_moulds.get(mould)
    opens = next((timer.opens for timer in timers if timer.mould == mould), None)
    if shut is None or opens is None:
        return 0.0
    rng = np.random.default_rng([session.practice.seed, 4])
    true = (opens.mid - shut.at).total_seconds() * exp(STRAYS * rng.standard_normal())
    return max(true - (at - shut.at).total_seconds(), 0.0)
