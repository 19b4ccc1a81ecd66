"""Which of the hidden mistakes were met, and by which event the learner caught them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from partline.process.practice_bench.bench import CUPS
from partline.process.run import Event, Kind, Told
from partline.process.run.questions import FAR_OFF
from partline.quantities.constants import ZERO_CELSIUS
from partline.services.runs.practice.options import Json, Slip
from partline.services.runs.practice.session import Session
from partline.services.runs.practice.slips import (
    AT_THE_DOOR,
    bell,
    mould_turned,
    setting_noticed,
)

#: An entered temperature this near to the truth is the one that was meant. [K]
MEANT = 15.0
#: Any of these between the door and the next draw: somebody looked before going on.
LOOKED = (Kind.STIR, Kind.READING, Kind.STOP, Kind.HEAT, Kind.BURST)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one hidden mistake.

    Parameters
    ----------
    slip : Slip
        Which.
    is_met : bool
        Whether the run came to where it was hidden.
    by : str or None
        Id of the event that caught it; None where it went through.
    text : str
        One or two sentences.
    """

    slip: Slip
    is_met: bool
    by: str | None
    text: str

    @property
    def as_json(self) -> Json:
        """As the wire says it."""
        return {
            "slip": self.slip.value, "title": TITLES[self.slip], "met": self.is_met,
            "caught": self.by is not None if self.is_met else None, "by": self.by,
            "text": self.text,
        }  # fmt: skip


TITLES = {
    Slip.UPSIDE_DOWN: "The mould lay upside down",
    Slip.SWAPPED: "The syringes were filled from the wrong cups",
    Slip.TARE: "The empty cup was on the scale",
    Slip.WRONG_UNIT: "The thermometer had gone to its other scale",
    Slip.EMISSIVITY: "The thermometer's setting was knocked",
    Slip.DOORBELL: "The doorbell rang",
}


def outcomes(session: Session) -> tuple[Outcome, ...]:
    """Return what became of every hidden mistake."""
    return tuple(_OUTCOME[slip](session) for slip in session.hiding.slips)


def _not_met(slip: Slip) -> Outcome:
    return Outcome(slip=slip, is_met=False, by=None, text="The run did not come to it.")


def _first(told: Sequence[Told], found: Callable[[Event], bool]) -> Event | None:
    return next((each.event for each in told if not each.is_void and found(each.event)), None)


def _wrong_way(session: Session, slip: Slip, melt: int) -> Outcome:
    shots = [shot for shot in session.state.shots if shot.melt >= melt]
    turned = mould_turned(session.told)
    if not shots and turned is None:
        return _not_met(slip)
    since = None if melt == 1 or not shots else shots[0].at
    event = _first(
        session.told,
        lambda each: (
            (since is None or each.at >= since - timedelta(seconds=AT_THE_DOOR))
            and (
                (each.kind is Kind.FIRST_SHOT and each.data.get("dark_side_up") is False)
                or (each.kind is Kind.WRONG and each.text("what") in ("swapped", "upside down"))
            )
        ),
    )
    if event is None:
        count = len(shots) if slip is Slip.UPSIDE_DOWN else 1
        baits = count * session.run.plan.cavities
        return Outcome(
            slip=slip, is_met=True, by=None,
            text=f"It went through: {baits} baits have their dark side down. The first bait of "
            "each melt shows it, laid as it lay in the mould.",
        )  # fmt: skip
    before = sum(1 for shot in shots if shot.at < event.at)
    lost = before if slip is Slip.UPSIDE_DOWN else min(before, 1)
    return Outcome(
        slip=slip, is_met=True, by=event.id,
        text="Seen before any shot." if lost == 0 else f"Seen after {lost} shot"
        f"{'' if lost == 1 else 's'}: the first bait showed it.",
    )  # fmt: skip


def _upside_down(session: Session) -> Outcome:
    return _wrong_way(session, Slip.UPSIDE_DOWN, 1)


def _swapped(session: Session) -> Outcome:
    return _wrong_way(session, Slip.SWAPPED, session.hiding.swapped_melt)


