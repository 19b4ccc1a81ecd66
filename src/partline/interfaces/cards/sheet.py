"""Every word of the run card, ready to be laid out. No layout here, no words there."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from partline.interfaces.cards.figure import (
    BLANK,
    amount,
    degrees,
    drop_is_weighed,
    foundations,
    guessed_strengths,
    hiding,
    label_is_unread,
    spoon,
    wording,
)

Json = Mapping[str, Any]

#: Seen by eye, ticked by hand; common practice, no source.
SET_UP: tuple[str, ...] = (
    "BOTTOM mark seen",
    "clamps tight",
    "oven only for plastic",
    "dry metal stirrer",
    "gloves, goggles on",
    "fan on",
    "syringes preheated",
)
#: The first note of a card whose temperatures nobody has read from the jug.
UNREAD = (
    "Temperatures are a guess: read the label of your jug, and write its band, target and ceiling "
    "over them before any heat."
)
UNREAD_HERE = "a guess: read your jug’s label, write over it"
#: More shots than this side by side leave no room to write a temperature.
SHOTS_A_ROW = 9


def sheet(
    plan: Json,
    look: Json,
    *,
    heat: Mapping[str, float | None],
    code: str,
    link: str,
    printed: date,
    group: str = "",
) -> dict[str, Any]:
    """Return the card's words.

    Parameters
    ----------
    plan, look, heat, code, link, printed, group
        As for `run_card`.

    Returns
    -------
    dict
        Plain values for ``run_card.typ``.
    """
    melts = plan["melt_plan"]
    scale = plan.get("temperatures", "°C")  # plans of before kept none
    is_unread = label_is_unread(plan["origins"])
    return {
        "title": plan["recipe"]["name"],
        "version": f"version {plan['recipe']['version']}",
        "place": [
            *([["group", group]] if group else []),
            ["mould", plan["mould"]],
            ["bench", plan["bench"]],
        ],
        "bottom": plan["bottom_mark"],
        "counts": [
            ["good baits", str(plan["good"])],
            ["to mould", str(plan["moulded"])],
            ["shots", str(plan["shots"])],
            ["melts", str(plan["melts"])],
        ],
        "look": _look(look),
        "set_up": [*SET_UP, _tares(plan)],
        "heat": _heat(heat, scale),
        "heat_note": UNREAD_HERE if is_unread else "",
        "scale": scale,
        "melts": [_melt(melt, len(melts), plan) for melt in melts],
        "cavities": _cavities(plan),
        "cautions": list(plan["cautions"]),
        "notes": [*([UNREAD] if is_unread else []), *plan["notes"], *look["notes"]],
        "numbers": _numbers_line(plan, look),
        "code": code,
        "link": link,
        "printed": printed.isoformat(),
    }


def _tares(plan: Json) -> str:
    cups = "A" if plan["cup_b_g"] is None else "AB"
    return "tare, g: " + " ".join(f"{cup} {BLANK}" for cup in cups)


def _heat(heat: Mapping[str, float | None], scale: str) -> list[list[str]]:
    low, high, target, ceiling = (
        degrees(heat.get(key), scale) for key in ("band_low", "band_high", "target", "ceiling")
    )
    return [
        ["target (fused)", f"{target} {scale}"],
        ["working band", f"{low}–{high} {scale}"],
        ["ceiling: never past", f"{ceiling} {scale}"],
    ]


def _look(look: Json) -> dict[str, Any]:
    picture = look["picture"]
    distinct = look["distinctness"]
    lines = [
        [label, distinct[key]["verdict"], wording(distinct[key])]
        for key, label in (("back_belly", "Back against belly"), ("side", "Seen from the side"))
        if distinct[key] is not None
    ]
    lines += [
        [
            "Bait" if half == "whole" else f"{half.capitalize()} half",
            seen["verdict"],
            hiding(seen),
        ]
        for half, seen in look["halves"].items()
    ]
    stations = {seen["station"] for seen in look["halves"].values()}
    title = "Provisional picture" if picture["provisional"] else "Picture"
    median, often = picture["error_median"], picture["error_95"]
    return {
        "title": f"{title}, nose at the left",
        "lines": lines,
        "where": f"At the {' and '.join(sorted(stations))} station. The picture's colours are "
        f"off by ΔE00 {median:g} in the median, {often:g} in 1 of 20.",
    }


def _melt(melt: Json, of: int, plan: Json) -> dict[str, Any]:
    cups = [cup for cup in ("A", "B") if melt[f"cup_{cup.lower()}_g"] is not None]
    shots, draws = melt["shots"], melt["draws"]
    return {
        "title": f"Melt {melt['melt']} of {of}",
        "work": f"{_count(shots, 'shot')}, {_count(draws, 'draw')}",
        "handling": _handling(plan),
        "cups": [_cup(cup, melt, plan) for cup in cups],
        "rows": shot_rows(_numbers(melt, plan)),
    }


def _handling(plan: Json) -> str:
    """Return how the recipe is to be shot, or nothing where it does not say."""
    asked = plan.get("handling", {})  # plans of before kept none
    scale = plan.get("temperatures", "°C")
    start, push = asked.get("start_celsius"), asked.get("push_s")
    parts = [
        *([f"start at {degrees(start, scale)} {scale}"] if start is not None else []),
        *([f"push {push:g} s"] if push is not None else []),
    ]
    return ", ".join(parts)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" + ("" if number == 1 else "s")


def _numbers(melt: Json, plan: Json) -> list[int]:
    """Shots counted through the whole run, so that a tally says which shot it was."""
    before = sum(each["shots"] for each in plan["melt_plan"] if each["melt"] < melt["melt"])
    return list(range(before + 1, before + melt["shots"] + 1))


def shot_rows(numbers: list[int]) -> list[list[int]]:
    """Shots in rows of nearly equal length."""
    rows = -(-len(numbers) // SHOTS_A_ROW)
    longest = -(-len(numbers) // max(rows, 1))
    return [numbers[i : i + longest] for i in range(0, len(numbers), longest)]


def _cup(cup: str, melt: Json, plan: Json) -> dict[str, Any]:
    parts = [each for each in melt["ingredients"] if each["cup"] == cup]
    half = parts[0]["half"]
    return {
        "cup": cup,
        "half": "whole bait" if half == "whole" else f"{half} half",
        "total": f"{melt[f'cup_{cup.lower()}_g']:.1f} g",
        "hot": f"{melt[f'cup_{cup.lower()}_hot_ml']:.0f} mL hot, in all",
        "items": [_item(each, plan["origins"]) for each in parts],
    }


def _item(part: Json, origins: list[Json]) -> dict[str, Any]:
    drops = part["drops"]
    is_plastisol = part["kind"] == "grade"
    return {
        "name": part["supply"],
        "is_plastisol": is_plastisol,
        "grams": amount(part["grams"], part["kind"]),
        "drops": None if drops is None else str(drops),
        "approximate": not drop_is_weighed(part["supply"], origins),
        "unit": "drop" if drops == 1 else "drops",
        "spoon": spoon(part["teaspoons"]),
        "when": f"plastisol, {part['when']}" if is_plastisol else part["when"],
        "caution": part["caution"],
    }


def _numbers_line(plan: Json, look: Json) -> str:
    origins = plan["origins"]
    counted = {part["supply"] for part in plan["ingredients"] if part["drops"] is not None}
    ours = f"{plan['mould']}: "  # the mould's name stands in the head
    lines = [
        "ranges are central 80 %",
        *(each.removeprefix(ours) for each in foundations(origins)),
    ]
    if not all(drop_is_weighed(supply, origins) for supply in counted):
        lines.append("≈ drops: not weighed on this bench, go by the grams")
    if guessed := guessed_strengths(look["origins"]):
        lines.append(f"colour strength is a guess until a chip is read: {', '.join(guessed)}")
    return " · ".join(lines)


def _cavities(plan: Json) -> int:
    """Baits in a shot: every shot fills the mould."""
    return int(plan["moulded"]) // max(int(plan["shots"]), 1)
