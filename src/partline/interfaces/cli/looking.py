"""`partline look`: the predicted look in words and tables, or as JSON, and its pictures."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from partline.errors import InputError
from partline.interfaces.cli.answers import Asked, prepare
from partline.interfaces.cli.speak import say, say_json, writing
from partline.interfaces.figures import bait_png
from partline.quantities.rounding import with_decimals
from partline.services.look import draw_scene, look_as_json, preview_look
from partline.services.scene import Pictures, Scene, scene_as_json, scene_of

Answer = Mapping[str, Any]

#: Options that only a bait in this water hears, with what stands in them when left out.
_IN_LAKE = {"lake": "green", "secchi": ""}
_IN_SEA = {"sea": "II"}
_IN_WATER = {"depth": "", "distance": ""}
#: Options that only a bait before a card hears, and those that only a picture shows.
_IN_AIR = {"card": "pale", "gloss": False}
_IN_PICTURE = {"turn": "45", **_IN_AIR}
#: Columns of the tables. [characters]
NAME, CELL = 12, 20


def show_look(
    asked: Asked, folder: Path | None, given: Mapping[str, object], *, as_json: bool
) -> None:
    """Predict a look, and draw it in a scene."""
    scene = scene_of(given)
    _refuse_unheard(given, scene, is_drawn=folder is not None)
    recipe, mould, shelf = asked.find()
    prepare()
    answer: dict[str, Any] = look_as_json(
        preview_look(recipe, mould, shelf, condition=scene.condition)
    )
    if folder is not None or scene.water is not None:
        drawn = draw_scene(recipe, mould, shelf, scene)
        answer["scene"] = scene_as_json(scene, drawn)
        if folder is not None:
            answer["picture"]["files"] = _write_pictures(drawn, folder)
    if as_json:
        say_json(answer)
    else:
        _tell_look(answer)


def _refuse_unheard(given: Mapping[str, object], scene: Scene, *, is_drawn: bool) -> None:
    """Refuse an option that would change nothing: the answer would be to another question.

    Raises
    ------
    InputError
        Naming the option, and the one that it belongs to.
    """
    around = str(given.get("around") or "air")
    deaf: dict[str, tuple[dict[str, object], str]] = {}
    if around != "lake":
        deaf["--in lake"] = (dict(_IN_LAKE), f"the bait is in {_THE[around]}")
    if around != "sea":
        deaf["--in sea"] = (dict(_IN_SEA), f"the bait is in {_THE[around]}")
    if scene.water is None:
        deaf["--in lake or --in sea"] = (dict(_IN_WATER), "the bait is in the air")
    else:
        deaf["--in air"] = (dict(_IN_AIR), "open water is behind the bait, and its skin is wet")
    if not is_drawn:
        shown = {**_IN_PICTURE, **({"light": "daylight"} if scene.water is None else {})}
        deaf["--picture FOLDER"] = (shown, "no picture is drawn; the figures are by daylight")
    for needs, (options, why) in deaf.items():
        for name, usual in options.items():
            if given.get(name, usual) not in (usual, ""):
                raise InputError(
                    f"--{name} would change nothing: {why}.",
                    field=name,
                    given=str(given[name]),
                    remedy=f"Add {needs}, or leave --{name} away.",
                )


_THE = {"air": "the air", "lake": "a lake", "sea": "the sea"}


def _write_pictures(drawn: Pictures, folder: Path) -> list[str]:
    written = []
    every = drawn.views | {f"{name}-unadapted": srgb for name, srgb in drawn.unadapted.items()}
    with writing(folder):
        folder.mkdir(parents=True, exist_ok=True)
        for name, srgb in every.items():
            path = folder / f"{name}.png"
            path.write_bytes(bait_png(srgb, enlarged=2))
            written.append(str(path))
    return written


def _range(figure: Answer, digits: int) -> str:
    return _span(figure["value"], (figure["low"], figure["high"]), digits)


def _span(value: float, ends: Any, digits: int) -> str:
    told, low, high = (with_decimals(each, digits) for each in (value, *ends))
    return f"{told} ({low}–{high})"


def _tell_look(answer: Answer) -> None:
    recipe = answer["recipe"]
    say(f"{recipe['name']}, version {recipe['version']}, in {answer['mould']}")
    names = {"back_belly": "Back against belly", "side": "Halves from the side"}
    for key, words in names.items():
        difference = answer["distinctness"][key]
        if difference:
            say(f"{words}: ΔE00 {_range(difference, 1)}, {difference['verdict']}")
    for half, seen in answer["halves"].items():
        who = "bait" if half == "whole" else half
        hiding = _range(seen["hiding"], 2)
        say(f"The {who} hides {hiding} at the {seen['station']} station: {seen['verdict']}")
    say()
    _tell_hiding(answer)
    _tell_see_through(answer)
    _tell_needed(answer)
    for advice in answer["advice"]:
        say(f"Advice: {advice['text']}")
    for note in answer["notes"]:
        say(f"Note: {note}")
    if "scene" in answer:
        _tell_scene(answer["scene"])
    if answer["picture"]["provisional"]:
        picture = answer["picture"]
        say(
            f"The picture behind these is provisional: ΔE00 {picture['error_median']:.1f} off in "
            f"the middle case, {picture['error_95']:.1f} or more in 1 of 20."
        )


def _row(name: str, cells: list[str]) -> None:
    say((f"{name:<{NAME}}" + "".join(f"{cell:<{CELL}}" for cell in cells)).rstrip())


def _tell_hiding(answer: Answer) -> None:
    halves = list(answer["halves"])
    size = "half mm" if len(halves) == 2 else "mm"
    _row(f"{'station':<{NAME}}{size:>8}  ", [f"{half} hides" for half in halves])
    for station in answer["stations"]:
        _row(
            f"{station['name']:<{NAME}}{station['half_thickness_mm']:>8.1f}  ",
            [_span(station[f"{half}_hiding"], station[f"{half}_hiding_range"], 2)
             for half in halves],
        )  # fmt: skip
    say()


def _tell_see_through(answer: Answer) -> None:
    """Say station by station how far the other half changes each side's view."""
    halves = list(answer["halves"])
    if len(halves) == 1:
        return
    say("How far the other half shows through, ΔE00:")
    _row("station", [f"{half}'s view" for half in halves])
    for station in answer["stations"]:
        _row(station["name"], [
            _span(station[f"{half}_see_through"], station[f"{half}_see_through_range"], 1)
            for half in halves
        ])  # fmt: skip
    say()


