"""What a maker wishes for, as typed: a colour, another bait's look, limits."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from partline.errors import InputError, Invalid, OutOfRange
from partline.materials.shelf import Shelf
from partline.physics.colorimetry import srgb_to_xyz, xyz_to_lab
from partline.process.recipe import Half, Recipe
from partline.quantities.units import Kind, parse
from partline.records.exchange.chips import screen_colour
from partline.studies.colour_matching import ROUGH, Colours, Limits, WantedLook, look_like
from partline.studies.colour_matching.limits import LEAST_CUP, MOST_CUP, USUAL_COLOURANTS

#: How a colour may be written, for the sentence that refuses another way.
WAYS = (
    "Write “Lab 40 5 20”, a screen colour such as “#6b5a33” or “107 90 51”, or “photo #6b5a33” "
    "for one picked off a photo."
)
SCREEN = "a screen's colour is only as good as the screen"
PHOTO = f"picked off a photo, so rough: ± ΔE00 {ROUGH:g}"
_NUMBER = r"[-−+]?\d+(?:\.\d+)?"
_LAB = re.compile(rf"lab[\s:(]*({_NUMBER})[\s,]+({_NUMBER})[\s,]+({_NUMBER})\)?", re.IGNORECASE)
_RGB = re.compile(r"(\d{1,3})[\s,]+(\d{1,3})[\s,]+(\d{1,3})")
LONGEST = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a maker typed; blank texts say nothing.

    Parameters
    ----------
    back, belly : str
        A colour for each side; a one-colour bait is asked for by `back`.
    like : Recipe or None
        Whose look is wanted of every side that no colour is written for.
    like_shelf : Shelf or None
        What that recipe was poured from, where its bottles were another lot.
    side : str
        ``back`` or ``belly`` where only that side is wanted; blank for both.
    cup_back, cup_belly : str
        Fillings of the cups; 100 g where blank.
    most_colourants, most_drops, most_grams : str
        Limits of each side; the usual ones where blank.
    only, without : tuple of str
        Bottles to choose from, and to leave alone.
    """

    back: str = ""
    belly: str = ""
    like: Recipe | None = None
    like_shelf: Shelf | None = None
    side: str = ""
    cup_back: str = ""
    cup_belly: str = ""
    most_colourants: str = ""
    most_drops: str = ""
    most_grams: str = ""
    only: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


def read_colour(text: str, *, field: str = "") -> WantedLook:
    """Return the colour that a text means.

    Raises
    ------
    InputError
        If it is no colour.

    Examples
    --------
    >>> read_colour("Lab 40 5 20").lab
    (40.0, 5.0, 20.0)
    """
    line = text.strip()
    shown = line if len(line) <= LONGEST else line[:LONGEST] + "…"
    try:
        if found := _LAB.fullmatch(line):
            lightness, a, b = (float(each.replace("−", "-")) for each in found.groups())
            return WantedLook(lab=(lightness, a, b), source=f"Lab {lightness:g} {a:g} {b:g}")
        word, _, rest = line.partition(" ")
        if word.casefold() == "photo":
            seen = _screen(rest)
            return replace(seen, source=f"{seen.source.partition(':')[0]}: {PHOTO}", doubt=ROUGH)
        return _screen(line)
    except OutOfRange as error:
        raise OutOfRange(error.message, low=error.low, high=error.high, field=field,
                         given=shown, remedy=error.remedy) from None  # fmt: skip
    except InputError:
        message = f"“{shown}” is no colour." if line else "No colour is written."
        raise InputError(message, field=field, given=shown, remedy=WAYS) from None


def _screen(text: str) -> WantedLook:
    found = _RGB.fullmatch(text.strip())
    rgb = tuple(int(each) for each in found.groups()) if found else screen_colour(text)
    if max(rgb) > 255:
        raise OutOfRange(
            f"A screen colour's numbers are {' '.join(map(str, rgb))}; each lies in 0 to 255.",
            low=0.0, high=255.0,
        )  # fmt: skip
    lab = xyz_to_lab(srgb_to_xyz(np.array(rgb) / 255))
    lightness, a, b = (float(each) for each in lab)
    code = "#{:02x}{:02x}{:02x}".format(*rgb)
    return WantedLook(lab=(lightness, a, b), source=f"{code}: {SCREEN}")


