"""The documents that six answers make; what nobody said is a guess, and marked as one."""

from __future__ import annotations

from math import ceil
from typing import Any

from partline.materials.supply import Clarity
from partline.process.recipe import Half
from partline.quantities.units import Kind
from partline.records.exchange.amount import read_amount
from partline.records.exchange.document import format_toml
from partline.records.exchange.mould import BAIT_MASS, LENGTH
from partline.services.beginning.answers import Answers, Bottle
from partline.services.beginning.body import STATIONS, Body, simple_body

Table = dict[str, Any]

#: Guesses for what was not answered. All common practice, no source; a small cup and few
#: cavities err towards more melts and more plastic, never towards a cup that runs over.
CUPS = (250, 500, 1000, 2000)  # the smallest that one shot fits is taken [mL]
FILL_LIMIT = 0.6  # of a cup, hot [-]
FILM, HEEL = 4.0, 0.7  # a side, a melt and a draw [g]
CAVITIES = 2
SYRINGES = (100, 150, 200, 300, 500)  # sizes that a pair is had in [mL]
HOT_DENSITY = 0.92  # of fused plastic near pouring [g/mL]
MOST_DRAWN = 0.9  # of a syringe [-]
KINDS = {Half.BACK: Clarity.CLEAR, Half.BELLY: Clarity.OPAQUE, Half.WHOLE: Clarity.OPAQUE}
#: Colours that stand in for a bottle of which nothing was said.
STAND_INS = {Half.BACK: "#5d4427", Half.BELLY: "#efece2", Half.WHOLE: "#8a7a52"}


def _guess(value: str, low: str, high: str, narrows: str) -> Table:
    return {"value": value, "low": low, "high": high, "origin": "default",
            "source": "common practice, no source", "narrows": narrows}  # fmt: skip


def _g(grams: float) -> str:
    return f"{grams:.1f} g" if grams >= 1 else f"{grams:.2f} g"


def halves(answers: Answers) -> tuple[Half, ...]:
    """Return the sides of the bait; two colours unless one was answered."""
    return (Half.WHOLE,) if answers.colours == 1 else (Half.BACK, Half.BELLY)


def bottles_by_half(answers: Answers) -> dict[Half, Bottle]:
    """Return the bottle of each side: as answered, else in order, else a stand-in."""
    free = [each for each in answers.bottles if each.half is None and not each.is_spare]
    chosen: dict[Half, Bottle] = {}
    for half in halves(answers):
        meant = [each for each in answers.bottles if each.half is half]
        if half is Half.WHOLE and not meant:
            meant = [each for each in answers.bottles if not each.is_spare]
        if meant or free:
            chosen[half] = meant[0] if meant else free.pop(0)
        else:
            name = "colour" if half is Half.WHOLE else f"{half} colour"
            chosen[half] = Bottle(name=name, half=half, is_stand_in=True)
    return chosen


def grade_document() -> Table:
    """Return a grade whose label nobody has read yet."""
    sheet = "the label or the supplier’s sheet"
    return {
        "name": "plastisol",
        "note": "A stand-in: read your jug’s label and put its numbers here before any heat.",
        "guesses": ["name", "band", "target", "ceiling"],
        "resin_share": _guess("15 %", "10 %", "22 %", sheet),
        "density": _guess("1.016 g/mL", "1 g/mL", "1.04 g/mL",
                          "a syringe filled to a mark, weighed empty and full"),
        "band": ["150 °C", "165 °C"],
        "target": "175 °C",
        "ceiling": "180 °C",
        # Plain fused plastic, nearly clear: coefficients in 1/mm.
        "absorption": [{"shape": "power", "height": 0.0025, "spread": -1.2}],
        "scattering": [{"shape": "power", "height": 0.02, "spread": -0.5}],
        "anisotropy": 0.85,
    }  # fmt: skip


def bottle_document(bottle: Bottle, half: Half | None) -> Table:
    """Return a bottle entered without instruments."""
    side = half or Half.WHOLE
    guesses = {
        "name": bottle.is_stand_in,
        "clarity": bottle.clarity is None,
        "patch": half is not None and not bottle.patch,
    }
    table: Table = {"name": bottle.name, "clarity": (bottle.clarity or KINDS[side]).value}
    if bottle.patch or half:
        table["patch"] = bottle.patch or STAND_INS[side]
    return table | _guesses(guesses)


def _guesses(is_guess: dict[str, bool]) -> Table:
    found = [key for key, yes in is_guess.items() if yes]
    return {"guesses": found} if found else {}


