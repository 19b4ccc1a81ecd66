"""`partline photo-card` prints the card that photos are measured on; `partline photo` measures."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from partline.errors import InputError
from partline.interfaces.cli.speak import say, say_json, writing
from partline.services.photo_measure import (
    PLACES,
    measure_photo,
    photo_content,
    photo_without_place,
    pointed_at,
    ruled_line,
    subject_named,
)
from partline.services.photo_telling import measure_as_json
from partline.services.workshop import now
from partline.studies.photo import Pointed
from partline.studies.photo_card import MM, RULED, Pocket

Json = Mapping[str, Any]


def print_photo_card(output: Path, paper: str, number: int, *, as_json: bool) -> None:
    """Write the photo card."""
    from partline.interfaces.cards import paper_named, photo_card

    sheet = paper_named(paper)
    pdf = photo_card(number=number, paper=sheet, printed=now().date())
    with writing(output):
        output.write_bytes(pdf)
    if as_json:
        say_json(
            {
                "photo_card": str(output),
                "bytes": len(pdf),
                "paper": sheet.value,
                "number": number,
                "line_mm": RULED / MM,
            }
        )
        return
    say(f"Photo card {number} written to {output}.")
    say(
        "Print it at 100 % on matt white paper, measure its line with a ruler, write the length "
        "on it, and give it as --line with each photo."
    )


def pointed_by(
    file: Path, kind: str, taps: list[str], stripped: Path | None
) -> dict[Pocket, Pointed]:
    """Return where things lie as it was typed; refuse a copy that would be the photo itself."""
    if stripped is not None and stripped.resolve() == file.resolve():
        raise InputError(
            "The copy would take the photo’s own place, and the photo is never changed.",
            field="stripped",
            given=str(stripped),
            remedy="Name another file.",
        )
    return _taps(taps, PLACES[subject_named(kind)])


def tell_photo(
    file: Path, kind: str, line: str, taps: list[str], stripped: Path | None, *, as_json: bool
) -> None:
    """Measure a photo on the card, or say why it is refused."""
    subject = subject_named(kind)
    ruled = ruled_line(line)
    pointed = pointed_by(file, kind, taps, stripped)
    content = photo_content(file)
    if stripped is not None:
        with writing(stripped):
            stripped.write_bytes(photo_without_place(content))
    answer = measure_as_json(
        measure_photo(content, subject, ruled=ruled, pointed=pointed), content
    )
    if as_json:
        say_json(
            {
                "file": str(file),
                "kind": subject.value,
                **answer,
                "stripped": None if stripped is None else str(stripped),
            }
        )
        return
    _tell(answer)
    if stripped is not None:
        say(f"Copy without place and time written to {stripped}.")


def _taps(taps: list[str], pockets: tuple[Pocket, ...]) -> dict[Pocket, Pointed]:
    """Return taps such as ``1210,860``, in the pockets' order."""
    if len(taps) > len(pockets):
        raise InputError(
            f"{len(taps)} taps for {len(pockets)} pockets.",
            field="tap",
            remedy="Give one for each pocket at most, the back first.",
        )
    found = {}
    for pocket, tap in zip(pockets, taps, strict=False):
        try:
            place = [float(each) for each in tap.split(",")]
        except ValueError:
            place = []
        if len(place) != 2:
            raise InputError(
                f"“{tap[:40]}” is no place in a photo.",
                field="tap",
                given=tap[:40],
                remedy="Write pixels across and down, such as 1210,860.",
            )
        found[pocket] = pointed_at({"tap": place}, "tap")
    return found


def _tell(answer: Json) -> None:
    for key, label, unit in (
        ("back_belly", "Back against belly", "ΔE00"),
        ("halves", "Back’s half against belly’s", "ΔE00"),
        ("back_share", "Back’s share of the height", ""),
        ("line_width_mm", "Line, 10 to 90 %", "mm"),
        ("line_tilt_deg", "Line leans", "°"),
        ("height_mm", "Height", "mm"),
    ):
        if key in answer:
            say(f"{label}: {_span(answer[key])}{f' {unit}' if unit else ''}{_word(answer[key])}")
    card = answer["card"]
    number = "without a number" if card["number"] is None else f"{card['number']}"
    say(
        f"Card {number}: {card['pixels_per_mm']:.1f} pixels a mm, {card['tilt_deg']:.0f}° aslant, "
        f"a sharp edge is {card['sharp_edge_mm']:.2f} mm wide in this photo."
    )
    say()
    for note in answer["notes"]:
        say(f"Note: {note}")


def _span(known: Json) -> str:
    return f"{known['value']:g} ({known['low']:g}–{known['high']:g}, {known['origin']})"


def _word(known: Json) -> str:
    return f", {known['verdict']}" if "verdict" in known else ""
