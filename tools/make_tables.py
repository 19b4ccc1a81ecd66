"""Remake the ready response tables in src/partline/data/tables/responses, about an hour a core.

    .venv/bin/python tools/make_tables.py [air|water] [--missing]

Each table is an endless section of one kind, traced with the seeds and paths of
`partline.records.ready_tables.READY`; the same command gives the same files. With `--missing`
only those that are not there.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

from partline.records.ready_tables import FOLDER, IN_AIR, IN_WATER, KINDS, READY, file_name
from partline.records.response_files import to_bytes

DATA = Path(__file__).parents[1] / "src" / "partline" / "data"


def main() -> None:
    """Make every table that is asked for."""
    wanted = {"air": [IN_AIR], "water": [IN_WATER]}.get(
        sys.argv[1] if len(sys.argv) > 1 else "", [IN_AIR, IN_WATER]
    )
    folder = DATA / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    for index in wanted:
        for kind in KINDS[index].traced:
            path = folder / file_name(kind, index)
            if path.exists() and "--missing" in sys.argv:
                continue
            begun = time.perf_counter()
            making = READY[index]
            places = making.places(kind.body)
            traced = making.one_pass(kind.body, places, 0, workers=os.cpu_count() or 1)
            assert traced is not None
            table = making.table(kind.body, places, traced)
            path.write_bytes(to_bytes(table))
            print(
                f"{path.name}: error {table.error:.4f}, {path.stat().st_size // 1024} kB, "
                f"{time.perf_counter() - begun:.0f} s",
                flush=True,
            )


if __name__ == "__main__":
    main()
