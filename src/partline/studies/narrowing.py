"""Which measurement would narrow a range, in the maker's words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from partline.materials.supply import Colourant
from partline.process.supply_doubt import Cause, log_spread
from partline.studies.uncertainty import Doubt


def measurement(doubt: Doubt, colourants: Mapping[str, Colourant]) -> str:
    """Return what to measure about a doubt.

    Parameters
    ----------
    doubt : Doubt
        What moves the figure most: of a supply, of heat or of bubbles.
    colourants : mapping of str to Colourant
        The bottles of the recipe, by name.
    """
    name = doubt.name
    if doubt.cause in _OF_NO_BOTTLE:
        return _OF_NO_BOTTLE[doubt.cause].format(name=name)
    bottle = colourants.get(name)
    if bottle is None:
        return f"a chip with {name} in it on the printed card"
    if doubt.cause is Cause.BOTTLE:
        return next_reading(bottle)
    counting = log_spread(bottle.drop_mass) > log_spread(bottle.lot_strength)
    return f"weigh 50 drops of {name}" if counting else f"a chip of {name} on the printed card"


def next_reading(bottle: Colourant) -> str:
    """Return what to read next off a bottle that nobody has measured."""
    if bottle.counted_chips:
        return _next_chip(bottle)
    if bottle.hiding is None:
        return f"a hiding reading of {bottle.name} on the printed card"
    if bottle.patch is None:
        return f"the colour of a chip of {bottle.name} over white"
    if not (bottle.hiding.chip.is_known and bottle.patch.chip.is_known):
        return f"the loading and thickness of the chip of {bottle.name}"
    return f"measured spectra of {bottle.name}"


def _next_chip(bottle: Colourant) -> str:
    chips = bottle.counted_chips
    if not bottle.is_own_chip:
        return f"a stepped chip of lot {bottle.lot or 'in use'} of {bottle.name}"
    if any(each.chip.drops is None and each.chip.share is None for each in chips):
        return f"a stepped chip of {bottle.name} with counted drops"
    if not all(step.is_callipered for each in chips for step in each.steps):
        return f"a calliper on the steps of the chip of {bottle.name}"
    return f"a second stepped chip of {bottle.name}"


#: What to measure of everything but bottles.
_OF_NO_BOTTLE = {
    Cause.THICKNESS: "measure the mould's stations",
    Cause.SALT: "a chip with {name} in it on the printed card",
    Cause.FILM: "ten flakes of {name} stacked, under a micrometer",
    Cause.HAZE: "a chip of {name} without colour on the printed card",
    Cause.TINT: "a chip of {name} without colour on the printed card",
    Cause.HEAT: "a chip of the heated plastic beside a fresh one",
    Cause.BUBBLES: "weighing a cured bait in air and in water",
}
#: How each cause is called where it is said what was drawn.
_WORDS = {
    Cause.AMOUNT: "drop mass and strength",
    Cause.BOTTLE: "unmeasured bottles",
    Cause.SALT: "haze of salt",
    Cause.FILM: "film of flake",
    Cause.HAZE: "haze and colour of plain plastic",
    Cause.TINT: "haze and colour of plain plastic",
    Cause.HEAT: "yellowing by heat",
    Cause.BUBBLES: "bubbles",
    Cause.THICKNESS: "the mould's thickness",
}


def drawn_words(doubts: Iterable[Doubt], times: int) -> str:
    """Return what was drawn, such as "drop mass and strength, film of flake drawn 32 times"."""
    causes = {doubt.cause for doubt in doubts}
    words = dict.fromkeys(words for cause, words in _WORDS.items() if cause in causes)
    return f"{', '.join(words)} drawn {times} times" if words else "nothing in doubt"
