"""What a run's photos say about the verdict's looks: an answer with its figure, or none.

A figure within its own doubt of the limit answers nothing. The maker presses to tell an answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from partline.quantities.estimate import Estimate
from partline.services.photo_measure import Reason, Subject
from partline.services.run_photos.creep import Course, course_words, courses
from partline.services.runs.photo_events import WORDS, PhotoMeasure, figure_words
from partline.studies.photo_card import MM
from partline.studies.photo_evidence import (
    CRISP,
    STEP,
    Limit,
    chance_below,
    colours_got_worse,
    is_below,
    line_got_worse,
)

_ASK = "Look yourself."


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What photos say about one look.

    Parameters
    ----------
    look : str
        Key of the look.
    answer : bool or None
        Yes or no; None where the eye is asked.
    says : str
        The figure, the limit and what follows, as a sentence.
    chance : float or None
        That the answer is right, as far as the reading goes; None where there is none. [-]
    photos : tuple of str
        Codes of the photos that it rests on.
    limit : Limit or None
        What the figure was held against. [mm, or the figure's unit]
    """

    look: str
    answer: bool | None
    says: str
    chance: float | None
    photos: tuple[str, ...]
    limit: Limit | None


def offers(measures: Sequence[PhotoMeasure]) -> tuple[Offer, ...]:
    """Return what a run's photos say about its looks, each look once.

    Parameters
    ----------
    measures : sequence of PhotoMeasure
        As they stand.
    """
    found = [
        _crisp("sprue_crisp", Subject.SPRUE, measures),
        _crisp("belly_crisp", Subject.SLICE, measures),
        _no_step(measures),
        _first_only(measures),
        _worse_later(measures),
    ]
    return tuple(each for each in found if each is not None)


def _newest(measures: Sequence[PhotoMeasure], subject: Subject) -> list[PhotoMeasure]:
    """Return the photos of the newest day of a subject."""
    of_it = [each for each in measures if each.subject is subject]
    last = max((each.day for each in of_it), default=0)
    return [each for each in of_it if each.day == last]


def _held_against(
    look: str,
    rows: Sequence[PhotoMeasure],
    key: str,
    limit: Limit,
    words: tuple[str, str, str],
) -> Offer:
    """Hold a figure of one or more photos against a limit; yes is below it."""
    rule, yes, no = words
    figures = [each.figures[key] for each in rows]
    sides = {is_below(each, limit.value) for each in figures}
    told = "; ".join(figure_words(key, each) for each in figures)
    origin = f" ({limit.source})" if limit.source else ""
    answer = sides.pop() if len(sides) == 1 else None
    if answer is None:
        why = "within its doubt of the limit" if len(rows) == 1 else "they do not settle it"
        says, chance = f"{told}; {rule}{origin}: {why}. {_ASK}", None
    else:
        says = f"{told}; {rule}{origin}: {yes if answer else no}."
        below = [chance_below(each, limit.value) for each in figures]
        chance = min(each if answer else 1 - each for each in below)
    return Offer(
        look=look,
        answer=answer,
        says=f"{says[0].upper()}{says[1:]}",
        chance=chance,
        photos=tuple(each.photo for each in rows),
        limit=limit,
    )


def _crisp(look: str, subject: Subject, measures: Sequence[PhotoMeasure]) -> Offer | None:
    rows = _newest(measures, subject)
    measured = [each for each in rows if "line_width_mm" in each.figures]
    if measured:
        limit = Limit(value=CRISP.value / MM, origin=CRISP.origin, source=CRISP.source)
        words = (f"a crisp one is under {limit.value:g} mm", "crisp", "not crisp")
        return _held_against(look, measured, "line_width_mm", limit, words)
    lineless = [each for each in rows if each.reason == Reason.NO_LINE.value]
    if not lineless:
        return None
    return Offer(
        look=look,
        answer=None,
        says=f"No line was found in the {WORDS[subject]}: there is none, or a half is as grey as "
        f"the card. {_ASK}",
        chance=None,
        photos=tuple(each.photo for each in lineless),
        limit=None,
    )


