"""Moulds, benches and files of the workshop, shown and kept."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from partline.errors import InputError
from partline.interfaces.cli.speak import say, say_json
from partline.records.exchange import read_file
from partline.services.benches import bench_as_json
from partline.services.moulds import mould_as_json
from partline.services.workshop import Sources, keep_text, open_at

Answer = Mapping[str, Any]


def _figure(known: Answer | None, digits: int, unit: str) -> str:
    if known is None:
        return "not known"
    value, low, high = (f"{known[key]:.{digits}f}" for key in ("value", "low", "high"))
    ends = "" if low == high else f"{low}–{high}, "
    return f"{value} {unit} ({ends}{known['origin']})"


def _known(station: Answer) -> str:
    """Return where a station's sizes come from, where that is worth a word."""
    doubt = f" ±{station['doubt_percent']:g} %" if station["doubt_percent"] else ""
    return "" if station["origin"] == "entered" and not doubt else f"  {station['origin']}{doubt}"


def show_mould(name: str, folder: Path | None, *, as_json: bool) -> None:
    """Show a mould."""
    told = mould_as_json(Sources(folder=folder).mould(name))
    if as_json:
        say_json(told)
        return
    say(f"{told['name']}: {told['cavities']} cavities, {told['length_mm']:g} mm")
    if told["bait_mass_g"]:
        say(f"One bait weighs {_figure(told['bait_mass_g'], 2, 'g')}.")
    else:
        say(f"One bait holds {_figure(told['bait_volume_ml'], 2, 'mL')}.")
    say(f"Sprue and runner: {_figure(told['sprue_mass_g'], 2, 'g')} a shot.")
    say(
        f"Volume of a bait: {told['volume_by_shape_ml']:.1f} mL by its stations, "
        f"{told['volume_by_weighing_ml']:.1f} mL by its weighing."
    )
    say(f"BOTTOM mark: {told['bottom_mark'] or 'none yet'}")
    say()
    say(f"{'station':<16}{'at':>6}  {'section':<14}{'width':>8}{'back':>8}{'belly':>8}  mm")
    for each in told["stations"]:
        say(
            f"{each['name']:<16}{each['position']:>6.2f}  {each['shape']:<14}"
            f"{each['width_mm']:>8.1f}{each['back_half_mm']:>8.1f}{each['belly_half_mm']:>8.1f}"
            f"{_known(each)}"
        )
        if each["points_mm"]:
            flank = ", ".join(f"{across:g}/{up:g}" for across, up in each["points_mm"])
            say(f"  across/up from its highest point down a flank: {flank} mm")
    _say_guesses(told)
    for note in told["notes"]:
        say(f"Note: {note}")


#: Keys of a file in the maker's words, where those of the key are not enough.
WORDS = {
    "stations": "where the stations lie",
    "fahrenheit": "whether the thermometer shows °F",
    "vessel.capacity": "what a cup holds",
    "vessel.fill_limit": "how far a cup is filled",
    "syringes.capacity": "what a syringe holds",
    "syringes.usable_share": "how much of it can be drawn",
    "reject_share": "baits that will not be good",
}


def _say_guesses(told: Answer) -> None:
    if told["guesses"]:
        words = (
            WORDS.get(each, each.replace("_", " ").replace(".", ", ")) for each in told["guesses"]
        )
        say(f"Guessed, not measured: {'; '.join(words)}")


def _degrees(celsius: float, scale: str) -> str:
    return f"{celsius * 9 / 5 + 32 if scale == '°F' else celsius:.4g} {scale}"


def show_bench(name: str, folder: Path | None, *, as_json: bool) -> None:
    """Show a bench."""
    told = bench_as_json(Sources(folder=folder).bench(name))
    if as_json:
        say_json(told)
        return
    cup, syringe = told["cup"], told["syringe"]
    scale = told["temperatures"]
    say(f"{told['name']}: room {_degrees(told['room_celsius'], scale)}")
    say(f"Block keeps {_figure(told['block_loss_g'], 2, 'g')} a shot, both sides together.")
    say(f"Each syringe keeps {_figure(syringe['heel_g'], 2, 'g')} a draw.")
    say(f"Each cup keeps {_figure(cup['film_g'], 2, 'g')} a melt.")
    say(f"Baits that will not be good: {told['reject_percent']:g} %")
    say(
        f"Cups of {cup['capacity_ml']:g} mL, filled hot to {cup['fill_percent']:g} %; "
        f"syringes of {syringe['capacity_ml']:g} mL, {syringe['usable_percent']:g} % of it drawn, "
        f"{syringe['shots_per_draw']} shot(s) a draw."
    )
    if syringe["preheat_celsius"] is not None:
        say(f"Barrels warmed to {_degrees(syringe['preheat_celsius'], scale)}.")
    if (ceiling := told["ceiling_celsius"]) is not None:
        held = "locked" if told["is_ceiling_locked"] else "not locked"
        say(
            f"Nothing is heated past {_degrees(ceiling, scale)} here, whatever a label allows; "
            f"{held}."
        )
    if (oven := told["oven"]) is not None:
        share = _figure(oven["share_percent"], 0, "%")
        say(f"Oven: {_figure(oven['power_w'], 0, 'W')}, of that into the melt {share}.")
    if (read := told["thermometer"]) is not None:
        say(
            f"Thermometer: emissivity {read['emissivity']:g}; two cups within "
            f"{read['between_cups_k']:g} K, any reading within {read['absolute_k']:g} K."
        )
        if read["offset_k"] is not None:
            say(f"To be added to every reading: {_figure(read['offset_k'], 1, 'K')}.")
    if told["scale_factor"] is not None:
        say(f"What the scale shows, times {_figure(told['scale_factor'], 4, '')}.")
    _say_guesses(told)


def hold_ceiling(name: str, lock: str, folder: Path | None, *, unlock: bool) -> None:
    """Lock a kept bench at a ceiling; with none given, unlock it."""
    if lock and unlock:
        raise InputError(
            "Both --lock and --unlock are given; the ceiling was left as it is.",
            field="unlock", given=lock[:40], remedy="Give one of the two.",
        )  # fmt: skip
    from partline.services.bench_lock import lock_ceiling, unlock_ceiling

    with open_at(folder) as workshop:
        if lock:
            lock_ceiling(workshop, name, lock)
        else:
            unlock_ceiling(workshop, name)


def keep_file(path: Path, folder: Path | None, *, as_json: bool) -> None:
    """Keep a file in the workshop, as a new document or the next version of its name."""
    text = read_file(path)
    with open_at(folder) as workshop:
        kept = keep_text(workshop, text, note=f"from {path.name}"[:200])
    if as_json:
        say_json({"kind": kept.kind.value, "name": kept.name, "version": kept.number})
    else:
        say(f"Kept as {kept.kind.value} “{kept.name}”, version {kept.number}.")
