"""A spoiled bait of a class exercise as SVG: its outside, its cuts, its cut in grey."""

from __future__ import annotations

from dataclasses import dataclass
from xml.sax.saxutils import escape

from partline.studies.diagnosis import Cause
from partline.studies.exercise import SpoiledBait

#: Colours of back and belly, and of a belly that is too like the back: sRGB.
BACK, BELLY, NEAR = (107, 74, 36), (240, 231, 208), (133, 103, 66)
WHITE, BLACK = (250, 250, 248), (28, 28, 28)
#: Drawn size of a millimetre, and the cut's diameter. [-], [mm]
UNITS, ACROSS = 10.0, 11.0
#: How much of the card comes through a bait that hides too little, and of its tail. [-]
THROUGH, TAIL_THROUGH = 0.35, 0.6

RGB = tuple[int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One drawing.

    Parameters
    ----------
    svg : str
        Complete, with its own title.
    words : str
        What it shows, for who cannot see it; what it means is left to the reader.
    """

    svg: str
    words: str


def outside(bait: SpoiledBait) -> Picture:
    """Draw the bait from the side, its nose over white and its tail over black, then turned."""
    top, low = _halves(bait)
    shows = bait.seen["changes"]
    worse = bait.seen["tail_worse"]
    rows = []
    for row, cards in enumerate(((WHITE, BLACK), (BLACK, WHITE))):
        y = 10 + row * 62
        rows.append(_rect(0, y, 150.5, 52, cards[0]) + _rect(150, y, 150, 52, cards[1]))
        rows.append(_lying(y + 26, top, low, cards, shows=shows, worse=worse))
        if bait.seen["gate_worse"]:
            rows.append(_smears(22, y + 26, top))
    words = [
        f"From the side: {_named(top)} above, {_named(low)} below.",
        "The colour changes where the card behind it turns from white to black."
        if shows
        else "The colour is the same over white and over black.",
        "The tail is worse than the body." if worse else "Tail and body look alike.",
        "There are smears at the nose, where the gate was." if bait.seen["gate_worse"] else "",
    ]
    return _picture(300, 134, "".join(rows), " ".join(each for each in words if each))


def sprue_cut(bait: SpoiledBait) -> Picture:
    """Draw the cut through the sprue."""
    line = bait.sprue_line * 1e3
    words = f"A round cut in two halves, the border about {line:.1f} mm wide."
    return _picture(130, 130, _cut(bait, line, ring=False), words)


def belly_cut(bait: SpoiledBait, *, grey: bool = False) -> Picture:
    """Draw the fresh cut through the belly, wet, over pale; or a grey photo of it."""
    line, ring = bait.belly_line * 1e3, bait.seen["ring"]
    if grey:
        flat = bait.seen["no_step"]
        words = (
            "A grey cut of one shade." if flat else "A grey cut with a step between two shades."
        )
        return _picture(130, 130, _cut(bait, line, ring=ring, grey=True, flat=flat), words)
    words = f"A round cut in two halves, the border about {line:.1f} mm wide."
    if ring:
        words = "A round cut: one colour runs all round, the other lies inside it, off centre."
    return _picture(130, 130, _cut(bait, line, ring=ring), words)


def _halves(bait: SpoiledBait) -> tuple[RGB, RGB]:
    low = NEAR if bait.cause is Cause.TOO_ALIKE else BELLY
    return (low, BACK) if bait.cause is Cause.INVERTED else (BACK, low)


def _named(colour: RGB) -> str:
    return {BACK: "dark brown", BELLY: "pale", NEAR: "a little paler brown"}[colour]


def _lying(
    y: float, top: RGB, low: RGB, cards: tuple[RGB, RGB], *, shows: bool, worse: bool
) -> str:
    """Draw a body with its tail; each of the two pieces over its own card."""
    parts = []
    for place, (card, through) in enumerate(
        zip(cards, (THROUGH, TAIL_THROUGH if worse else THROUGH), strict=True)
    ):
        share = through if shows else (0.25 if worse and place == 1 else 0.0)
        upper, lower = _mixed(top, card, share), _mixed(low, card, share)
        if place == 0:
            up = f"M 18 {y} C 22 {y - 22}, 110 {y - 20}, 150 {y - 15} L 150 {y} Z"
            down = f"M 18 {y} C 22 {y + 22}, 110 {y + 20}, 150 {y + 15} L 150 {y} Z"
        else:
            up = f"M 150 {y - 15} C 200 {y - 9}, 260 {y - 5}, 284 {y} L 150 {y} Z"
            down = f"M 150 {y + 15} C 200 {y + 9}, 260 {y + 5}, 284 {y} L 150 {y} Z"
        parts.append(
            f'<path d="{up}" fill="{_hex(upper)}"/><path d="{down}" fill="{_hex(lower)}"/>'
        )
    return "".join(parts)


def _smears(x: float, y: float, colour: RGB) -> str:
    tongues = "".join(
        f"M {x + 8 * each} {y} q 6 {5 + each}, 12 {13 - each} " for each in range(1, 6)
    )
    return f'<path d="{tongues}" fill="none" stroke="{_hex(colour)}" stroke-width="3"/>'


def _cut(
    bait: SpoiledBait, line: float, *, ring: bool, grey: bool = False, flat: bool = False
) -> str:
    top, low = _halves(bait)
    if grey:
        top, low = _greyed(top), _greyed(low)
        top = _mixed(top, low, 0.93) if flat else top
        if not flat and bait.cause is Cause.TOO_ALIKE:
            low = _mixed(low, WHITE, 0.3)
    radius, middle = ACROSS / 2 * UNITS, 65.0
    if ring:
        return (
            f'<circle cx="{middle}" cy="{middle}" r="{radius}" fill="{_hex(top)}"/>'
            f'<ellipse cx="{middle + 6}" cy="{middle + 9}" rx="{radius * 0.68}" '
            f'ry="{radius * 0.6}" fill="{_hex(low)}"/>'
        )
    # The drawn width is that in which the colour goes from a tenth to nine tenths of its step.
    half = min(0.5, line * UNITS / 0.8 / (2 * radius) / 2)
    name = f"g{abs(hash((top, low, round(half, 4)))) % 10**9}"
    stops = "".join(
        f'<stop offset="{place:.3f}" stop-color="{_hex(colour)}"/>'
        for place, colour in ((0.5 - half, top), (0.5 + half, low))
    )
    # What crept is soft throughout; only what flowed is marbled.
    is_plain = line < 1.5 or flat or bait.cause is Cause.CREPT
    marbled = "" if is_plain else _marbling(middle, radius, top, low)
    return (
        f'<defs><linearGradient id="{name}" x1="0" y1="0" x2="0" y2="1">{stops}</linearGradient>'
        f'</defs><circle cx="{middle}" cy="{middle}" r="{radius}" fill="url(#{name})"/>{marbled}'
    )


def _marbling(middle: float, radius: float, top: RGB, low: RGB) -> str:
    paths = []
    for place, colour in ((-0.45, top), (0.1, low), (0.5, top)):
        x = middle + place * radius
        paths.append(
            f'<path d="M {x:.1f} {middle - 14} q 14 8, 4 18 t 6 18" fill="none" '
            f'stroke="{_hex(colour)}" stroke-width="5" stroke-opacity="0.7"/>'
        )
    return "".join(paths)


def _picture(width: int, height: int, body: str, words: str) -> Picture:
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" role="img"><title>{escape(words)}</title>{body}</svg>'
    )
    return Picture(svg=svg, words=words)


def _rect(x: float, y: float, width: float, height: float, colour: RGB) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{_hex(colour)}"/>'


def _mixed(colour: RGB, other: RGB, share: float) -> RGB:
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(colour, other, strict=True))
    return red, green, blue


def _greyed(colour: RGB) -> RGB:
    grey = round(0.2126 * colour[0] + 0.7152 * colour[1] + 0.0722 * colour[2])
    return grey, grey, grey


def _hex(colour: RGB) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)
