"""One change at a time, with its size and what to expect of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import ceil

from partline.process.recipe import Half
from partline.quantities.rounding import as_deserved
from partline.studies.loading import Need
from partline.studies.look import HalfLook, Look
from partline.studies.verdict import Distinct, Hides

#: Changes are rounded up to a size that a hand can count and an eye can judge.
SIZES = (1.25, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0)


class Action(StrEnum):
    """What the advice asks for."""

    RAISE = "raise one colourant"
    ADD_OPAQUE = "add an opaque colourant"
    CHOOSE_OTHERS = "choose colours further apart"
    ACCEPT_OR_RAISE = "accept, or raise further"
    KEEP = "keep it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One piece of advice.

    Parameters
    ----------
    action : Action
        What to do.
    text : str
        As a sentence to the maker.
    half : Half or None
        Which side it concerns.
    supply : str
        Which colourant; empty where none.
    amount_now, amount_then : float or None
        Loading in every 100 g before and after. [drops or g]
    unit : str
        drops or g.
    factor : float or None
        The one over the other. [-]
    expected_hiding : float or None
        What the half would then hide at the widest station. [-]
    """

    action: Action
    text: str
    half: Half | None = None
    supply: str = ""
    amount_now: float | None = None
    amount_then: float | None = None
    unit: str = ""
    factor: float | None = None
    expected_hiding: float | None = None


def rounded_up(factor: float) -> float:
    """Return the next size of change that is not smaller than `factor`. [-]"""
    return next((size for size in SIZES if size >= factor * 0.995), float(ceil(factor)))


def number(value: float) -> str:
    """Write a loading as a person would."""
    return f"{value:.3g}"


def _place(half: Half) -> str:
    return "bait" if half is Half.WHOLE else f"{half.value} half"


def _raise(look: Look, seen: HalfLook, wanted: Need, factor: float) -> Advice:
    factor = min(rounded_up(factor), wanted.most)
    then = wanted.now * factor
    if wanted.unit == "drops":
        then = float(ceil(then - 1e-6))
        factor = then / wanted.now
    hiding = wanted.hiding_at(factor, look.widest)
    station = look.at_widest.station.name
    text = (
        f"The {_place(seen.half)} hides {seen.hiding.value:.2f} at the {station} station; "
        f"{look.wanted:.2f} is wanted. Raise {wanted.supply} from {number(wanted.now)} to "
        f"{number(then)} {wanted.unit} per 100 g (×{factor:.3g}) and leave everything else as it "
        f"is. It should then hide about {hiding:.2f}."
    )
    return Advice(
        action=Action.RAISE,
        text=text,
        half=seen.half,
        supply=wanted.supply,
        amount_now=wanted.now,
        amount_then=then,
        unit=wanted.unit,
        factor=factor,
        expected_hiding=hiding,
    )


def _add_opaque(look: Look, seen: HalfLook, wanted: Need | None) -> Advice:
    why = (
        "it has no colourant to raise"
        if wanted is None
        else f"no loading of {wanted.supply} within reach would do it"
    )
    text = (
        f"The {_place(seen.half)} hides {seen.hiding.value:.2f} at the "
        f"{look.at_widest.station.name} station; {look.wanted:.2f} is wanted, and {why}. "
        "Add a few drops of an opaque colourant to that side."
    )
    return Advice(action=Action.ADD_OPAQUE, text=text, half=seen.half)


def _weak_halves(look: Look) -> list[Advice]:
    """Advice for each half that hides too little, the worst first."""
    found = []
    for seen, wanted in zip(look.at_widest.halves, look.needs, strict=True):
        if seen.word is Hides.HIDES:
            continue
        factor = wanted.factor(look.at_widest.station.name) if wanted else None
        if wanted is None or factor is None:
            found.append((seen.hiding.value, _add_opaque(look, seen, wanted)))
        else:
            found.append((seen.hiding.value, _raise(look, seen, wanted, factor)))
    return [advice for _, advice in sorted(found, key=lambda each: each[0])]


def _reads_as_one(look: Look) -> list[Advice]:
    """Say when back and belly look alike, for one of two different reasons."""
    station = look.at_widest
    if station.back_belly is None or station.side is None:
        return []
    alike = (Distinct.SAME, Distinct.BARELY)
    if station.back_belly.verdict not in alike:
        return []
    views, flank = station.back_belly.value.value, station.side.value.value
    if station.side.verdict in alike:
        text = (
            f"The two halves are too alike: ΔE00 {flank:.1f} from the side, {views:.1f} between "
            "back and belly. Choose colours further apart in lightness."
        )
        return [Advice(action=Action.CHOOSE_OTHERS, text=text)]
    weak = min(station.halves, key=lambda half: half.hiding.value)
    text = (
        f"Back and belly look the same from above and below (ΔE00 {views:.1f}), though the halves "
        f"differ by {flank:.0f} from the side: the {weak.half} half lets the other colour "
        f"through. Make the {weak.half} half hide if the bait should read as two from every side."
    )
    return [Advice(action=Action.ADD_OPAQUE, text=text, half=weak.half)]


def _thin_ends(look: Look) -> list[Advice]:
    """Say where a half that hides at the widest station is see-through elsewhere."""
    found = []
    for seen, wanted in zip(look.at_widest.halves, look.needs, strict=True):
        if wanted is None or seen.word is not Hides.HIDES:
            continue
        place = [half.half for half in look.at_widest.halves].index(seen.half)
        weak = min(look.stations, key=lambda station: station.halves[place].hiding.value)
        there = weak.halves[place]
        if there.word is not Hides.SEE_THROUGH:
            continue
        factor = wanted.factor(weak.station.name)
        reach = (
            f"{as_deserved(*wanted.amount(factor))} {wanted.unit} of {wanted.supply} per 100 g "
            "would be needed there"
            if factor
            else f"no loading of {wanted.supply} within reach would hide it there"
        )
        text = (
            f"The {_place(seen.half)} stays see-through at the {weak.station.name} station "
            f"({there.hiding.value:.2f}): {reach}. Accept it, or add an opaque colourant."
        )
        found.append(
            Advice(
                action=Action.ACCEPT_OR_RAISE,
                text=text,
                half=seen.half,
                supply=wanted.supply,
                amount_now=wanted.now,
                amount_then=wanted.now * factor if factor else None,
                unit=wanted.unit,
                factor=factor,
            )
        )
    return found


def advise(look: Look) -> tuple[Advice, ...]:
    """Return what to change, most useful first; never more than one change to make at once.

    Only the first entry is a change to make now. What follows is what to look at next time.
    """
    advice = [*_reads_as_one(look), *_weak_halves(look), *_thin_ends(look)]
    if not any(each.action is not Action.ACCEPT_OR_RAISE for each in advice):
        who = "Each half" if len(look.at_widest.halves) == 2 else "The bait"
        text = f"{who} hides what is wanted at the widest station. Keep the amounts."
        advice.insert(0, Advice(action=Action.KEEP, text=text))
    return tuple(advice)
