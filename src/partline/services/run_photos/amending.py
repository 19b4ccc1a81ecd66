"""What was said of a run's photos, amended: taken back, or measured again with a card's line."""

from __future__ import annotations

from partline.errors import NotFound
from partline.process.run import Kind, as_it_stands
from partline.records.workshop import Workshop
from partline.services.photo_measure import PhotoRefused, Subject
from partline.services.run_photos.lines import typed_line
from partline.services.run_photos.shown import Shown, pointed_from
from partline.services.run_photos.taking import measure_again, tell
from partline.services.runs.photo_events import photo_measures


def apply_line(workshop: Workshop, code: str, number: int, *, device: str = "") -> int:
    """Measure a run's slices on a card again once its line is known; return how many.

    A photo that is not fit any more keeps what stands.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    run = workshop.runs.get(code)
    typed, done = typed_line(workshop, number), 0
    for each in photo_measures(workshop.runs.events(run.code)):
        if each.card != number or each.subject is Subject.BAIT or each.line == typed:
            continue
        pointed = pointed_from(dict(each.pointed))
        try:
            measure_again(
                workshop, run.code, each.photo, Shown(subject=each.subject), pointed=pointed,
                device=device,
            )  # fmt: skip
        except PhotoRefused:
            continue
        done += 1
    return done


def take_back(workshop: Workshop, code: str, event_id: str, *, device: str = "") -> None:
    """Take a measurement back; photo and record stay.

    Raises
    ------
    NotFound
        If no such measurement stands in the run.
    """
    run = workshop.runs.get(code)
    standing = photo_measures(workshop.runs.events(run.code))
    found = [each for each in standing if each.event == event_id]
    if not found:
        raise NotFound(f"No measurement {event_id[:26]} stands in run {run.code}.")
    # Older ones of the same thing must not come back in its place.
    told = as_it_stands(workshop.runs.events(run.code))
    every = [
        each.event.id
        for each in told
        if each.event.kind is Kind.PHOTO_MEASURE
        and not each.is_void
        and (each.event.text("photo"), each.event.text("subject")) == found[0].key
    ]
    tell(workshop, run, [("correction", {"of": each, "void": True}) for each in every], device)