def body_of(answers: Answers) -> Body:
    """Return the bait's simple body."""
    mass, length = (
        read_amount("", text, kind, span) if text else None
        for text, kind, span in (
            (answers.bait_mass, Kind.MASS, BAIT_MASS),
            (answers.bait_length, Kind.LENGTH, LENGTH),
        )
    )
    return simple_body(mass, length)


def mould_document(answers: Answers, name: str) -> str:
    """Return a mould of as many cavities, whose bait is a simple body of that mass."""
    body = body_of(answers)
    cavities = answers.cavities or CAVITIES
    grams = body.mass * 1e3
    sprue = cavities * grams * 0.25
    spread = 1.5 if body.known else 2.0
    return format_toml({
        "name": name,
        "note": "Its shape is a stand-in: a round, straight body that tapers to its tail.",
        "cavities": cavities,
        "bait_mass": answers.bait_mass
        or _guess(_g(grams), _g(grams / spread), _g(grams * spread), "one bait on the scale"),
        "sprue_mass": _guess(_g(sprue), _g(sprue * 0.4), _g(sprue * 2.4),
                             "the sprue and runner of one shot on the scale"),
        "length": answers.bait_length or f"{body.length * 1e3:.0f} mm",
        **_guesses({"cavities": not answers.cavities, "length": not answers.bait_length}),
        "stations": [_station(body, *station) for station in STATIONS],
    })  # fmt: skip


def _station(body: Body, name: str, position: float, share: float) -> Table:
    half = round(body.diameter * 1e3 * share / 2, 2)
    return {
        "name": name,
        "position": position,
        "shape": "round",
        "width": f"{2 * half:.2f} mm",
        "back_half": f"{half:.2f} mm",
        "belly_half": f"{half:.2f} mm",
        "origin": "default",
        "doubt": f"{body.doubt * 100:.0f} %",
    }


def bench_document(answers: Answers, name: str, shot: float) -> str:
    """Return a bench with that cup, or one that takes one shot [kg], and syringes that do."""
    hot = shot * 1e3 / len(halves(answers)) / HOT_DENSITY
    filled = hot + (FILM + HEEL) / HOT_DENSITY
    cup = next((size for size in CUPS if size * FILL_LIMIT >= filled * 1.1), CUPS[-1])
    pair = next((size for size in SYRINGES if size * MOST_DRAWN >= hot * 1.1), SYRINGES[-1])
    return format_toml({
        "name": name,
        "room": "22 °C",
        "reject_share": "15 %",
        "fahrenheit": bool(answers.reads_fahrenheit),
        **_guesses({
            "vessel.capacity": not answers.cup, "vessel.fill_limit": True,
            "syringes.capacity": True, "syringes.usable_share": True, "reject_share": True,
            "room": True, "fahrenheit": answers.reads_fahrenheit is None,
        }),
        "vessel": {
            "capacity": answers.cup or f"{cup} mL",
            "fill_limit": f"{FILL_LIMIT * 100:.0f} %",
            "film": _guess(f"{FILM:g} g", "2 g", "8 g",
                           "an emptied cup on the scale, less its tare"),
        },
        "syringes": {
            "capacity": f"{pair} mL",
            "usable_share": f"{MOST_DRAWN * 100:.0f} %",
            "heel": _guess(f"{HEEL:g} g", "0.3 g", "1.5 g",
                           "what stays in one syringe, on the scale"),
        },
        "block": {
            "loss": _guess("1.5 g", "0.5 g", "4 g",
                           "what stays in the joining block after a shot, on the scale"),
        },
    })  # fmt: skip


def recipe_document(name: str, grade: str, loads: dict[Half, tuple[str, str, str]]) -> str:
    """Return a recipe: for each side its bottle, the loading, and the loading's origin."""
    return format_toml(
        {"name": name}
        | {
            half.value: {
                "grade": grade,
                "load": [{"supply": supply, "per_100_g": amount, "origin": origin}],
            }
            for half, (supply, amount, origin) in loads.items()
        }
    )


def shot_mass(answers: Answers) -> float:
    """Return what one shot takes: baits, sprue and block. [kg]"""
    cavities = answers.cavities or CAVITIES
    return cavities * body_of(answers).mass * 1.25 + 1.5e-3


def drawn_hot(answers: Answers) -> float:
    """Return what one shot takes out of each syringe, hot, with its heel. [mL]"""
    return (shot_mass(answers) * 1e3 / len(halves(answers)) + HEEL) / HOT_DENSITY


def whole_drops(amount: float) -> str:
    """Return a loading as whole drops, rounded up, as a maker writes it."""
    drops = ceil(amount - 1e-9)
    return f"{drops} drop" if drops == 1 else f"{drops} drops"
