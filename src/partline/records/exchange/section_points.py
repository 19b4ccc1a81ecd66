"""The outline of a section, point by point, there and back: one flank, the other its mirror.

Light and heat are followed through outlines without a hollow, so a hollow is refused and the
nearest point that makes none is named.
"""

from __future__ import annotations

import math
from itertools import pairwise

from partline.materials.mould import SectionPoint
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, write_amount
from partline.records.exchange.table import Table

ACROSS = Span(low=0, high=75, unit="mm", why="One flank is listed: the other is its mirror image.")
UP = Span(low=-40, high=40, unit="mm", why="It is above the line, or with a minus below it.")
FEWEST, MOST = 4, 60
#: A point this little inside the line between its neighbours makes no hollow: it and they are
#: read to a hundredth of a millimetre at best. [m]
SLACK = 15e-6
_ONE_FLANK = (
    "List the points from the highest down one flank to the lowest; the other flank is their "
    "mirror image."
)


def read_points(table: Table) -> tuple[SectionPoint, ...]:
    """Return the points of a station's outline; none if any of them cannot be used.

    Parameters
    ----------
    table : Table
        Of the station.
    """
    before = len(table.problems)
    tables = table.tables("points")
    for problem in table.problems[before:]:
        problem.remedy = 'Write each as { across = "3.1 mm", up = "3.4 mm" }.'
    name = f" of “{table.raw('name')}”" if table.raw("name") else ""
    for place, each in enumerate(tables, start=1):
        each.title = f"Point {place}{name}"
    points = tuple(
        SectionPoint(
            across=each.amount("across", Kind.LENGTH, ACROSS),
            up=each.amount("up", Kind.LENGTH, UP),
        )
        for each in tables
    )
    _check_count(table, len(points), name)
    if len(table.problems) == before:
        _check_way(tables, points)
    if len(table.problems) == before:
        _check_line(tables, points, name)
        _check_hollows(tables, points)
    return points if len(table.problems) == before else ()


def _check_count(table: Table, count: int, name: str) -> None:
    if count < FEWEST:
        points = "1 point" if count == 1 else f"{count} points"
        message = (
            f"The outline{name} has {points}; at least {FEWEST} are wanted: the highest, the "
            "lowest, and two on the flank between, or it says no more than an ellipse does."
        )
        table.refuse("points", message, "Add points where the flank bends.")
    elif count > MOST:
        message = f"The outline{name} has {count} points; at most {MOST} are read."
        table.refuse("points", message, "Keep those where the flank bends.")


def _check_way(tables: list[Table], points: tuple[SectionPoint, ...]) -> None:
    """Refuse a point that lies above the one before it, or on it."""
    for place, (before, here) in enumerate(pairwise(points), start=1):
        title = tables[place].title
        if here.up > before.up:
            message = (
                f"{title} lies {here.up * 1e3:.4g} mm up, above point {place} at "
                f"{before.up * 1e3:.4g} mm."
            )
            tables[place].refuse("up", message, _ONE_FLANK)
        elif here == before:
            message = f"{title} lies where point {place} does."
            tables[place].refuse("across", message, "Take one of the two away.")


def _check_line(tables: list[Table], points: tuple[SectionPoint, ...], name: str) -> None:
    """Refuse an outline that the line does not cut in two."""
    if points[-1].up < 0 < points[0].up:
        return
    side, last = ("above", -1) if points[0].up > 0 else ("below", 0)
    message = f"The outline{name} lies {side} the line with all of its points."
    remedy = "Measure up from the line where the halves meet; what lies below it has a minus."
    tables[last].refuse("up", message, remedy)


def _check_hollows(tables: list[Table], points: tuple[SectionPoint, ...]) -> None:
    """Refuse a point that lies inside the straight line between its neighbours."""
    for place in range(1, len(points) - 1):
        before, here, behind = points[place - 1 : place + 2]
        inside = _inside(before, here, behind)
        if inside <= SLACK:
            continue
        way = f"from point {place} to point {place + 2}"
        drop = before.up - behind.up
        message = (
            f"{tables[place].title} lies {inside * 1e3:.2g} mm inside the line {way}: the flank "
            "would be hollow there, and an outline is never hollow."
        )
        remedy = "Take it away."
        if drop > 0:
            share = (before.up - here.up) / drop
            # Rounded outwards: a hundredth less would be hollow again.
            least = math.ceil(
                (before.across + share * (behind.across - before.across)) * 1e5 - 1e-6
            )
            remedy = f"The nearest that would do is {least / 100:.10g} mm across; or take it away."
        tables[place].refuse("across", message, remedy)


def _inside(before: SectionPoint, here: SectionPoint, behind: SectionPoint) -> float:
    """Return how far a point lies inside the line between its neighbours; below 0 outside. [m]"""
    across, down = behind.across - before.across, before.up - behind.up
    x, y = here.across - before.across, before.up - here.up
    reach = math.hypot(across, down)
    # There and back on a level stretch is caught at the point where it turns down.
    if reach == 0:
        return 0.0
    return (across * y - down * x) / reach


def write_points(points: tuple[SectionPoint, ...]) -> list[dict[str, str]]:
    """Return an outline's points as a document lists them."""
    return [
        {
            "across": write_amount(point.across, "mm", Kind.LENGTH),
            "up": write_amount(point.up, "mm", Kind.LENGTH),
        }
        for point in points
    ]