def _no_step(measures: Sequence[PhotoMeasure]) -> Offer | None:
    rows = [each for each in _newest(measures, Subject.SLICE) if "lightness_step" in each.figures]
    if not rows:
        return None
    words = (f"under {STEP.value:g} a grey photo shows none", "no step", "a step shows")
    return _held_against("no_step", rows, "lightness_step", STEP, words)


def _first_only(measures: Sequence[PhotoMeasure]) -> Offer | None:
    """Compare the first shot's line with later ones', where the shots' numbers were told."""
    for subject in (Subject.SPRUE, Subject.SLICE):
        rows = [
            each
            for each in _newest(measures, subject)
            if each.shot is not None and "line_width_mm" in each.figures
        ]
        first = [each for each in rows if each.shot == 1]
        later = [each for each in rows if each.shot != 1]
        if first and later:
            return _first_against_later(first, later)
    return None


def _first_against_later(first: Sequence[PhotoMeasure], later: Sequence[PhotoMeasure]) -> Offer:
    def crisp(rows: Sequence[PhotoMeasure]) -> bool | None:
        limit = CRISP.value / MM
        sides = {is_below(each.figures["line_width_mm"], limit) for each in rows}
        return sides.pop() if len(sides) == 1 else None

    is_first, is_later = crisp(first), crisp(later)
    answer = None
    if is_first is not None and is_later is not None:
        answer = not is_first and is_later
    told = [
        f"shot {each.shot}: {figure_words('line_width_mm', each.figures['line_width_mm'])}"
        for each in (*first, *later)
    ]
    then = {True: "only the first is spoiled.", False: "not the first alone.", None: _ASK}
    says = f"{'; '.join(told)}: {then[answer]}"
    return Offer(
        look="first_only",
        answer=answer,
        says=f"{says[0].upper()}{says[1:]}",
        chance=None,
        photos=tuple(each.photo for each in (*first, *later)),
        limit=Limit(value=CRISP.value / MM, origin=CRISP.origin, source=CRISP.source),
    )


def _in_metres(known: Estimate) -> Estimate:
    return known.map(lambda value: value * MM)


def _line(course: Course) -> bool | None:
    first, last = (_in_metres(course.days[place].known) for place in (0, -1))
    return line_got_worse(first, last)


def _colours(course: Course) -> bool | None:
    return colours_got_worse(course.days[0].known, course.days[-1].known)


def _was_fine(course: Course) -> bool:
    """Whether a figure spoke of a sound bait on the first day."""
    first = course.days[0].known
    if course.figure == "back_belly":
        return is_below(first, STEP.value) is not True
    return is_below(_in_metres(first), CRISP.value) is not False


_WORSE: dict[str, Callable[[Course], bool | None]] = {
    "line_width_mm": _line,
    "back_belly": _colours,
}


def _worse_later(measures: Sequence[PhotoMeasure]) -> Offer | None:
    """Join all that was followed: one thing that got worse is enough for a yes."""
    followed = [each for each in courses(measures) if each.is_later and each.figure in _WORSE]
    if not followed:
        return None
    answers = [_WORSE[each.figure](each) for each in followed]
    answer = True if True in answers else None if None in answers else False
    was_fine = any(_was_fine(each) for each in followed)
    ends = {
        True: "It was fine on the day and is worse now.",
        None: _ASK,
        False: "Not worse than on the day." if was_fine else "It was not fine on the day either.",
    }
    shown = [each for each, worse in zip(followed, answers, strict=True) if worse is answer]
    says = " ".join(f"{WORDS[each.subject].capitalize()}. {course_words(each)}" for each in shown)
    photos = [code for each in shown for day in each.days for code in day.photos]
    return Offer(
        look="worse_later",
        answer=answer,
        says=f"{says} {ends[answer]}",
        chance=None,
        photos=tuple(dict.fromkeys(photos)),
        limit=None,
    )
