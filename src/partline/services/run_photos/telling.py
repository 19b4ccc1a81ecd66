"""A run's photos for page and command line: what each shows, says, and leaves to the eye."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from partline.errors import Impossible, NotFound
from partline.process.run import Event, Kind, as_it_stands
from partline.records.photos import Photo
from partline.records.workshop import Workshop
from partline.services.photo_measure import Reason
from partline.services.photos import photo_as_json
from partline.services.run_photos.creep import Course, DayFigure, course_words, courses
from partline.services.run_photos.due import due_json, next_photo
from partline.services.run_photos.looks import Offer, offers
from partline.services.run_photos.run_days import days_since, first_shot
from partline.services.run_photos.taking import tell
from partline.services.runs.photo_events import (
    FIGURES,
    WORDS,
    PhotoMeasure,
    measure_words,
    photo_measures,
)
from partline.services.telling import figure
from partline.services.workshop import now
from partline.studies.diagnosis import LOOKS

Json = dict[str, Any]
#: Photos that no screen is asked to open.
UNSHOWN = frozenset({Reason.TOO_LARGE.value, Reason.NO_PHOTO.value})
LONGEST_SAID = 500


def run_photos(workshop: Workshop, code: str) -> Json:
    """Return a run's photos, what they say of the verdict's looks, and what crept.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    run = workshop.runs.get(code)
    events = workshop.runs.events(run.code)
    plan = workshop.plans.get(run.plan_code)
    measures = photo_measures(events)
    start = first_shot(events)
    due = next_photo(events, now())
    return {
        "run": run.code,
        "recipe": plan.recipe.name,
        "mould": plan.mould.name,
        "is_practice": run.practice is not None,
        "day": None if start is None else days_since(start, now()),
        "photos": [
            _photo(photo, [each for each in measures if each.photo == photo.id])
            for photo in workshop.photos.of_run(run.code)
        ],
        "looks": [_offer(each, _standing_looks(events)) for each in offers(measures)],
        "creep": [_course(each) for each in courses(measures)],
        "due": None if due is None else due_json(due),
        "lines_wanted": _lines_wanted(workshop, measures),
    }


def tell_photo_look(workshop: Workshop, code: str, look: str, *, device: str = "") -> None:
    """Tell a run what its photos say about a look; told once, it is not told again.

    Raises
    ------
    NotFound
        If there is no such run, or its photos say nothing of the look.
    Impossible
        If they do not settle it.
    """
    run = workshop.runs.get(code)
    events = workshop.runs.events(run.code)
    offer = next((each for each in offers(photo_measures(events)) if each.look == look), None)
    if offer is None:
        raise NotFound(f"No photo of run {run.code} says anything of “{look[:40]}”.")
    if offer.answer is None:
        raise Impossible(
            "The photos do not settle this look.", nearest="Look yourself, and answer on the "
            "verdict’s page."
        )  # fmt: skip
    stands = _standing_looks(events).get(look)
    is_told = stands is not None and stands.data.get("seen") is offer.answer
    if is_told and stands is not None and stands.text("photo") in offer.photos:
        return
    data = {
        "look": look, "seen": offer.answer, "photo": offer.photos[-1],
        "text": offer.says[:LONGEST_SAID],
    }  # fmt: skip
    tell(workshop, run, [("look", data)], device)


def _standing_looks(events: Sequence[Event]) -> dict[str, Event]:
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    return {event.text("look"): event for event in told if event.kind is Kind.LOOK}


def photo_words(measure: PhotoMeasure, *, where: str = "", group: str = "") -> Json:
    """Return what a photo says in a line, and for who does not see it."""
    says = measure_words(measure)
    shot = "" if measure.shot is None else f", shot {measure.shot}"
    ends = "".join(f", {each}" for each in (where, group) if each)
    words = WORDS[measure.subject]
    alt = f"{words[0].upper()}{words[1:]}, day {measure.day}{shot}{ends}: {says}"
    return {"says": says, "alt": alt, "can_show": measure.reason not in UNSHOWN}


def _photo(photo: Photo, measures: Sequence[PhotoMeasure]) -> Json:
    return {
        **photo_as_json(photo),
        "can_show": all(each.reason not in UNSHOWN for each in measures),
        "measures": [_measure(each) for each in measures],
    }


def _measure(measure: PhotoMeasure) -> Json:
    said = photo_words(measure)
    return {
        "id": measure.event,
        "subject": measure.subject.value,
        "shows": WORDS[measure.subject],
        "day": measure.day,
        "shot": measure.shot,
        "baits": measure.baits,
        "card": measure.card,
        "line": measure.line,
        "is_pointed": bool(measure.pointed),
        "figures": [_figure(key, measure) for key in FIGURES if key in measure.figures],
        "refused": {"reason": measure.reason, "text": measure.refusal} if measure.reason else None,
        "says": said["says"],
        "alt": said["alt"],
    }


def _figure(key: str, measure: PhotoMeasure) -> Json:
    _, _, digits, name, unit = FIGURES[key]
    return {"key": key, "name": name, "unit": unit, **figure(measure.figures[key], digits)}


def _offer(offer: Offer, standing: dict[str, Event]) -> Json:
    look, stands = LOOKS[offer.look], standing.get(offer.look)
    seen = None if stands is None else stands.data.get("seen") is True
    is_from_photo = stands is not None and stands.text("photo") in offer.photos
    return {
        "look": offer.look,
        "question": look.question,
        "answer": offer.answer,
        "says": offer.says,
        "chance": None if offer.chance is None else round(min(offer.chance, 0.999), 3),
        "limit": None if offer.limit is None else round(offer.limit.value, 3),
        "limit_origin": None if offer.limit is None else offer.limit.origin.value,
        "limit_source": None if offer.limit is None else offer.limit.source,
        "photos": list(offer.photos),
        "stands": seen,
        "is_told": is_from_photo and seen is offer.answer,
    }


def _course(course: Course) -> Json:
    _, _, _, name, unit = FIGURES[course.figure]
    return {
        "subject": course.subject.value,
        "shows": WORDS[course.subject],
        "figure": course.figure,
        "name": name,
        "unit": unit,
        "days": [_day(each, course.figure) for each in course.days],
        "says": course_words(course),
    }


def _day(day: DayFigure, key: str) -> Json:
    digits = FIGURES[key][2]
    return {
        "day": day.day,
        "known": figure(day.known, digits),
        "change": None if day.change is None else figure(day.change, digits),
        "has_moved": day.has_moved,
        "photos": list(day.photos),
    }


def _lines_wanted(workshop: Workshop, measures: Sequence[PhotoMeasure]) -> list[int]:
    """Return the numbers of cards whose line nobody has measured, and photos would need it."""
    numbers = {
        each.card for each in measures if each.card is not None and "height_mm" in each.figures
    }
    return sorted(each for each in numbers if workshop.photo_cards.newest(each) is None)
