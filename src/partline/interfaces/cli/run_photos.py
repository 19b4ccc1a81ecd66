"""The commands about a run's photos: keep and measure one, say what they tell and what is due."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from partline.errors import InputError
from partline.interfaces.cli.speak import say, say_json, writing
from partline.services.photo_measure import (
    photo_content,
    photo_without_place,
    ruled_line,
    subject_named,
)
from partline.services.run_photos import (
    apply_line,
    keep_line,
    photos_due,
    run_photos,
    shown_as,
    take_photo,
)
from partline.services.workshop import open_at
from partline.studies.photo import Pointed
from partline.studies.photo_card import Pocket

Answer = Mapping[str, Any]
#: What tells an event that is told this way.
DEVICE = "command line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What was typed about a photo of a run; texts as they came."""

    run: str
    kind: str
    day: str
    shot: str
    baits: str
    line: str
    keeps_refused: bool


def keep_photo(
    file: Path,
    typed: Typed,
    folder: Path | None,
    *,
    pointed: Mapping[Pocket, Pointed],
    stripped: Path | None,
    as_json: bool,
) -> None:
    """Keep a photo with a run and say what it tells; `--line` is kept for its card."""
    shown = shown_as(subject_named(typed.kind), day=typed.day, shot=typed.shot, baits=typed.baits)
    ruled_line(typed.line)  # refused before anything is kept
    content = photo_content(file)
    with open_at(folder) as workshop:
        kept = take_photo(
            workshop, typed.run, content, shown, name=file.name, pointed=pointed,
            keeps_refused=typed.keeps_refused, device=DEVICE,
        )  # fmt: skip
        found = run_photos(workshop, typed.run)
        card = _measured(found, kept)["card"]
        if typed.line.strip():
            if card is None:
                raise InputError(
                    "The photo is kept, but the card’s number was not read in it, so that the "
                    "line is kept for no card.",
                    field="line",
                    remedy="Leave the square between the slices uncovered.",
                )
            keep_line(workshop, card, typed.line)
            apply_line(workshop, typed.run, card, device=DEVICE)
            found = run_photos(workshop, typed.run)
    if stripped is not None:
        with writing(stripped):
            stripped.write_bytes(photo_without_place(content))
    photo = next(each for each in found["photos"] if each["code"] == kept["photo"])
    if as_json:
        say_json(
            {
                "file": str(file),
                "run": found["run"],
                "kept": photo,
                "looks": found["looks"],
                "lines_wanted": found["lines_wanted"],
                "stripped": None if stripped is None else str(stripped),
            }
        )
        return
    say(f"Kept with run {found['run']} as photo {photo['code']}.")
    _tell_photo(photo)
    _tell_looks(found)
    for number in found["lines_wanted"]:
        say(f"Nobody has measured the line of card {number}: give it once as --line.")


def _measured(found: Answer, kept: Answer) -> Answer:
    """Return the measurement that was just told."""
    return next(
        each
        for photo in found["photos"]
        if photo["code"] == kept["photo"]
        for each in photo["measures"]
        if each["id"] == kept["measure"]
    )


def tell_photos(code: str, folder: Path | None, *, as_json: bool) -> None:
    """Say what a run's photos tell."""
    with open_at(folder) as workshop:
        found = run_photos(workshop, code)
    if as_json:
        say_json(found)
        return
    for photo in found["photos"]:
        say(f"Photo {photo['code']}, {photo['name']}")
        _tell_photo(photo)
    if not found["photos"]:
        say("No photo yet. Keep one: partline photo FILE --kind sprue --run " + found["run"])
    _tell_looks(found)
    for course in found["creep"]:
        if len(course["days"]) > 1:
            say(f"{course['shows'].capitalize()}: {course['says']}")
    due = found["due"]
    if due is not None:
        word = "due now, until " + due["until"] if due["is_due"] else "from " + due["on"]
        say(f"Next photo, of day {due['day']}: {word}")


def _tell_photo(photo: Answer) -> None:
    for each in photo["measures"]:
        say(f"  {each['shows']}, day {each['day']}: {each['says']}")
        if each["refused"]:
            say(f"    {each['refused']['text']}")


def _tell_looks(found: Answer) -> None:
    for each in found["looks"]:
        answer = {True: "Yes", False: "No", None: "Not settled"}[each["answer"]]
        say(f"{each['question']} {answer}. {each['says']}")
        if each["answer"] is not None and not each["is_told"]:
            seen = str(each["answer"]).lower()
            say(f"  partline run tell {found['run']} look look={each['look']} seen={seen}")


def tell_due(folder: Path | None, *, as_json: bool) -> None:
    """Say which photos of which runs are due."""
    with open_at(folder) as workshop:
        found = photos_due(workshop)
    if as_json:
        say_json(found)
        return
    for each in found["due"]:
        say(
            f"Run {each['run']}, {each['recipe']} in {each['mould']}: day {each['day']}, until "
            f"{each['until']} ({', '.join(each['shows'])})"
        )
    if not found["due"]:
        say("No photo is due.")
    for each in found["coming"]:
        say(f"From {each['on']} on: run {each['run']}, day {each['day']}")
