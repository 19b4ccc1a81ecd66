"""The response tables of usual sections that come with the program."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

from partline.physics.response import Body, Grid, Places, ResponseTable
from partline.physics.response.making import Making
from partline.physics.response.sections import (
    ReadyKinds,
    SectionedResponse,
    SectionKind,
    mixtures_of,
)
from partline.records.response_files import from_bytes

#: Fused plastic in air and in water: the index of the one over that of the other. [-]
IN_AIR, IN_WATER = 1.494, 1.12
#: Heights below the line that flat bottoms are tabled at, in half widths. [-]
BOXES = (0.4, 0.7, 1.0, 1.5)
#: Kinds of section in air and in water; half ellipses stand close where the other half begins to
#: show through from the side.
KINDS = {
    IN_AIR: ReadyKinds(domes=(0.35, 0.5, 0.65, 0.8, 0.84, 0.88, 1.0, 1.4, 2.2), boxes=BOXES),
    IN_WATER: ReadyKinds(domes=(0.35, 0.45, 0.49, 0.53, 0.75, 1.0, 1.4, 2.2), boxes=BOXES),
}
#: How the ready tables are made; fewer dimensions than a mould's own, to stay small.
READY = {index: Making(index=index, passes=(240,), rank=20, grid=Grid()) for index in KINDS}
FOLDER = "tables/responses"


def file_name(kind: SectionKind, index: float) -> str:
    """Return the name of a ready table's file."""
    shape = "boxed" if kind.boxed else "domed"
    return f"{index:.3f}-{shape}-{kind.above:.2f}-{kind.below:.2f}.npz"


@lru_cache(maxsize=64)
def ready_table(kind: SectionKind, index: float) -> ResponseTable | None:
    """Return the table of one kind that is traced; None where there is none, or a damaged one.

    Parameters
    ----------
    kind : SectionKind
        One of `KINDS[index].traced`.
    index : float
        `IN_AIR` or `IN_WATER`. [-]
    """
    path = files("partline.data").joinpath(FOLDER, file_name(kind, index))
    return from_bytes(path.read_bytes(), kind.body) if path.is_file() else None


def ready_response(body: Body, places: Places, index: float) -> SectionedResponse | None:
    """Return a body put together from ready tables; None where one of them is missing.

    Parameters
    ----------
    body : Body
        Whatever shape.
    places : Places
        Its lines of sight, from the angles of `READY`.
    index : float
        `IN_AIR` or `IN_WATER`. [-]
    """
    mixtures = mixtures_of(body, places, KINDS[index])
    tables: dict[SectionKind, ResponseTable] = {}
    for kind in {kind.upright for mixture in mixtures for kind in mixture}:
        table = ready_table(kind, index)
        if table is None:
            return None
        tables[kind] = table
    return SectionedResponse(body=body, places=places, mixtures=mixtures, tables=tables)
