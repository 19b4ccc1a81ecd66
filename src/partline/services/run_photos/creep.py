"""Whether anything crept: a run's figures day by day, and by how much they changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from partline.quantities.estimate import Estimate
from partline.services.photo_measure import Subject
from partline.services.runs.photo_events import FIGURES, PhotoMeasure
from partline.studies.photo_evidence import LATER, change, has_moved, pooled

#: What is followed over the days, by what the photos show.
FOLLOWED: Final = (
    (Subject.SLICE, "line_width_mm"),
    (Subject.SLICE, "halves"),
    (Subject.SPRUE, "line_width_mm"),
    (Subject.SPRUE, "halves"),
    (Subject.BAIT, "back_belly"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayFigure:
    """A figure on one day.

    Parameters
    ----------
    day : int
        Since the first shot. [d]
    known : Estimate
        The mean of that day's photos. [the figure's unit]
    photos : tuple of str
        Codes of these.
    change : Estimate or None
        From the first day; None on that day itself. [same unit]
    """

    day: int
    known: Estimate
    photos: tuple[str, ...]
    change: Estimate | None

    @property
    def has_moved(self) -> bool | None:
        """Whether it changed beyond doubt; None on the first day."""
        return None if self.change is None else has_moved(self.change)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One figure of a run through its days.

    Parameters
    ----------
    subject : Subject
        What the photos show.
    figure : str
        A key of `FIGURES`.
    days : tuple of DayFigure
        Earliest first, at least one.
    """

    subject: Subject
    figure: str
    days: tuple[DayFigure, ...]

    @property
    def is_later(self) -> bool:
        """Whether the last day is late enough for anything to have crept."""
        return self.days[-1].day - self.days[0].day >= LATER


def courses(measures: Sequence[PhotoMeasure]) -> tuple[Course, ...]:
    """Return what is followed of a run, figure by figure.

    Parameters
    ----------
    measures : sequence of PhotoMeasure
        As they stand.
    """
    found = []
    for subject, key in FOLLOWED:
        by_day: dict[int, list[PhotoMeasure]] = {}
        for each in measures:
            if each.subject is subject and key in each.figures:
                by_day.setdefault(each.day, []).append(each)
        if by_day:
            found.append(Course(subject=subject, figure=key, days=_days(by_day, key)))
    return tuple(found)


def _days(by_day: dict[int, list[PhotoMeasure]], key: str) -> tuple[DayFigure, ...]:
    days: list[DayFigure] = []
    for day in sorted(by_day):
        known = pooled([each.figures[key] for each in by_day[day]])
        days.append(
            DayFigure(
                day=day,
                known=known,
                photos=tuple(each.photo for each in by_day[day]),
                change=change(days[0].known, known) if days else None,
            )
        )
    return tuple(days)


def course_words(course: Course) -> str:
    """Return in a sentence whether a figure moved."""
    _, _, digits, name, unit = FIGURES[course.figure]
    last = course.days[-1]
    if last.change is None or not course.is_later:
        return f"{name.capitalize()}: one day so far, nothing to compare it with yet."
    value, low, high = (
        f"{each:+.{digits}f}".replace("-", "−")
        for each in (last.change.value, last.change.low, last.change.high)
    )
    said = f"{name.capitalize()}, day {course.days[0].day} to {last.day}: {value} {unit} "
    moved = "it moved" if last.has_moved else "no change beyond doubt"
    return f"{said}({low} to {high}): {moved}."
