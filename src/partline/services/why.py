"""How each figure is got: its formula in words, what it rests on, and where that comes from."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from functools import cache

from partline.process.card import CARD_BLACK, CARD_WHITE, GREY
from partline.process.rendering import Quality


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """How a figure is got.

    Parameters
    ----------
    title : str
        What the figure is called.
    formula : str
        In words.
    inputs : tuple of str
        Kinds of input it rests on.
    source : str
        Where the formula comes from.
    """

    title: str
    formula: str
    inputs: tuple[str, ...]
    source: str


_SLAB = (
    "light in flat layers as thick as the halves, followed in 8 directions a hemisphere and 31 "
    "colours of the spectrum; the same equations as in radiative transfer"
)
_CIEDE = "CIEDE2000, ISO/CIE 11664-6"
_MIDDLE = (
    "Each view is the mean of its middle six tenths. Light is followed in all directions through "
)
#: How the colours behind a difference are got, by how the look was come by.
_LIGHT: dict[Quality, str] = {
    Quality.SLAB: (
        "Each view is the mean over all directions, a half seen from the side half way between "
        f"line and skin, through as much plastic as its refracted line of sight passes: {_SLAB}"
    ),
    Quality.SECTIONS: (
        f"{_MIDDLE}ready sections like the bait's, from the eye backwards, at 31 colours of the "
        "spectrum; light that wanders along the body is left out"
    ),
    Quality.PREVIEW: (
        f"{_MIDDLE}this bait's own shape, from the eye backwards, at 31 colours of the spectrum; "
        "a first pass, with few rays"
    ),
    Quality.FINAL: (
        f"{_MIDDLE}this bait's own shape, from the eye backwards, at 31 colours of the spectrum"
    ),
}
#: The figures that rest on it.
_SEEN = ("see_through", "back_belly", "side")
_THICK = ("thickness of each half", "loadings", "drop mass", "strength", "optical constants",
          "haze at 550 nm", "own colour at 550 nm", "film")  # fmt: skip

#: Every kind of figure on a page, by the key that stands beside it.
WHY: dict[str, Why] = {
    "hiding": Why(
        title="Hiding",
        formula=(
            f"1 − (luminance Y of the half over a white card − over a black card) ÷ (white card − "
            f"black card), looked at from straight above; the card reflects {CARD_WHITE:.2f} and "
            f"{CARD_BLACK:.2f}. {_SLAB}."
        ),
        inputs=_THICK,
        source="definitions of this project; CIE 1931 observer, D65",
    ),
    "see_through": Why(
        title="See-through",
        formula=(
            "colour difference ΔE00 between one side's view of the bait and the same view were "
            f"both halves of that side's plastic, over grey {GREY:.1f} by daylight, gloss left out"
        ),
        inputs=_THICK,
        source=_CIEDE,
    ),
    "back_belly": Why(
        title="Back against belly",
        formula=(
            "colour difference ΔE00 between the back's side and the belly's side of the bait, "
            f"over grey {GREY:.1f} by daylight, gloss left out"
        ),
        inputs=_THICK,
        source=_CIEDE,
    ),
    "side": Why(
        title="Halves from the side",
        formula=(
            "colour difference ΔE00 between the upper and the lower half, looked at from the "
            f"flank, over grey {GREY:.1f} by daylight, gloss left out"
        ),
        inputs=_THICK,
        source=_CIEDE,
    ),
    "needed": Why(
        title="Loading needed",
        formula=(
            "the leading colourant of the half is raised alone, everything else as written, until "
            "the half hides what is wanted at the station"
        ),
        inputs=("wanted hiding", *_THICK),
        source="the hiding figure, solved backwards",
    ),
    "cup": Why(
        title="Grams in a cup",
        formula=(
            "shots × (half of: cavities × bait + sprue and runner + block) + draws × heel + film; "
            "a coupled pair of equal syringes pushes equal volumes"
        ),
        inputs=(
            "bait mass",
            "bait volume",
            "cavities",
            "sprue and runner",
            "block loss a shot",
            "heel a side a draw",
            "film a side a melt",
            "reject share",
        ),
        source="conservation of mass",
    ),
    "hot_volume": Why(
        title="Hot volume",
        formula="mass ÷ cold density × (1 + expansion × (hot end of the label's band − 23 °C))",
        inputs=("cold density", "expansion", "working band to"),
        source="mean volumetric expansion",
    ),
    "bait": Why(
        title="Cold bait",
        formula="ideal volumes of the parts, by mass share; both sides in equal volumes",
        inputs=("cold density", "density", "drop mass", "bait mass", "bait volume"),
        source="additive volumes; real plastisol contracts by 0 to 1 % (from memory)",
    ),
    "spoon": Why(
        title="Spoons",
        formula="mass ÷ loose density ÷ 4.929 mL, the US teaspoon",
        inputs=("loose density",),
        source="NIST Handbook 44, Appendix C",
    ),
}


@cache
def why_as_dicts(quality: Quality = Quality.SLAB) -> dict[str, dict[str, object]]:
    """Return every figure's formula for JSON and pages.

    Parameters
    ----------
    quality : Quality
        How the look was come by that the figures are of.
    """
    return {key: asdict(_by_light(key, each, quality)) for key, each in WHY.items()}


def _by_light(key: str, why: Why, quality: Quality) -> Why:
    if key not in _SEEN:
        return why
    return replace(why, formula=f"{why.formula}. {_LIGHT[quality]}.")
