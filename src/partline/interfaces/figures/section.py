"""A cut across the bait as SVG: each half in its own plastic's colour."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from partline.materials.mould import SectionShape, Station

#: Drawn size of a millimetre; the drawing scales with the page.
UNITS_PER_MM = 10.0
Colour = tuple[float, float, float]


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


def section_svg(station: Station, back: Colour, belly: Colour, *, largest: float) -> str:
    """Draw a station's cut face.

    Parameters
    ----------
    station : Station
        Where the bait is cut.
    back, belly : tuple of float
        sRGB of each half's plastic, 0 to 1. [-]
    largest : float
        Largest width or height of the bait's stations, so that all are drawn to one scale. [m]

    Returns
    -------
    str
        An SVG with a title that says in words what it shows.
    """
    scale = 1e3 * UNITS_PER_MM
    w, b, h = (size * scale for size in (station.width / 2, station.back_half, station.belly_half))
    half = largest * scale / 2 + UNITS_PER_MM / 2
    lower = _floor(w, h) if station.shape is SectionShape.FLAT_BOTTOMED else _dome(w, h, up=False)
    title = (
        f"Cut at the {station.name}: {station.width * 1e3:.1f} mm wide, back half "
        f"{station.back_half * 1e3:.1f} mm, belly half {station.belly_half * 1e3:.1f} mm."
    )
    box = f"{-half:.1f} {-half:.1f} {2 * half:.1f} {2 * half:.1f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="section" role="img" viewBox="{box}" '
        f"aria-label={quoteattr(title)}><title>{escape(title)}</title>"
        f'<path d="{_dome(w, b, up=True)}" fill="{hex_colour(back)}"/>'
        f'<path d="{lower}" fill="{hex_colour(belly)}"/>'
        f'<path d="M {-w:.2f} 0 H {w:.2f}" stroke="currentColor" stroke-width="1" '
        'stroke-dasharray="4 3" fill="none"/></svg>'
    )
