"""A cut across the bait as SVG: each half in its own plastic's colour."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import SectionPoint, SectionShape, Station

#: Drawn size of a millimetre; the drawing scales with the page.
UNITS_PER_MM = 10.0
Colour = tuple[float, float, float]
Floats = NDArray[np.floating]


def hex_colour(colour: Colour) -> str:
    """Write an sRGB colour, 0 to 1, as #rrggbb."""
    return "#" + "".join(f"{round(min(max(part, 0.0), 1.0) * 255):02x}" for part in colour)


def _dome(half_width: float, height: float, *, up: bool) -> str:
    sweep = 1 if up else 0
    return (
        f"M {-half_width:.2f} 0 A {half_width:.2f} {height:.2f} 0 0 {sweep} {half_width:.2f} 0 Z"
    )


def _floor(half_width: float, height: float) -> str:
    return (
        f"M {-half_width:.2f} 0 L {-half_width:.2f} {height:.2f} "
        f"L {half_width:.2f} {height:.2f} L {half_width:.2f} 0 Z"
    )


def _flanks(points: tuple[SectionPoint, ...], scale: float) -> tuple[str, str, float]:
    """Return an outline's parts above and below the line, and half its width there."""
    across, up = (
        np.array([getattr(point, name) for point in points]) * scale for name in ("across", "up")
    )
    at_line = float(np.interp(0.0, up[::-1], across[::-1]))
    above, below = up > 0, up < 0
    # Clockwise from the line: over the top to the other flank, and back by the floor.
    top = (np.append(-across[above][::-1], across[above]), np.append(up[above][::-1], up[above]))
    floor = (np.append(across[below], -across[below][::-1]), np.append(up[below], up[below][::-1]))
    return _round_about(-at_line, *top), _round_about(at_line, *floor), at_line


def _round_about(begin: float, across: Floats, up: Floats) -> str:
    """Return a path from a place on the line by some points to the line's other side."""
    way = " ".join(f"L {x:.2f} {-y:.2f}" for x, y in zip(across, up, strict=True))
    return f"M {begin:.2f} 0 {way} L {-begin:.2f} 0 Z"


def _halves(station: Station, scale: float) -> tuple[str, str, float]:
    """Return a section's parts above and below the line, and half its width there."""
    if station.points:
        return _flanks(station.points, scale)
    w, b, h = (size * scale for size in (station.width / 2, station.back_half, station.belly_half))
    is_flat = station.shape is SectionShape.FLAT_BOTTOMED
    return _dome(w, b, up=True), _floor(w, h) if is_flat else _dome(w, h, up=False), w


def _fill(colour: Colour | None, half: str) -> str:
    return f'class="body-{half}"' if colour is None else f'fill="{hex_colour(colour)}"'


def section_svg(
    station: Station, back: Colour | None, belly: Colour | None, *, largest: float
) -> str:
    """Draw a station's cut face.

    Parameters
    ----------
    station : Station
        Where the bait is cut.
    back, belly : tuple of float or None
        sRGB of each half's plastic, 0 to 1; None for the page's own marks of the halves. [-]
    largest : float
        Largest width or height of the bait's stations, so that all are drawn to one scale. [m]

    Returns
    -------
    str
        An SVG with a title that says in words what it shows.
    """
    scale = 1e3 * UNITS_PER_MM
    upper, lower, w = _halves(station, scale)
    half = largest * scale / 2 + UNITS_PER_MM / 2
    title = (
        f"Cut at the {station.name}: {station.width * 1e3:.1f} mm wide, back half "
        f"{station.back_half * 1e3:.1f} mm, belly half {station.belly_half * 1e3:.1f} mm."
    )
    # The frame's middle is the section's own: the line may lie far off it.
    top = (station.belly_half - station.back_half) * scale / 2 - half
    box = f"{-half:.1f} {top:.1f} {2 * half:.1f} {2 * half:.1f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="section" role="img" viewBox="{box}" '
        f"aria-label={quoteattr(title)}><title>{escape(title)}</title>"
        f'<path d="{upper}" {_fill(back, "back")}/><path d="{lower}" {_fill(belly, "belly")}/>'
        f'<path d="M {-w:.2f} 0 H {w:.2f}" stroke="currentColor" stroke-width="1" '
        'stroke-dasharray="4 3" fill="none"/></svg>'
    )
