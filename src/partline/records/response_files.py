"""Response tables as files: ready ones that come with the program, and a cache by content."""

from __future__ import annotations

import io
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import BinaryIO
from zipfile import BadZipFile

import numpy as np
from platformdirs import user_cache_path

from partline.physics.response import Body, Grid, ResponseTable, Traced
from partline.physics.response.making import Making

#: Layout of the files; one of another layout is made again.
LAYOUT = 2
#: Scores are kept in steps of this share of the table's standard error, which nobody can see. [-]
STEP = 0.5
#: Axes of the nodes, behind that of the scores.
NODES = (1, 2, 3, 4)
#: Longest that a claim may stand without its process's number. [s]
WRITING = 10.0


def to_bytes(table: ResponseTable) -> bytes:
    """Return a table as the bytes of a file.

    Scores are smooth from node to node, so what is written is by how much each differs from what
    its neighbours let expect: numbers near zero, which compress to a third.
    """
    step = max(STEP * table.error, 1e-6)
    bends = np.moveaxis(np.rint(table.scores / step).astype(np.int32), -1, 0)
    for axis in NODES:
        bends = np.diff(bends, axis=axis, prepend=0)
    is_short = np.abs(bends).max() < np.iinfo(np.int16).max
    buffer = io.BytesIO()
    np.savez_compressed(
        buffer,
        layout=LAYOUT,
        mean=table.mean.astype(np.float32),
        base=table.base.astype(np.float32),
        step=step,
        bends=bends.astype(np.int16) if is_short else bends,
        error=table.error,
        paths=table.paths,
        index=table.index,
        along=len(table.places.positions),
        angles=table.places.angles,
        grid=np.array(list(asdict(table.grid).values()), dtype=float),
    )
    return buffer.getvalue()


def from_bytes(content: bytes, body: Body) -> ResponseTable | None:
    """Return the table of a body from the bytes of a file; None when they are no such table."""
    try:
        with np.load(io.BytesIO(content)) as kept:
            if int(kept["layout"]) != LAYOUT:
                return None
            grid = kept["grid"]
            steps = kept["bends"]
            for axis in NODES:
                steps = steps.cumsum(axis=axis, dtype=np.int32)
            making = Making(
                index=float(kept["index"]),
                along=int(kept["along"]),
                angles=tuple(map(float, kept["angles"])),
                grid=Grid(
                    scattering=int(grid[0]),
                    absorption=int(grid[1]),
                    least_scattering=float(grid[2]),
                    least_absorption=float(grid[3]),
                    most_scattering=float(grid[4]),
                    most_absorption=float(grid[5]),
                ),
            )
            return ResponseTable(
                places=making.places(body),
                index=making.index,
                grid=making.grid,
                mean=kept["mean"],
                base=kept["base"],
                scores=np.moveaxis(steps * kept["step"], 0, -1).astype(np.float32),
                error=float(kept["error"]),
                paths=int(kept["paths"]),
            )
    except (OSError, ValueError, KeyError, EOFError, BadZipFile):
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseCache:
    """Tables kept on this machine, named by what they were made of.

    Any number of processes may use one folder: a file is written beside its place and moved
    there whole. Whatever is in the folder can be made again, so it may be deleted at any time.

    Parameters
    ----------
    folder : Path
        The user's cache, or wherever asked.
    """

    folder: Path

    @staticmethod
    def usual() -> ResponseCache:
        """Return the cache in the platform's folder, or where PARTLINE_TABLES says."""
        asked = os.environ.get("PARTLINE_TABLES")
        folder = Path(asked) if asked else user_cache_path("partline", appauthor=False) / "tables"
        return ResponseCache(folder=folder)

    def find(self, key: str, body: Body) -> ResponseTable | None:
        """Return a table, or None; a damaged file counts as none and is taken away."""
        path = self._path(key)
        try:
            content = path.read_bytes()
        except OSError:
            return None
        table = from_bytes(content, body)
        if table is None:
            with suppress(OSError):
                path.unlink()
        return table

    def keep(self, key: str, table: ResponseTable) -> bool:
        """Keep a table; False when the folder cannot be written."""
        content = to_bytes(table)
        return self._write(self._path(key), lambda file: file.write(content))

    def find_passes(self, key: str) -> tuple[int, Traced] | None:
        """Return how many passes of an unfinished table were kept, and what they traced."""
        try:
            with self._passes(key).open("rb") as file, np.load(file) as kept:
                traced = Traced(
                    light=kept["light"], paths=int(kept["paths"]), lost=int(kept["lost"])
                )
                return int(kept["passes"]), traced
        except (OSError, ValueError, KeyError, EOFError, BadZipFile):
            return None

    def keep_passes(self, key: str, passes: int, traced: Traced) -> bool:
        """Keep what an unfinished table has traced so far."""

        def fill(file: BinaryIO) -> None:
            np.savez(file, light=traced.light, paths=traced.paths, lost=traced.lost, passes=passes)

        return self._write(self._passes(key), fill)

    def forget_passes(self, key: str) -> None:
        """Take away what an unfinished table has traced."""
        with suppress(OSError):
            self._passes(key).unlink()

    @contextmanager
    def claimed(self, key: str) -> Iterator[bool]:
        """Whether this process alone makes the table; a claim of a dead process is taken over."""
        path = self.folder / f"{key}.claim"
        mine = self._claim(path)
        try:
            yield mine
        finally:
            if mine:
                with suppress(OSError):
                    path.unlink()

    def _claim(self, path: Path) -> bool:
        for _ in range(2):
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                with path.open("x") as file:
                    file.write(str(os.getpid()))
            except FileExistsError:
                if _is_alive(path):
                    return False
                with suppress(OSError):
                    path.unlink()
            except OSError:
                return True  # a folder that cannot be written is shared with nobody
            else:
                return True
        return False

    def _path(self, key: str) -> Path:
        return self.folder / f"{key}.npz"

    def _passes(self, key: str) -> Path:
        return self.folder / f"{key}.passes.npz"

    def _write(self, path: Path, fill: Callable[[BinaryIO], object]) -> bool:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.stem)
            with os.fdopen(handle, "wb") as file:
                fill(file)
            Path(name).replace(path)
        except OSError:
            return False
        return True


def _is_alive(path: Path) -> bool:
    try:
        text = path.read_text()
        if not text:  # opened a moment ago, its number not yet written
            return time.time() - path.stat().st_mtime < WRITING
        os.kill(int(text), 0)
    except (ValueError, ProcessLookupError, FileNotFoundError):
        return False
    except OSError:
        return True
    return True
