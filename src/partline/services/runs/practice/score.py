"""How a practice run went: against the truth of the pretended bench, in a maker's words."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock

from partline.services.runs.log import moment
from partline.services.runs.practice.draws import TrueDraw, draws
from partline.services.runs.practice.items import apart, items, warm
from partline.services.runs.practice.options import Json
from partline.services.runs.practice.outcomes import outcomes
from partline.services.runs.practice.session import Session
from partline.services.runs.practice.starts import starts

NOTE = (
    "The bench was pretended: a simulation whose constants are guesses, drawn by the seed. It "
    "shows how the steps hang together, not what your own oven, cups or thermometer do. Your "
    "supplier's sheet and your own readings come before it."
)
HELD = 16
_held: OrderedDict[tuple[str, int, bool], Json] = OrderedDict()
_lock = Lock()


def scored(session: Session) -> Json:
    """Return how a run went.

    Parameters
    ----------
    session : Session
        At any time; most is known at its end.

    Returns
    -------
    dict
        ``note``, ``shots``, ``draws``, ``items``, ``starts`` and ``slips``; keys in
        ``docs/how-to/practise-without-heat.md``.
    """
    is_settled = session.stage().until <= session.seconds(session.now)
    key = (session.run.run.code, len(session.events), is_settled)
    with _lock:
        if key in _held:
            return _held[key]
    found = _scored(session)
    with _lock:
        _held[key] = found
        while len(_held) > HELD:
            _held.popitem(last=False)
    return found


def _scored(session: Session) -> Json:
    drawn, begun = draws(session), starts(session)
    count = {
        verdict: sum(d.verdict == verdict for d in drawn) for verdict in ("in", "near", "out")
    }
    return {
        "run": session.run.run.code,
        "state": session.state.phase.value,
        "seed": session.practice.seed,
        "speed": session.practice.speed,
        "note": NOTE,
        "shots": {
            "made": len(session.state.shots), "of": session.run.plan.shots, "draws": len(drawn),
            "in_band": count["in"], "near": count["near"], "out": count["out"],
        },
        "draws": [_draw(session, each) for each in drawn],
        "items": items(session, drawn, begun),
        "starts": [
            {
                "melt": each.melt, "heat": each.heat, "low_s": round(each.low),
                "start_s": round(each.mid), "high_s": round(each.high),
                "true_s": None if each.true is None else round(each.true), "held": each.is_held,
            }
            for each in begun
        ],
        "slips": [each.as_json for each in outcomes(session)],
    }  # fmt: skip


def _draw(session: Session, each: TrueDraw) -> Json:
    cups = ", ".join(f"{letter} {warm(session, value)}" for letter, value in each.warmth.items())
    off = apart(session, each.off)
    words = {
        "in": "in the band",
        "near": f"in the band as the thermometer reads it, in truth {off} outside",
        "out": f"{off} outside the band",
    }
    return {
        "at": moment(each.at), "melt": each.melt, "draw": each.number,
        "celsius": {letter: round(value, 1) for letter, value in each.warmth.items()},
        "reads_c": {letter: round(value, 1) for letter, value in each.reads.items()},
        "band_c": [round(edge, 1) for edge in each.band],
        "off_c": round(each.off, 1),
        "verdict": each.verdict, "apart_c": round(each.apart, 1),
        "stirred_s": {
            letter: None if ago is None else round(ago) for letter, ago in each.stirred.items()
        },
        "text": f"{cups}: {words[each.verdict]}.",
    }  # fmt: skip
