"""Taking a photo of a run in: the original kept, measured, and what it says told as an event."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from partline.errors import DataError, Impossible, NotFound
from partline.records.models import new_code
from partline.records.photos import Photo
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.photo_measure import PhotoRefused
from partline.services.run_photos.measuring import measured, refused
from partline.services.run_photos.run_days import days_since, first_shot
from partline.services.run_photos.shown import Shown
from partline.services.runs.log import moment
from partline.services.runs.photo_events import PhotoMeasure, photo_measures
from partline.services.runs.wire import read_event
from partline.services.workshop import now
from partline.studies.photo import Pointed
from partline.studies.photo_card import Pocket

Json = dict[str, Any]
#: Letters of an event's id.
ID_LETTERS = 20


def take_photo(
    workshop: Workshop,
    code: str,
    content: bytes,
    shown: Shown,
    *,
    name: str = "",
    pointed: Mapping[Pocket, Pointed] | None = None,
    keeps_refused: bool = False,
    device: str = "",
) -> Json:
    """Measure a photo, keep it with its run byte for byte, and tell the run what it says.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.
    content : bytes
        JPEG, PNG or WebP, kept as it is.
    shown : Shown
        What it shows.
    name : str
        Of its file.
    pointed : mapping of Pointed
        Where things lie, by pocket, when the maker says so.
    keeps_refused : bool
        Whether a photo that is refused is kept too, unmeasured.
    device : str
        That tells.

    Returns
    -------
    dict
        ``photo``: its code; ``measure``: id of the event; ``refused``: reason and text, or None.

    Raises
    ------
    NotFound
        If there is no such run.
    Impossible
        If nothing was heated in it.
    PhotoRefused
        If it is not fit, and not to be kept then: nothing was kept of it.
    InputError
        If it is no photo that every browser shows, or larger than any that is kept.
    DataError
        If the library for photos is not installed, and it is not to be kept unmeasured.
    """
    run = _real_run(workshop, code)
    try:
        said = measured(workshop, content, shown.subject, pointed)
    except (PhotoRefused, DataError) as refusal:
        if not keeps_refused:
            raise
        said = refused(refusal)
    photo = _kept(workshop, run, content, name)
    return _tell(workshop, run, photo, shown, said, device)


def measure_again(
    workshop: Workshop,
    code: str,
    photo_id: str,
    shown: Shown,
    *,
    pointed: Mapping[Pocket, Pointed] | None = None,
    device: str = "",
) -> Json:
    """Measure a kept photo of a run anew, as when the maker showed where a slice lies.

    The new measurement is of the same photo and takes the place of the one before, which stays
    in the record.

    Raises
    ------
    NotFound
        If the run has no such photo.
    Impossible
        If nothing was heated in the run.
    PhotoRefused
        If it is not fit; what stood before stands.
    DataError
        If the library for photos is not installed.
    """
    run = _real_run(workshop, code)
    photo, content = photo_of_run(workshop, run.code, photo_id)
    said = measured(workshop, content, shown.subject, pointed)
    return _tell(workshop, run, photo, shown, said, device)


def photo_of_run(workshop: Workshop, code: str, photo_id: str) -> tuple[Photo, bytes]:
    """Return a photo of a run and its bytes.

    Raises
    ------
    NotFound
        If the run has no such photo.
    """
    run = workshop.runs.get(code)
    photo, content = workshop.photos.get(photo_id)
    if photo.run_code != run.code:
        raise NotFound(f"Run {run.code} has no photo {photo_id[:20]}.")
    return photo, content


def tell(
    workshop: Workshop, run: KeptRun, events: list[tuple[str, Json]], device: str
) -> tuple[str, ...]:
    """Keep events of a run as of now and return their ids."""
    at = now()
    full = [
        read_event({"id": new_code(ID_LETTERS), "kind": kind, "at": moment(at), "data": data})
        for kind, data in events
    ]
    return workshop.runs.add(run.code, full, device=device, now=at)


def _real_run(workshop: Workshop, code: str) -> KeptRun:
    run = workshop.runs.get(code)
    if run.practice is not None:
        raise Impossible(
            f"Run {run.code} is a practice run: nothing was heated, so there is no bait.",
            nearest="Keep the photo with the run that the bait comes from.",
        )
    return run


def _kept(workshop: Workshop, run: KeptRun, content: bytes, name: str) -> Photo:
    """Keep the photo; the very bytes that the run has already make nothing new."""
    sha256 = hashlib.sha256(content).hexdigest()
    for photo in workshop.photos.of_run(run.code):
        if photo.sha256 == sha256:
            return photo
    return workshop.photos.add_to_run(run.code, content, name=name, now=now())


def _tell(
    workshop: Workshop, run: KeptRun, photo: Photo, shown: Shown, said: Json, device: str
) -> Json:
    standing = photo_measures(workshop.runs.events(run.code))
    before = next((each for each in standing if each.key == (photo.id, shown.subject)), None)
    if before is not None and before.figures and "refused" in said:
        # Sent a second time, another way: what was measured once is not lost for that.
        return {"photo": photo.id, "measure": before.event, "refused": None}
    shown = _with_what_was_said(shown, before)
    day = shown.day
    if day is None:
        day = _day(workshop, run)
    data = {
        "photo": photo.id, "subject": shown.subject.value, "day": day, "shot": shown.shot,
        "baits": shown.baits, **said,
    }  # fmt: skip
    (event,) = tell(workshop, run, [("photo_measure", data)], device)
    return {"photo": photo.id, "measure": event, "refused": said.get("refused")}


def _with_what_was_said(shown: Shown, before: PhotoMeasure | None) -> Shown:
    """Fill what is not said anew from the measurement that stood before."""
    if before is None:
        return shown
    return replace(
        shown,
        day=before.day if shown.day is None else shown.day,
        shot=before.shot if shown.shot is None else shown.shot,
        baits=shown.baits or before.baits,
    )


def _day(workshop: Workshop, run: KeptRun) -> int:
    start = first_shot(workshop.runs.events(run.code)) or run.created_at
    return days_since(start, now())