def _tell_needed(answer: Answer) -> None:
    """Say what each half would need to hide what is wanted, station by station."""
    needs = [need for need in answer["needed"] if need["supply"]]
    if not needs:
        return
    wanted = next(iter(answer["halves"].values()))["wanted"]
    units = {need["unit"] for need in needs}
    say(f"Needed to hide {wanted:.2f}, {' or '.join(sorted(units))} per 100 g:")
    _row("station", [f"{need['supply']}, now {need['now_per_100_g']:g}" for need in needs])
    for place, station in enumerate(answer["stations"]):
        here = [need["stations"][place] for need in needs]
        _row(station["name"], [
            "out of reach" if each["per_100_g"] is None
            else _span(each["per_100_g"], each["per_100_g_range"], each["per_100_g_decimals"])
            for each in here
        ])  # fmt: skip
    limits = dict.fromkeys(need["limiting_station"] for need in needs)
    say(f"Most is needed at: {', '.join(limits)}")
    say()


def _tell_scene(scene: Answer) -> None:
    if scene["back_belly"]:
        where = (
            f"over the {scene['card']} card by {scene['light']}"
            if scene["card"]
            else f"in this water, {scene['depth_m']:g} m deep, seen from {scene['distance_m']:g} m"
        )
        say(
            f"At the widest station {where}: back against belly ΔE00 "
            f"{_range(scene['back_belly'], 1)}, halves from the side {_range(scene['side'], 1)}. "
            "What stands above is in air over grey by daylight."
        )
    if scene["line_mm"]:
        say(f"By light alone the line looks {_range(scene['line_mm'], 1)} mm wide from the side.")
    contrast = scene["stands_out"]
    if contrast:
        way = "darker" if contrast["value"] < 0 else "brighter"
        low, high = (round(100 * contrast[end]) for end in ("low", "high"))
        say(
            f"From the side the bait is {abs(round(100 * contrast['value']))} % {way} than the "
            f"open water ({low} to {high} %)."
        )
    for note in scene["notes"]:
        say(f"Note: {note}")
