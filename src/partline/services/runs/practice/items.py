"""What is said of a practice run, point by point, in a maker's words."""

from __future__ import annotations

from partline.process.run import Kind
from partline.quantities.constants import ZERO_CELSIUS
from partline.services.runs.practice.draws import MATCHED, STIRRED, TrueDraw, peaks
from partline.services.runs.practice.options import Json
from partline.services.runs.practice.session import Session
from partline.services.runs.practice.sight import opened_early
from partline.services.runs.practice.starts import ForecastStart

#: Plastic that never came nearer to the target is taken as not fused through. Common practice,
#: no source. [K]
UNDER = 5.0


def items(
    session: Session, drawn: tuple[TrueDraw, ...], begun: tuple[ForecastStart, ...]
) -> list[Json]:
    """Return what is said of a run; ``ok`` is None where there is nothing to say or to praise.

    Parameters
    ----------
    session : Session
        The run.
    drawn : tuple of TrueDraw
        Its draws.
    begun : tuple of ForecastStart
        Its starts.
    """
    return [
        _band(drawn),
        _thermometer(session, drawn),
        _match(session, drawn),
        _stir(drawn),
        _ceiling(session),
        _fused(session),
        _metal(session),
        _opening(session),
        _begun(begun),
    ]


def _item(key: str, title: str, ok: bool | None, text: str) -> Json:
    return {"key": key, "title": title, "ok": ok, "text": text}


def warm(session: Session, celsius: float) -> str:
    """Return a temperature as the bench's own thermometer would say it."""
    return session.run.bench.reading(celsius + ZERO_CELSIUS)


def apart(session: Session, kelvins: float) -> str:
    """Return a difference of temperatures as the bench's own thermometer would say it."""
    if session.run.bench.reads_fahrenheit:
        return f"{kelvins * 1.8:.0f} °F"
    return f"{kelvins:.1f} °C"


def _band(drawn: tuple[TrueDraw, ...]) -> Json:
    if not drawn:
        return _item("band", "In the working band", None, "Nothing was drawn yet.")
    inside = sum(each.verdict == "in" for each in drawn)
    near = sum(each.verdict == "near" for each in drawn)
    text = f"{inside} of {len(drawn)} draws were in the band in truth"
    text += f", {near} more as the thermometer reads it." if near else "."
    out = [each for each in drawn if each.verdict == "out"]
    if out:
        cold = sum(min(each.warmth.values()) < each.band[0] for each in out)
        text += f" {cold} too cold, {len(out) - cold} too hot."
    return _item("band", "In the working band", not out, text)


def _thermometer(session: Session, drawn: tuple[TrueDraw, ...]) -> Json:
    title = "What the thermometer was off by"
    if not drawn:
        return _item("thermometer", title, None, "Nothing was drawn yet.")
    low = [each.warmth[cup] - each.reads[cup] for each in drawn for cup in each.warmth]
    text = (
        f"At the draws it read {apart(session, min(low))} to {apart(session, max(low))} below "
        "the truth: no reading could tell that. Two things show it on a real bench: a thermometer "
        "that dips in, and how the baits come out."
    )
    return _item("thermometer", title, None, text)


def _match(session: Session, drawn: tuple[TrueDraw, ...]) -> Json:
    if not drawn or len(drawn[0].warmth) < 2:
        return _item("match", "A and B matched", None, "No two cups were drawn together.")
    missed = [each for each in drawn if each.apart > MATCHED]
    widest = max(each.apart for each in drawn)
    text = f"Widest apart at a draw: {apart(session, widest)}."
    if missed:
        text += (
            f" {len(missed)} of {len(drawn)} draws were more than {apart(session, MATCHED)} "
            "apart. A few degrees of that can be the two colours under one thermometer."
        )
    return _item("match", "A and B matched", not missed, text)


