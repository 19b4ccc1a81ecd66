"""The command about one bottle: show it, enter it, weigh its drop, compare its lots."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from partline.errors import NotFound
from partline.interfaces.cli.speak import say, say_json, writing
from partline.records.exchange import read_file
from partline.services.bottle_look import bottle_as_json
from partline.services.bottles import (
    bottle_named,
    compare_lots,
    enter_bottle,
    keep_drop,
    keep_strength,
    weigh_drops,
)
from partline.services.workshop import SHELF, now, open_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What the command was told of a bottle, as typed; blank where nothing.

    Parameters
    ----------
    name, clarity, lot : str
        Of the bottle.
    patch, hiding, loading, thickness : str
        What was read off a chip, and which chip.
    drops, net, gross, tare, step : str
        Drops on a scale.
    old, new : str
        Two lots: drops that look alike, or hiding of chips alike.
    """

    name: str
    clarity: str = ""
    lot: str = ""
    patch: str = ""
    hiding: str = ""
    loading: str = ""
    thickness: str = ""
    drops: str = ""
    net: str = ""
    gross: str = ""
    tare: str = ""
    step: str = ""
    old: str = ""
    new: str = ""

    @property
    def is_question(self) -> bool:
        """Whether nothing was said, so that the bottle is only shown."""
        return not any(getattr(self, field) for field in self.__slots__ if field != "name")

    def edit(self, text: str) -> str:
        """Return the shelf's text with everything that was said.

        Raises
        ------
        InputError
            If something of it cannot be used.
        """
        compares = bool(self.old or self.new)
        if entry := self._entry(compares=compares):
            text = enter_bottle(text, {"name": self.name, **entry})
        if self.drops or self.net or self.gross or self.tare or self.step:
            weighing = {"count": self.drops, "net": self.net, "gross": self.gross,
                        "tare": self.tare, "step": self.step}  # fmt: skip
            text = keep_drop(text, self.name, weigh_drops(weighing))
        if compares:
            ratio = compare_lots(bottle_named(text, self.name), self._lots())
            text = keep_strength(text, self.name, ratio, self.lot)
        return text

    def _entry(self, *, compares: bool) -> dict[str, str]:
        entry = {"clarity": self.clarity, "patch": self.patch, "hiding": self.hiding}
        if not compares:
            entry["lot"] = self.lot
            for reading in ("patch", "hiding"):
                if entry[reading] or not (self.patch or self.hiding):
                    entry[f"{reading}_loading"] = self.loading
                    entry[f"{reading}_thickness"] = self.thickness
        return {key: text for key, text in entry.items() if text}

    def _lots(self) -> dict[str, str]:
        """Return both lots: a share such as 0.60 or 60 % is hiding, all else drops."""
        kind = "hiding" if _is_share(self.old) and _is_share(self.new) else "drops"
        fields = {f"old_{kind}": _bare(self.old), f"new_{kind}": _bare(self.new)}
        return fields | {"loading": self.loading, "thickness": self.thickness}


def _is_share(text: str) -> bool:
    text = text.strip()
    return text.endswith("%") or text.startswith(("0", "."))


def _bare(text: str) -> str:
    return text.strip().removesuffix("drops").removesuffix("drop").strip()


def tell_bottle(said: Typed, file: Path | None, workshop: Path | None, *, as_json: bool) -> None:
    """Show a bottle, after keeping what was said of it."""
    text = _in_file(said, file) if file else _in_workshop(said, workshop)
    answer = bottle_as_json(bottle_named(text, said.name))
    if as_json:
        say_json(answer)
    else:
        _tell(answer)


def _in_file(said: Typed, file: Path) -> str:
    is_new = not file.exists() and not said.is_question
    text = "" if is_new else read_file(file)
    if said.is_question:
        return text
    edited = said.edit(text)
    with writing(file):
        file.write_text(edited, "utf-8")
    return edited


def _in_workshop(said: Typed, folder: Path | None) -> str:
    with open_at(folder) as workshop:
        try:
            before = workshop.shelves.named(SHELF).version
        except NotFound:
            if said.is_question:
                raise
            before = None
        if said.is_question and before is not None:
            return before.text
        text = said.edit(before.text if before else "")
        note = f"{said.name}, from the command line"
        if before is None:
            workshop.shelves.add(text, now=now(), note=note, name=SHELF)
        elif text != before.text:
            workshop.shelves.save(
                before.document_id, text, based_on=before.number, now=now(), note=note
            )
        return text


def _range(figure: Mapping[str, Any], digits: int) -> str:
    low, high = figure["low"], figure["high"]
    return f"{figure['value']:.{digits}f} ({low:.{digits}f}–{high:.{digits}f})"


def _tell(answer: Mapping[str, Any]) -> None:
    lot = f", lot {answer['lot']}" if answer["lot"] else ""
    say(f"{answer['bottle']}, {answer['clarity']}{lot}")
    drop, strength = answer["drop_mg"], answer["strength"]
    say(f"One drop weighs {_range(drop, 1)} mg, {drop['origin']}.")
    say(f"Strength {_range(strength, 2)}, {strength['origin']}.")
    if answer["is_measured"]:
        known = "Measured: "
    else:
        known = "Rests on " if answer["rests_on_chip"] else "Guessed from "
    say(f"{known}{answer['rests_on'] or 'no source'}.")
    say()
    say(f"A chip with {answer['drops_per_100_g']:g} drops in 100 g")
    for chip in answer["chips"]:
        say(f"  {chip['thickness_mm']:g} mm thick hides {_range(chip['hiding'], 2)}")
    narrows = {chip["hiding"]["narrows"] for chip in answer["chips"]} - {""}
    for measurement in sorted(narrows):
        say(f"Narrower with: {measurement}")
    for note in answer["notes"]:
        say(f"Note: {note}")
