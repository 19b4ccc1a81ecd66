"""What must be asked before it may count: a reading, a mass that cannot well be meant."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from partline.process.run.event import Event, Kind, Told, as_it_stands
from partline.process.run.plan import PlannedMelt, RunPlan
from partline.quantities.constants import ZERO_CELSIUS

#: Above the ceiling a reading is asked about from here on: it is more likely a slip. [K]
FAR_ABOVE = 60.0
#: Below room temperature no cup on the bench can be, but for the thermometer's own error. [K]
FAR_BELOW = 10.0
#: A mass this far from the plan is asked about. [-]
FAR_OFF = 0.3
#: A °F thermometer's figure that is a likely °C figure. [°C]
LIKELY_CELSIUS = (100.0, 200.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer: what it means, and the event that it is.

    Parameters
    ----------
    label : str
        To press.
    kind : Kind
        Of the event.
    data : mapping
        Of the event.
    """

    label: str
    kind: Kind
    data: Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something to ask.

    Parameters
    ----------
    key : str
        By which it is answered.
    about : str
        Id of the event that counts for nothing until it is answered.
    text : str
        The question.
    choices : tuple of Choice
        Its answers; the event as it was told is always one of them.
    """

    key: str
    about: str
    text: str
    choices: tuple[Choice, ...] = field(default_factory=tuple)


def questions(events: Sequence[Event], plan: RunPlan) -> tuple[Question, ...]:
    """Return what is still to be asked of a run.

    Parameters
    ----------
    events : sequence of Event
        All that was told.
    plan : RunPlan
        That it follows.

    Returns
    -------
    tuple of Question
        In the order of what they are about. A correction or a confirmation answers one.
    """
    told = as_it_stands(events)
    confirmed = {event.text("question") for event in events if event.kind is Kind.CONFIRM}
    asked = (_ask(each, told, plan) for each in told if not each.is_void)
    return tuple(each for each in asked if each is not None and each.key not in confirmed)


def _ask(each: Told, told: Iterable[Told], plan: RunPlan) -> Question | None:
    match each.event.kind:
        case Kind.READING:
            return _ask_reading(each.event, told, plan)
        case Kind.WEIGH:
            return _ask_mass(each.event, told, plan)
        case _:
            return None


def _ask_reading(event: Event, told: Iterable[Told], plan: RunPlan) -> Question | None:
    celsius = event.number("celsius")
    if celsius is None:
        return None
    given = _shown(celsius, event.text("unit"))
    other = _read_otherwise(celsius, event.text("unit"))
    kelvin = celsius + ZERO_CELSIUS
    is_far = not plan.bench.room - FAR_BELOW <= kelvin <= plan.ceiling + FAR_ABOVE
    is_unit = (
        event.text("unit") == "F"
        and LIKELY_CELSIUS[0] <= other <= LIKELY_CELSIUS[1]
        and _was_heated(event, told)
    )
    if not (is_far or is_unit):
        return None
    choices = [_as_told(event, f"It is {given}")]
    if plan.bench.room - FAR_BELOW <= other + ZERO_CELSIUS <= plan.ceiling + FAR_ABOVE:
        unit = "C" if event.text("unit") == "F" else "F"
        means = f"{_entered(celsius, event.text('unit'))} °{unit}"
        if unit == "F":
            means += f" = {other:.0f} °C"
        data = {"celsius": round(other, 2), "unit": unit}
        choices.insert(0, _instead(event, means, data))
    choices.append(_taken_back(event))
    return Question(
        key=_key(event),
        about=event.id,
        text=f"{given} in cup {event.cup}? The plastic here is between "
        f"{plan.bench.reading(plan.bench.room)} and {plan.bench.reading(plan.ceiling)}.",
        choices=tuple(choices),
    )


def _was_heated(event: Event, told: Iterable[Told]) -> bool:
    return any(
        each.event.kind is Kind.BURST
        and not each.is_void
        and each.event.cup in (None, event.cup)
        and each.event.at < event.at
        for each in told
    )


def _entered(celsius: float, unit: str) -> str:
    return f"{celsius * 1.8 + 32:.0f}" if unit == "F" else f"{celsius:g}"


def _shown(celsius: float, unit: str) -> str:
    return f"{_entered(celsius, unit)} °{'F' if unit == 'F' else 'C'}"


def _read_otherwise(celsius: float, unit: str) -> float:
    """Return the temperature were the same figure of the other scale. [°C]"""
    return celsius * 1.8 + 32.0 if unit == "F" else (celsius - 32.0) / 1.8


def _ask_mass(event: Event, told: Iterable[Told], plan: RunPlan) -> Question | None:
    grams = event.number("grams")
    if grams is None or event.cup is None:
        return None
    if event.data.get("left") is True:
        return _ask_rest(event, grams, told, plan)
    planned = [melt.cups[event.cup] for melt in plan.melts if event.cup in melt.cups]
    if not planned:
        return None
    net = [cup.cold_mass * 1e3 for cup in planned]
    nearest = min(net, key=lambda mass: abs(mass - grams))
    if abs(grams - nearest) <= FAR_OFF * nearest:
        return None
    empty = plan.bench.vessel.mass
    choices = [_as_told(event, f"It is {grams:.1f} g"), _taken_back(event)]
    text = f"{grams:.1f} g in cup {event.cup}? The plan says {nearest:.1f} g."
    if empty is not None:
        tare = empty.value * 1e3
        if abs(grams - tare - nearest) <= FAR_OFF * nearest:
            text = _with_cup(grams, tare)
            choices.insert(0, _without_cup(event, grams, tare))
    return Question(key=_key(event), about=event.id, text=text, choices=tuple(choices))


def _ask_rest(event: Event, grams: float, told: Iterable[Told], plan: RunPlan) -> Question | None:
    """Ask about what is left in a cup where the empty cup seems in it, or it never went in."""
    made = _melt_of(event, told, plan)
    cup = made[0].cups.get(str(event.cup))
    if cup is None:
        return None
    most, rest = cup.mass * 1e3, max(cup.mass - made[1] * cup.draw, 0.0) * 1e3
    empty = plan.bench.vessel.mass
    choices = [_as_told(event, f"It is {grams:.1f} g"), _taken_back(event)]
    tare = None if empty is None else empty.value * 1e3
    # Nearer to what the plan leaves with the empty cup than to what it leaves without.
    if tare is not None and tare <= grams <= tare + most and grams - rest > tare / 2:
        choices.insert(0, _without_cup(event, grams, tare))
        text = _with_cup(grams, tare)
    elif grams > (1.0 + FAR_OFF) * most:
        text = f"{grams:.1f} g left in cup {event.cup}? Only {most:.1f} g was to go in."
    else:
        return None
    return Question(key=_key(event), about=event.id, text=text, choices=tuple(choices))


def _melt_of(event: Event, told: Iterable[Told], plan: RunPlan) -> tuple[PlannedMelt, float]:
    """Return the melt that an event falls into by the shots before it, and its draws so far."""
    shots = sum(
        each.event.kind is Kind.SHOT and not each.is_void and each.event.at <= event.at
        for each in told
    )
    for melt in plan.melts:
        if shots <= melt.shots or melt is plan.melts[-1]:
            break
        shots -= melt.shots
    return melt, shots / plan.bench.syringes.shots_per_draw


def _with_cup(grams: float, tare: float) -> str:
    return f"{grams:.1f} g: is the empty cup ({tare:.0f} g) in it?"


def _without_cup(event: Event, grams: float, tare: float) -> Choice:
    less = round(grams - tare, 1)
    return _instead(event, f"Yes: {less:.1f} g of plastic", {"grams": less, "tare_g": tare})


def _key(event: Event) -> str:
    return f"{event.kind}-{event.id}"


def _as_told(event: Event, label: str) -> Choice:
    return Choice(label=label, kind=Kind.CONFIRM, data={"question": _key(event)})


def _instead(event: Event, label: str, data: Mapping[str, object]) -> Choice:
    return Choice(label=label, kind=Kind.CORRECTION, data={"of": event.id, "data": dict(data)})


def _taken_back(event: Event) -> Choice:
    return Choice(
        label="Neither: take it back", kind=Kind.CORRECTION, data={"of": event.id, "void": True}
    )
