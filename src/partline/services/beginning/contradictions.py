"""What no bait, no shot and no side can be: answers that are asked about before any is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from partline.errors import Ambiguous, InputError
from partline.quantities.units import Kind, show
from partline.records.exchange.amount import read_amount
from partline.records.exchange.mould import BAIT_MASS, LENGTH
from partline.records.exchange.mould_sizes import other_units
from partline.services.beginning.answers import Answers
from partline.services.beginning.body import simple_body
from partline.services.beginning.documents import (
    HOT_DENSITY,
    MOST_DRAWN,
    SYRINGES,
    drawn_hot,
    halves,
)

#: A bait stouter or slimmer than this (thickness over length) was hardly measured so. [-]
STOUTEST, SLIMMEST = 0.5, 0.015
#: A length alone gives a simple body's weight, which is wrong by this much and must still be
#: one that a bait can have. [-]
WEIGHT_DOUBT = 1.5


def contradictions(answers: Answers) -> Iterator[InputError]:
    """Yield what is to be asked about answers of which each alone may be so."""
    yield from _sides(answers)
    if answers.mould:
        return
    slips = list(_bait(answers))
    yield from slips
    if not slips and not answers.bench:
        yield from _shot(answers)


def _sides(answers: Answers) -> Iterator[InputError]:
    """Ask about a second bottle for one side: the first card takes one a side."""
    for half in halves(answers):
        meant = [each for each in answers.bottles if each.half is half]
        if len(meant) > 1:
            names = " and ".join(f"“{each.name}”" for each in meant)
            number = answers.bottles.index(meant[1]) + 1
            yield InputError(
                f"{names} both go into the {half}; on a first card a side has one bottle.",
                field=f"bottle{number}_half",
                remedy="Send one of them to the other side or to the shelf only: a recipe takes "
                "more bottles a side afterwards.",
            )


def _bait(answers: Answers) -> Iterator[InputError]:
    """Ask about a length that no bait has: mostly it is one in another unit."""
    if not answers.bait_length:
        return
    length = read_amount("", answers.bait_length, Kind.LENGTH, LENGTH)
    if answers.bait_mass:
        mass = read_amount("", answers.bait_mass, Kind.MASS, BAIT_MASS)
        thick = show(simple_body(mass, length).diameter, "mm", 0)
        message = f"A bait of {show(mass, 'g', 1)} and {answers.bait_length} long would be "
        message += f"{thick} thick."
        yield from _asked(answers.bait_length, message, lambda size: _is_bait(mass, size),
                          "Check the weight and the length, or leave one empty.")  # fmt: skip
    else:
        weight = show(simple_body(None, length).mass, "g", 2)
        message = f"A bait {answers.bait_length} long, of a usual shape, would weigh {weight}."
        yield from _asked(answers.bait_length, message, _has_usual_weight,
                          "Check the length, or say what one bait weighs as well.")  # fmt: skip


def _asked(
    typed: str, message: str, fits: Callable[[float], bool], remedy: str
) -> Iterator[InputError]:
    """Ask about a length that does not fit, with the units in which the same number would."""
    if fits(read_amount("", typed, Kind.LENGTH, LENGTH)):
        return
    readings = other_units(typed, LENGTH, fits)
    if readings:
        yield Ambiguous(message, readings=readings, field="bait_length", given=typed)
    else:
        yield InputError(message, field="bait_length", given=typed, remedy=remedy)


def _is_bait(mass: float, length: float) -> bool:
    return SLIMMEST <= simple_body(mass, length).diameter / length <= STOUTEST


def _has_usual_weight(length: float) -> bool:
    """Whether a simple body of that length weighs what a bait can, its doubt included."""
    grams = simple_body(None, length).mass * 1e3
    low, high = float(BAIT_MASS.low or 0), float(BAIT_MASS.high or 0)
    return grams / WEIGHT_DOUBT >= low and grams * WEIGHT_DOUBT <= high


def _shot(answers: Answers) -> Iterator[InputError]:
    """Refuse a shot that the largest pair of syringes would not push at once."""
    hot, largest = drawn_hot(answers), SYRINGES[-1] * MOST_DRAWN
    if hot <= largest:
        return
    grams = hot * HOT_DENSITY * len(halves(answers))
    yield InputError(
        f"Such a shot takes about {grams:.0f} g, {hot:.0f} mL hot in a syringe; from the largest "
        f"that is guessed, {SYRINGES[-1]} mL, {largest:.0f} mL can be drawn.",
        field="cavities",
        given=str(answers.cavities or ""),
        remedy=f"Check cavities and weight: {largest / hot:.0%} of that would fit. If your pair "
        "is larger, enter your bench first and choose it at question 2.",
    )