def _tare(session: Session) -> Outcome:
    hidden = session.hiding
    weighed = {
        event.id
        for event, _, after in session.steps
        if event.kind is Kind.WEIGH
        and (after.melt, event.cup) == (hidden.tare_melt, hidden.tare_cup)
    }
    found = [
        each
        for each in session.told
        if each.event.kind is Kind.WEIGH
        and each.event.cup == hidden.tare_cup
        and (each.event.id in weighed or (each.is_void and hidden.tare_melt == 1))
    ]
    if not found:
        return _not_met(Slip.TARE)
    planned = session.run.plan.melts[hidden.tare_melt - 1].cups[hidden.tare_cup].cold_mass * 1e3

    def is_net(event: Event) -> bool:
        return abs((event.number("grams") or 0.0) - planned) <= FAR_OFF * planned

    last = found[-1]
    if not last.is_void and not is_net(last.event):
        text = (
            f"{last.event.number('grams'):.0f} g was kept for cup {hidden.tare_cup}, the empty "
            "cup with it. The forecasts then count plastic that is not there."
        )
        return Outcome(slip=Slip.TARE, is_met=True, by=None, text=text)
    text = (
        f"{last.event.number('grams'):.1f} g was kept for cup {hidden.tare_cup}: without the cup."
    )
    by = last.corrected_by or last.event.id
    return Outcome(slip=Slip.TARE, is_met=True, by=by, text=text)


def _wrong_unit(session: Session) -> Outcome:
    told, place = session.readings, session.hiding.unit_reading
    if len(told) <= place:
        return _not_met(Slip.WRONG_UNIT)
    each = told[place]
    kept = each.event.number("celsius") or 0.0
    if each.is_void:
        text = "The reading was taken back."
    elif abs(kept - _true_reading(session, each.event)) <= MEANT:
        text = f"{kept:.0f} °C was kept, which is what the cup was."
    else:
        text = (
            f"{kept:.0f} °C was kept for cup {each.event.cup}; it was the figure of the other "
            "scale. Look for the letter behind the figure."
        )
        return Outcome(slip=Slip.WRONG_UNIT, is_met=True, by=None, text=text)
    by = each.corrected_by or each.event.id
    return Outcome(slip=Slip.WRONG_UNIT, is_met=True, by=by, text=text)


def _true_reading(session: Session, event: Event) -> float:
    bench = session.stage(event.at).bench
    return float(bench.true_reading()[CUPS.index(event.cup or "A")]) - ZERO_CELSIUS


def _setting(session: Session) -> Outcome:
    off = session.readings[session.hiding.setting_reading :]
    if not off:
        return _not_met(Slip.EMISSIVITY)
    noticed = setting_noticed(session.hiding, session.told)
    if noticed is None:
        text = (
            f"{len(off)} reading{'' if len(off) == 1 else 's'} stood as they came, far too high: "
            "the cups were colder than they read. A jump that no burst explains is a reason to "
            "look at the setting."
        )
        return Outcome(slip=Slip.EMISSIVITY, is_met=True, by=None, text=text)
    at, by = noticed
    count = sum(1 for each in off if each.event.at <= at)
    text = f"Noticed after {count} reading{'' if count == 1 else 's'} with it."
    return Outcome(slip=Slip.EMISSIVITY, is_met=True, by=by, text=text)


def _doorbell(session: Session) -> Outcome:
    rang = bell(session.hiding, session.steps)
    if rang is None:
        return _not_met(Slip.DOORBELL)
    back = rang + timedelta(seconds=AT_THE_DOOR)
    after = [event for event, _, _ in session.steps if event.at > rang]
    next_draw = next((e for e in after if e.kind in (Kind.DRAW, Kind.SHOT)), None)
    looked = next((e for e in after if e.kind in LOOKED and e.at >= back), None)
    if looked is not None and (next_draw is None or looked.at <= next_draw.at):
        text = "Before going on it was looked at again: stirred, read or heated."
        return Outcome(slip=Slip.DOORBELL, is_met=True, by=looked.id, text=text)
    if next_draw is None:
        return _not_met(Slip.DOORBELL)
    text = "The next draw came without a stir or a reading: a skin grows meanwhile, and it cools."
    return Outcome(slip=Slip.DOORBELL, is_met=True, by=None, text=text)


_OUTCOME = {
    Slip.UPSIDE_DOWN: _upside_down,
    Slip.SWAPPED: _swapped,
    Slip.TARE: _tare,
    Slip.WRONG_UNIT: _wrong_unit,
    Slip.EMISSIVITY: _setting,
    Slip.DOORBELL: _doorbell,
}
