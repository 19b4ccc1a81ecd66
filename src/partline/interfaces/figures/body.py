"""The body's outline as SVG: seen from the back and from the side, its stations marked."""

from __future__ import annotations

from enum import StrEnum
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Station
from partline.process.cavity import Profile

Floats = NDArray[np.floating]
#: Drawn size of a millimetre, and room around the body. [-], [mm]
UNITS_PER_MM, MARGIN = 10.0, 3.0
#: Points of the outline that are drawn; more are not seen.
POINTS = 161


class Facing(StrEnum):
    """Where the body is seen from."""

    BACK = "back"
    SIDE = "side"


def body_svg(body: Profile, stations: tuple[Station, ...], facing: Facing) -> str:
    """Draw a body's outline, nose to the left.

    Parameters
    ----------
    body : Profile
        Its shape.
    stations : tuple of Station
        Marked by a line across.
    facing : Facing
        Seen from the side both halves show, from the back one.

    Returns
    -------
    str
        An SVG with a title that says in words what it shows.
    """
    pick = np.linspace(0, len(body.position) - 1, min(POINTS, len(body.position))).astype(int)
    along = body.position[pick] * body.length * 1e3
    sizes = (
        (body.half_width, body.half_width)
        if facing is Facing.BACK
        else (body.back_half, body.belly_half)
    )
    above, below = (size[pick] * 1e3 for size in sizes)
    # Both views share one frame, so that they are drawn to one scale.
    frame = (body.half_width, body.back_half, body.belly_half)
    top = bottom = max(float(size.max()) for size in frame) * 1e3
    length = body.length * 1e3
    box = " ".join(
        f"{part * UNITS_PER_MM:.0f}"
        for part in (-MARGIN, -top - MARGIN, length + 2 * MARGIN, top + bottom + 2 * MARGIN)
    )
    title = _title(stations, facing, length)
    marks = "".join(_mark(each, length, top, bottom) for each in stations)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="body" role="img" viewBox="{box}" '
        f"aria-label={quoteattr(title)}><title>{escape(title)}</title>"
        f"{_paths(along, above, below, facing)}{marks}</svg>"
    )


def _paths(along: Floats, above: Floats, below: Floats, facing: Facing) -> str:
    """Return the body from the back as one shape, from the side as its two halves."""
    if facing is Facing.BACK:
        line = _line(np.append(along, along[::-1]), np.append(-above, below[::-1]))
        return f'<path class="body-back" d="M {line} Z"/>'
    ends = (along[[-1, 0]], np.zeros(2))
    halves = (("body-back", -above), ("body-belly", below))
    return "".join(
        f'<path class="{name}" d="M {_line(along, across)} L {_line(*ends)} Z"/>'
        for name, across in halves
    )


def _line(along: Floats, across: Floats) -> str:
    return " ".join(
        f"{x * UNITS_PER_MM:.1f} {y * UNITS_PER_MM:.1f}"
        for x, y in zip(along, across, strict=True)
    )


def _mark(station: Station, length: float, top: float, bottom: float) -> str:
    place = station.position * length * UNITS_PER_MM
    ends = [(-top - MARGIN / 2) * UNITS_PER_MM, (bottom + MARGIN / 2) * UNITS_PER_MM]
    return (
        f'<path class="body-station" d="M {place:.1f} {ends[0]:.1f} V {ends[1]:.1f}">'
        f"<title>{escape(station.name)}</title></path>"
    )


def _title(stations: tuple[Station, ...], facing: Facing, length: float) -> str:
    seen = "from the back" if facing is Facing.BACK else "from the side, back above"
    sizes = ", ".join(
        f"{each.name} {(each.width if facing is Facing.BACK else each.height) * 1e3:.1f} mm"
        for each in stations
    )
    what = "wide" if facing is Facing.BACK else "thick"
    return f"The bait {seen}, nose to the left: {length:.0f} mm long; {what} at the {sizes}."
