"""The response tables of usual sections that come with the program."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from itertools import product

from partline.physics.response import Grid, ResponseTable
from partline.physics.response.making import Making
from partline.physics.response.sections import SectionKind
from partline.records.response_files import from_bytes

#: Kinds of section, a full grid.
ASPECTS, SPLITS, BOXED = (0.45, 0.7, 1.0, 1.4), (0.3, 0.5, 0.7), (0.0, 1.0)
KINDS = tuple(
    SectionKind(aspect=aspect, split=split, boxed=boxed)
    for aspect, split, boxed in product(ASPECTS, SPLITS, BOXED)
)
#: Fused plastic in air and in water: the index of the one over that of the other. [-]
IN_AIR, IN_WATER = 1.494, 1.12
#: How the ready tables are made; fewer nodes and dimensions than a mould's own, to stay small.
READY = {
    index: Making(
        index=index,
        passes=(300,),
        rank=20,
        grid=Grid(scattering=9, absorption=11, least_scattering=0.03),
    )
    for index in (IN_AIR, IN_WATER)
}
FOLDER = "tables/responses"


def file_name(kind: SectionKind, index: float) -> str:
    """Return the name of a ready table's file."""
    return f"{index:.3f}-{kind.aspect:.2f}-{kind.split:.2f}-{kind.boxed:.0f}.npz"


@lru_cache(maxsize=4)
def ready_tables(index: float) -> dict[SectionKind, ResponseTable]:
    """Return the ready tables for an index; none where one of them is missing.

    Parameters
    ----------
    index : float
        `IN_AIR` or `IN_WATER`. [-]
    """
    found: dict[SectionKind, ResponseTable] = {}
    for kind in KINDS:
        path = files("partline.data").joinpath(FOLDER, file_name(kind, index))
        if not path.is_file():
            return {}
        table = from_bytes(path.read_bytes(), kind.body)
        if table is None:
            return {}
        found[kind] = table
    return found