def check_wish(wish: Wish, recipe: Recipe) -> None:
    """Refuse a wish that cannot be read, all at once.

    Raises
    ------
    Invalid
        With everything that cannot be used, beside its field.
    """
    problems: list[InputError] = []
    readers: list[Callable[[], object]] = [
        *(partial(_written, wish, half) for half in (Half.BACK, Half.BELLY)),
        partial(_sides, wish, recipe),
        *(partial(_cup, wish, key) for key in ("cup_back", "cup_belly")),
        partial(limits_of, wish),
    ]
    for read in readers:
        try:
            read()
        except InputError as problem:
            problems.append(problem)
    if problems:
        raise Invalid(tuple(problems), what="The wish")


def _written(wish: Wish, half: Half) -> WantedLook | None:
    """Return the colour that is written for a side; None where none is."""
    text = wish.belly if half is Half.BELLY else wish.back
    field = (Half.BELLY if half is Half.BELLY else Half.BACK).value
    return read_colour(text, field=field) if text.strip() else None


def _sides(wish: Wish, recipe: Recipe) -> list[Half]:
    """Return the sides of a recipe that a wish is about."""
    halves = [side.half for side in recipe.sides]
    if wish.side and wish.side not in (Half.BACK, Half.BELLY):
        raise InputError(f"“{wish.side}” is no side of a bait.", field="side", given=wish.side,
                         remedy="Write back or belly.")  # fmt: skip
    if halves != [Half.WHOLE]:
        return [half for half in halves if wish.side in ("", half)]
    if wish.belly.strip() or wish.side == Half.BELLY:
        raise InputError(
            f"{recipe.name} has one colour, so nothing can be asked of its belly alone.",
            field="belly", given=wish.belly, remedy="Write the colour for the back.",
        )  # fmt: skip
    return halves


def wanted_looks(
    wish: Wish, recipe: Recipe, shelf: Shelf, model: Colours
) -> dict[Half, WantedLook]:
    """Return what is wanted of each side of a recipe.

    Raises
    ------
    InputError
        If nothing is wanted, or of a side that the bait has not.
    """
    found: dict[Half, WantedLook] = {}
    for half in _sides(wish, recipe):
        if written := _written(wish, half):
            found[half] = written
        elif wish.like is not None:
            found[half] = _like(wish, wish.like, half, shelf, model)
    if not found:
        raise InputError(
            "Nothing says what the bait should look like.",
            field="back", remedy=f"{WAYS} Or name a recipe whose look is wanted.",
        )  # fmt: skip
    return found


def _like(wish: Wish, like: Recipe, half: Half, shelf: Shelf, model: Colours) -> WantedLook:
    poured = wish.like_shelf or shelf
    old = " from the shelf named" if wish.like_shelf else ""
    view = "" if half is Half.WHOLE else f"{half.value} of "
    source = f"the {view}{like.name}, version {like.version}{old}"
    return look_like(like, poured, half, model, source)


def limits_of(wish: Wish) -> Limits:
    """Return the limits that a wish states.

    Raises
    ------
    InputError
        If one cannot be read or allows nothing.
    """
    most = wish.most_colourants.strip() or str(USUAL_COLOURANTS)
    if not (most.isascii() and most.isdigit() and len(most) < 4):
        raise InputError(
            f"“{most[:LONGEST]}” is no number of bottles.",
            field="most_colourants",
            given=most[:LONGEST],
            remedy="Write a whole number, such as 3.",
        )
    limits = Limits(most_colourants=int(most), only=wish.only, without=wish.without)
    if text := wish.most_drops.strip():
        limits = replace(limits, most_drops=_number(text, "most_drops", "drops"))
    if text := wish.most_grams.strip():
        grams = parse(text, Kind.MASS, field="most_grams").value
        limits = replace(limits, most_share=grams / 0.1)
    return limits


def _number(text: str, field: str, what: str) -> float:
    if not re.fullmatch(r"\d{1,6}(?:\.\d+)?", text):
        raise InputError(f"“{text[:LONGEST]}” is no number of {what}.", field=field,
                         given=text[:LONGEST], remedy="Write a number, such as 12.")  # fmt: skip
    return float(text)


def cups_of(wish: Wish, recipe: Recipe) -> Mapping[Half, float]:
    """Return the filling of each cup that is said. [kg]

    Raises
    ------
    InputError
        If one is no mass, or no cup holds it.
    """
    found = {
        side.half: _cup(wish, "cup_belly" if side.half is Half.BELLY else "cup_back")
        for side in recipe.sides
    }
    return {half: mass for half, mass in found.items() if mass is not None}


def _cup(wish: Wish, key: str) -> float | None:
    """Return the filling of one cup; None where it is not said. [kg]"""
    text = wish.cup_belly if key == "cup_belly" else wish.cup_back
    if not text.strip():
        return None
    return parse(text, Kind.MASS, field=key, low=LEAST_CUP, high=MOST_CUP).value
