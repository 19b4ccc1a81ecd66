"""What a photo of a run was found to say, as an event: checked, read back, put into words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import isfinite
from types import MappingProxyType
from typing import Final

from partline.errors import InputError, OutOfRange
from partline.process.run import Event, Kind, as_it_stands
from partline.quantities.estimate import Estimate, Origin
from partline.services.photo_measure import Subject

#: Figures that may be kept of a photo: least, most, digits shown, name and unit.
FIGURES: Final = MappingProxyType(
    {
        "line_width_mm": (0.0, 100.0, 2, "line", "mm"),
        "halves": (0.0, 200.0, 1, "halves apart", "ΔE00"),
        "back_belly": (0.0, 200.0, 1, "back against belly", "ΔE00"),
        "lightness_step": (0.0, 100.0, 1, "step of lightness", "L*"),
        "back_share": (0.0, 1.0, 3, "back’s share", ""),
        "line_tilt_deg": (-180.0, 180.0, 1, "line leans", "°"),
        "height_mm": (0.0, 200.0, 1, "height", "mm"),
    }
)
#: Figures that a record's sentence names, by what the photo shows.
NAMED: Final = MappingProxyType(
    {
        Subject.BAIT: ("back_belly",),
        Subject.SLICE: ("line_width_mm", "halves"),
        Subject.SPRUE: ("line_width_mm", "halves"),
    }
)
#: What a photo shows, in a maker's words.
WORDS: Final = MappingProxyType(
    {
        Subject.BAIT: "two baits, back and belly",
        Subject.SLICE: "belly slice",
        Subject.SPRUE: "sprue slice",
    }
)
LAST_DAY, LAST_SHOT = 10_000, 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoMeasure:
    """What one photo of a run says of one thing in it, as it stands.

    Parameters
    ----------
    event : str
        Id of the event that says it.
    photo : str
        Code of the photo.
    subject : Subject
        What was measured.
    day : int
        Whole days since the first shot. [d]
    shot : int or None
        Number of the shot that it comes from.
    baits : str
        Which baits, in the maker's words.
    card : int or None
        Number of the printed card.
    line : str
        The card's line under a ruler, as it was typed; empty where it was not measured.
    figures : dict of str to Estimate
        By the keys of `FIGURES`, in their units.
    reason, refusal : str
        Why it was not measured: a word and a sentence; empty where it was.
    pointed : mapping
        Where the maker showed that it lies, by pocket; empty where nobody did. [pixel]
    at : datetime
        When it was said, in UTC.
    """

    event: str
    photo: str
    subject: Subject
    day: int
    shot: int | None
    baits: str
    card: int | None
    line: str
    figures: dict[str, Estimate]
    reason: str
    refusal: str
    pointed: Mapping[str, object]
    at: datetime

    @property
    def key(self) -> tuple[str, Subject]:
        """What it is about: an observation, counted once however often it is measured."""
        return self.photo, self.subject


def photo_measures(events: Iterable[Event]) -> tuple[PhotoMeasure, ...]:
    """Return what a run's photos say: of each photo and subject the latest, by day and moment.

    Parameters
    ----------
    events : iterable of Event
        All that was told.
    """
    found: dict[tuple[str, Subject], PhotoMeasure] = {}
    for told in as_it_stands(events):
        if _is_sound(told.event) and not told.is_void:
            measure = _measure(told.event)
            found[measure.key] = measure
    return tuple(sorted(found.values(), key=lambda each: (each.day, each.at)))


def _is_sound(event: Event) -> bool:
    """Whether an event says what a photo says, even after it was corrected."""
    if event.kind is not Kind.PHOTO_MEASURE:
        return False
    try:
        check_photo_measure(event.data)
    except InputError:
        return False
    return True


def _measure(event: Event) -> PhotoMeasure:
    data = event.data
    refused = data.get("refused")
    why = refused if isinstance(refused, Mapping) else {}
    shot, card = event.number("shot"), event.number("card")
    pointed = data.get("pointed")
    return PhotoMeasure(
        event=event.id,
        photo=event.text("photo"),
        subject=Subject(event.text("subject")),
        day=int(event.number("day") or 0),
        shot=None if shot is None else int(shot),
        baits=event.text("baits"),
        card=None if card is None else int(card),
        line=event.text("line"),
        figures=_figures(data.get("figures")),
        reason=str(why.get("reason") or ""),
        refusal=str(why.get("text") or ""),
        pointed=pointed if isinstance(pointed, Mapping) else {},
        at=event.at,
    )


def _figures(given: object) -> dict[str, Estimate]:
    if not isinstance(given, Mapping):
        return {}
    return {
        key: Estimate(
            value=float(each["value"]), low=float(each["low"]), high=float(each["high"]),
            origin=Origin.MEASURED, source="one photo", count=1,
        )
        for key, each in given.items()
        if key in FIGURES
    }  # fmt: skip


def check_photo_measure(data: Mapping[str, object]) -> None:
    """Refuse an event that does not say what a photo was found to say.

    Raises
    ------
    InputError
        If the photo, its subject, its day, a figure or the refusal cannot be kept as it is.
    """
    photo, subject = data.get("photo"), data.get("subject")
    if not isinstance(photo, str) or not 0 < len(photo) <= 20:
        message = "What a photo says names the photo by its code."
        raise InputError(message, field="data.photo", given=str(photo)[:80])
    if not isinstance(subject, str) or subject not in set(Subject):
        message = f"A photo is measured for {', '.join(Subject)}; “{str(subject)[:40]}” is none."
        raise InputError(message, field="data.subject", given=str(subject)[:80])
    _whole(data.get("day"), "day", 0, LAST_DAY)
    for key, least, most in (("shot", 1, LAST_SHOT), ("card", 1, LAST_SHOT)):
        if data.get(key) is not None:
            _whole(data.get(key), key, least, most)
    figures, refused = data.get("figures"), data.get("refused")
    if isinstance(figures, Mapping) and figures and refused is None:
        for key, given in figures.items():
            _check_figure(str(key), given)
    elif not isinstance(refused, Mapping) or not isinstance(refused.get("reason"), str) or figures:
        message = "A photo has figures, or a reason why it has none."
        raise InputError(message, field="data.figures")


def _whole(given: object, key: str, least: int, most: int) -> None:
    is_whole = isinstance(given, int | float) and not isinstance(given, bool)
    if not is_whole or not least <= given <= most or given != int(given):  # type: ignore[operator, call-overload]
        raise OutOfRange(
            f"{key} is {given!r}; it is a whole number from {least} to {most}.",
            low=least, high=most, field=f"data.{key}", given=str(given)[:80],
        )  # fmt: skip


def _check_figure(key: str, given: object) -> None:
    if key not in FIGURES:
        message = f"No photo says “{key[:40]}”; known are {', '.join(FIGURES)}."
        raise InputError(message, field="data.figures", given=key[:80])
    least, most = FIGURES[key][:2]
    ends = [given.get(end) for end in ("low", "value", "high")] if isinstance(given, dict) else []
    numbers = [
        float(end)
        for end in ends
        if isinstance(end, int | float) and not isinstance(end, bool) and isfinite(end)
    ]
    if len(numbers) != 3 or numbers != sorted(numbers) or not least <= numbers[1] <= most:
        raise OutOfRange(
            f"{key} is {str(given)[:60]}; it is value, low and high in order, and the value from "
            f"{least:g} to {most:g}.",
            low=least, high=most, field=f"data.figures.{key}", given=str(given)[:80],
        )  # fmt: skip


def figure_words(key: str, known: Estimate) -> str:
    """Return a figure in words, such as ``line 2.4 mm (2.2–2.6)``."""
    _, _, digits, name, unit = FIGURES[key]
    value, low, high = (f"{each:.{digits}f}" for each in (known.value, known.low, known.high))
    return f"{name} {value}{f' {unit}' if unit else ''} ({low}–{high})"


def measure_words(measure: PhotoMeasure) -> str:
    """Return what a photo says in a line."""
    if measure.reason:
        return f"not measured: {measure.reason}"
    named = [key for key in NAMED[measure.subject] if key in measure.figures]
    return ", ".join(figure_words(key, measure.figures[key]) for key in named)


def photo_sentence(event: Event) -> str:
    """Return the record's sentence about what a photo says."""
    if not _is_sound(event):
        return "Photo measured"
    measure = _measure(event)
    of = f", shot {measure.shot}" if measure.shot is not None else ""
    return f"Photo of {_article(measure.subject)}, day {measure.day}{of}: {measure_words(measure)}"


def _article(subject: Subject) -> str:
    words = WORDS[subject]
    return words if subject is Subject.BAIT else f"a {words}"