def _stir(drawn: tuple[TrueDraw, ...]) -> Json:
    if not drawn:
        return _item("stir", "Stirred before the draw", None, "Nothing was drawn yet.")
    missed = [each for each in drawn if not each.is_stirred]
    text = (
        f"Every draw came within {STIRRED:.0f} s of a stir."
        if not missed
        else f"{len(missed)} of {len(drawn)} draws came more than {STIRRED:.0f} s after a stir: "
        "flake sinks, and the top is colder than the rest."
    )
    return _item("stir", "Stirred before the draw", not missed, text)


def _ceiling(session: Session) -> Json:
    title, ceiling, found = "Under the ceiling", session.run.plan.ceiling, peaks(session)
    if not found:
        return _item("ceiling", title, None, "Nothing was heated yet.")
    top = max(found, key=lambda each: each.bulk)
    limit = session.run.bench.reading(ceiling)
    if top.bulk <= ceiling - ZERO_CELSIUS:
        text = f"Hottest: cup {top.cup}, {warm(session, top.bulk)} of {limit}."
        return _item("ceiling", title, True, text)
    text = (
        f"Cup {top.cup} of melt {top.melt} was at {warm(session, top.bulk)}, past {limit}. A "
        "shorter burst, and a stir before the reading, show it in time."
    )
    return _item("ceiling", title, False, text)


def _fused(session: Session) -> Json:
    title, target, found = "Fused through", session.run.plan.target, peaks(session)
    if not found:
        return _item("fused", title, None, "Nothing was heated yet.")
    aim = session.run.bench.reading(target)
    low = [each for each in found if each.bulk < target - ZERO_CELSIUS - UNDER]
    if not low:
        text = f"Every cup came within {apart(session, UNDER)} of its target, {aim}."
        return _item("fused", title, True, text)
    worst = min(low, key=lambda each: each.bulk)
    text = (
        f"Cup {worst.cup} of melt {worst.melt} came to {warm(session, worst.bulk)} at most; the "
        f"target is {aim}. Such baits tear."
    )
    return _item("fused", title, False, text)


def _metal(session: Session) -> Json:
    plan = session.run.plan
    for event, before, _ in session.steps:
        if event.kind is not Kind.BURST:
            continue
        for letter, cup in before.cups.items():
            planned = plan.melts[before.melt - 1].cups[letter].later
            metal = {each.supply for each in planned if each.is_metal} & cup.added
            if event.cup in (None, letter) and metal and not _is_refilled(session, event.id):
                text = f"Cup {letter} went into the oven with {', '.join(sorted(metal))} in it."
                return _item("metal", "No metal in the oven", False, text)
    return _item("metal", "No metal in the oven", True, "No cup with metal flake was heated.")


def _is_refilled(session: Session, event: str) -> bool:
    """Whether a time in the oven was the first of a fresh melt."""
    return any(e.id == event and after.melt != before.melt for e, before, after in session.steps)


def _opening(session: Session) -> Json:
    early = []
    for event, before, after in session.steps:
        if event.kind is Kind.OPEN and after.shots != before.shots:
            mould = int(event.number("mould") or 1)
            early.append(opened_early(session, before, event.at, mould))
    if not early:
        return _item("opening", "Opened in time", None, "No mould was opened.")
    soft = [each for each in early if each > 0]
    text = (
        f"All {len(early)} times the baits came out firm."
        if not soft
        else f"{len(soft)} of {len(early)} times too early, by {max(soft):.0f} s at most: soft in "
        "the belly, bent tails."
    )
    return _item("opening", "Opened in time", not soft, text)


def _begun(begun: tuple[ForecastStart, ...]) -> Json:
    if not begun:
        return _item("start", "The start that was forecast", None, "No start was waited for.")
    held = sum(each.is_held for each in begun)
    text = (
        f"{held} of {len(begun)} starts lay in the range that was told; about 4 of 5 should. This "
        "one is the program's score, not yours."
    )
    return _item("start", "The start that was forecast", None, text)
