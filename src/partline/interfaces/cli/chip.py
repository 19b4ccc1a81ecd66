"""`partline chip`: a stepped chip of a bottle's lot, from a photo or typed; two lots compared."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from partline.errors import InputError
from partline.interfaces.cli.speak import say, say_json, writing
from partline.materials.chip import LotChip
from partline.records.exchange import read_file
from partline.records.photos import PhotoKind
from partline.services.bottles import bottle_named
from partline.services.chips import chip_in_photo, keep_chip, typed_chip
from partline.services.lot_chips import CARE, chip_effect, compare_kept_lots, take_lot
from partline.services.photo_measure import photo_content
from partline.services.workshop import SHELF, now, open_at

Json = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What the command was told, as typed; blank where nothing.

    Parameters
    ----------
    bottle, lot, loading, date, doubt : str
        Which bottle and lot, what the chip holds in 100 g, when it was read, how far a colour
        may be off.
    thickness : str
        A calliper's readings of the steps.
    steps : tuple of str
        ``thickness: L a b over white / L a b over black``.
    photo : Path or None
        On the printed card.
    against : str
        The lot to compare with.
    takes_lot : bool
        Whether the lot is in use from now on.
    """

    bottle: str
    lot: str = ""
    loading: str = ""
    date: str = ""
    doubt: str = ""
    thickness: str = ""
    steps: tuple[str, ...] = ()
    photo: Path | None = None
    against: str = ""
    takes_lot: bool = False

    @property
    def has_chip(self) -> bool:
        """Whether a chip is given."""
        return self.photo is not None or bool(self.steps)

    def fields(self) -> dict[str, Any]:
        """Return what was typed, as a form sends it."""
        return {
            "lot": self.lot, "loading": self.loading,
            "date": self.date or now().date().isoformat(),
            "doubt": self.doubt, "thickness": self.thickness,
            "steps": [_row(step, self.thickness) for step in self.steps],
        }  # fmt: skip


def _row(step: str, thickness: str) -> dict[str, Any]:
    size, colon, colours = step.partition(":")
    white, _, black = colours.partition("/")
    if not colon:
        raise InputError(
            f"“{step[:60]}” is no step of a chip.",
            field="step",
            given=step[:60],
            remedy="Write thickness, over white, over black: “2 mm: 62 10 30 / 20 3 8”.",
        )
    size = size.strip()
    return {
        "thickness": size if size[-1:].isalpha() else f"{size} mm",
        "callipered": bool(thickness),
        "over_white": white.strip(), "over_black": black.strip(),
    }  # fmt: skip


def tell_chip(said: Said, file: Path | None, workshop: Path | None, *, as_json: bool) -> None:
    """Keep a chip where one is given, compare lots where asked, and say what changed."""
    chip, content = None, b""
    if said.photo is not None:
        if said.steps:
            raise InputError("Both a photo and steps are given.", field="step",
                             remedy="Give one of the two.")  # fmt: skip
        content = photo_content(said.photo)
        chip = chip_in_photo(content, said.fields())
    elif said.steps:
        chip = typed_chip(said.fields())
    if file is not None:
        answer = _in_file(said, chip, file)
    else:
        answer = _in_workshop(said, chip, content, workshop)
    if as_json:
        say_json(answer)
    else:
        _tell(answer)


def _in_file(said: Said, chip: LotChip | None, file: Path) -> Json:
    text = read_file(file)
    edited, answer = _edited(said, chip, text)
    if edited != text:
        with writing(file):
            file.write_text(edited, "utf-8")
    return answer


def _in_workshop(said: Said, chip: LotChip | None, content: bytes, folder: Path | None) -> Json:
    from dataclasses import replace

    with open_at(folder) as workshop:
        before = workshop.shelves.named(SHELF).version
        _edited(said, chip, before.text)  # whatever is wrong is said before a photo is kept
        if chip is not None and said.photo is not None:
            photo = workshop.photos.add(
                before.document_id, PhotoKind.CHIP, content, name=said.photo.name, now=now()
            )
            chip = replace(chip, photo=photo.id)
        edited, answer = _edited(said, chip, before.text)
        if edited != before.text:
            note = f"{said.bottle}: a stepped chip, from the command line"
            workshop.shelves.save(
                before.document_id, edited, based_on=before.number, now=now(), note=note
            )
        return answer


def _edited(said: Said, chip: LotChip | None, text: str) -> tuple[str, Json]:
    """Return the shelf with what was said, and the answer."""
    bottle = bottle_named(text, said.bottle)
    answer: dict[str, Any] = {"bottle": bottle.name, "chip": None, "lots": None, "care": CARE}
    if chip is not None:
        answer["chip"] = chip_effect(bottle, chip)
        text = keep_chip(text, said.bottle, chip)
    kept = bottle_named(text, said.bottle)
    if said.against:
        answer["lots"] = compare_kept_lots(kept, said.against, said.lot or kept.lot)
    if said.takes_lot:
        if not said.lot:
            raise InputError("Which lot is in use from now on is not said.", field="lot",
                             remedy="Add --lot with its code.")  # fmt: skip
        text = take_lot(text, said.bottle, said.lot, said.against)
    if not said.has_chip and not said.against:
        raise InputError(
            "Neither a chip nor a lot to compare with is given.",
            field="bottle",
            remedy="Give a photo, or --step for each thickness, or --against with an older lot.",
        )
    answer["in_use"] = bottle_named(text, said.bottle).lot
    return text, answer


def _tell(answer: Json) -> None:
    chip, lots = answer["chip"], answer["lots"]
    if chip is not None:
        before, after = chip["before"], chip["after"]
        read = sum(len(_colours(step)) for step in chip["evidence"]["steps"])
        say(f"{chip['bottle']}, lot {chip['lot'] or 'without a code'}: {read} colours read.")
        for step in chip["evidence"]["steps"]:
            size = f"  {step['thickness_mm']:g} mm{' by calliper' if step['callipered'] else ''}"
            say(f"{size}: {', '.join(_colours(step))}")
        say()
        say(f"A chip with {after['drops_per_100_g']:g} drops in 100 g hides, before and after")
        for was, now_is in zip(before["chips"], after["chips"], strict=True):
            say(f"  {now_is['thickness_mm']:g} mm: {_range(was['hiding'])} → "
                f"{_range(now_is['hiding'])}")  # fmt: skip
        say(f"Rests on {after['rests_on']}.")
        say(chip["why"])
        for note in after["notes"]:
            say(f"Note: {note}")
    if lots is not None:
        say(f"Lot {lots['new_lot']} against lot {lots['old_lot']}: strength "
            f"{_range(lots['strength'])}.")  # fmt: skip
        say(lots["advice"])
    say(f"Caution: {answer['care']}")


def _colours(step: Json) -> list[str]:
    return [
        f"{words} {' '.join(f'{each:g}' for each in step[key])}"
        for key, words in (("over_white", "over white"), ("over_black", "over black"))
        if step[key] is not None
    ]


def _range(known: Json) -> str:
    return f"{known['value']:.2f} ({known['low']:.2f}–{known['high']:.2f})"
