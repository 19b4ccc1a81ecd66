"""Tracing of all lines of sight of a body, in passes that can be stopped and gone on with."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.physics.response.body import Body
from partline.physics.response.grid import Grid, tabled_anisotropy, tabled_scattering
from partline.physics.response.kernel import respond
from partline.physics.response.places import Places, eye

Floats = NDArray[np.floating]

#: Independent halves that every trace is kept in, so that its error can be told.
BATCHES = 2
#: Reduced scattering above which a pass follows fewer paths, which are longer there. [-]
DENSE = 60.0
#: Fewest paths of a batch.
FEWEST = 8
#: Mean light is kept in half precision: 11 bits, finer than chance leaves it, at half the memory.
KEPT = np.float16


@dataclass(frozen=True, kw_only=True, eq=False)
class Traced:
    """Mean light of every line of sight between every pair of nodes.

    Parameters
    ----------
    light : ndarray, shape (batches, columns, lights, scattering², absorption²)
        Of an all-round light of 1 from the eye's half space, and from the one behind. [-]
    paths : int
        Paths a batch that a pair of thin media was followed with.
    lost : int
        Paths given up.
    """

    light: Floats
    paths: int
    lost: int

    def mirrored(self, places: Places) -> Traced:
        """Return the same for a body that is alike above and below its line.

        What is seen of it from below is what is seen from above with the media exchanged, so
        each of the two is the mean of both.

        Parameters
        ----------
        places : Places
            Its lines of sight.

        Returns
        -------
        traced : Traced
            The mean of both.
        """
        n = round(self.light.shape[3] ** 0.5)
        m = round(self.light.shape[4] ** 0.5)
        shape = (*self.light.shape[1:3], n, n, m, m)
        view, along, half, fraction = places.columns.T
        twin = places.number[len(places.angles) - 1 - view, along, 1 - half, fraction]
        light = np.empty_like(self.light)
        for batch, own in enumerate(self.light):  # one after the other, for the sake of memory
            exchanged = own.reshape(shape)[twin].transpose(0, 1, 3, 2, 5, 4)
            light[batch] = (own + exchanged.reshape(own.shape).astype(np.float32)) / 2
        return Traced(light=light, paths=self.paths, lost=self.lost)

    def joined(self, other: Traced) -> Traced:
        """Return the mean of two traces, each with the weight of its paths.

        Parameters
        ----------
        other : Traced
            Of the same body and nodes, from other seeds.

        Returns
        -------
        traced : Traced
            As of one trace with the paths of both.
        """
        total = self.paths + other.paths
        own, new = np.float32(self.paths / total), np.float32(other.paths / total)
        light = np.empty_like(self.light)
        for batch in range(len(light)):
            light[batch] = own * self.light[batch] + new * other.light[batch]
        return Traced(light=light, paths=total, lost=self.lost + other.lost)


def paths_of(grid: Grid, paths: int) -> NDArray[np.int64]:
    """Return how many paths each pair of scattering nodes is followed with, shape (n, n)."""
    nodes = grid.scattering_nodes
    denser = np.maximum(nodes[:, None], nodes[None, :])
    share = np.sqrt(np.minimum(DENSE / np.maximum(denser, 1e-9), 1.0))
    return np.maximum(np.rint(paths * share), FEWEST).astype(np.int64)


def trace(
    body: Body,
    places: Places,
    *,
    index: float,
    grid: Grid,
    paths: int,
    seed: int,
    workers: int = 1,
    step: Callable[[float], bool] | None = None,
) -> Traced | None:
    """Trace one pass.

    Parameters
    ----------
    body : Body
        Whatever shape.
    places : Places
        Its lines of sight.
    index : float
        Refractive index of the body against what is around it. [-]
    grid : Grid
        Nodes of scattering and absorption.
    paths : int
        Paths a batch for thin media; dense ones get fewer.
    seed : int
        Of the pass; the same seed gives the same table, whatever the number of workers.
    workers : int
        Threads.
    step : callable, optional
        Told the share done; the trace is given up when it returns False.

    Returns
    -------
    traced : Traced or None
        None when given up.
    """
    columns = places.columns
    n, m = grid.scattering, grid.absorption
    light = np.empty((BATCHES, len(columns), 2, n * n, m * m), dtype=KEPT)
    counts = paths_of(grid, paths)

    def one(number: int) -> int:
        view, place, half, fraction = columns[number]
        out = np.empty((BATCHES, 2, n, n, m, m))
        lost = respond(
            body.skin,
            places.starts[view, place, half, fraction],
            eye(places.angles[view]),
            index,
            tabled_scattering(grid.scattering_nodes),
            tabled_anisotropy(grid.scattering_nodes),
            grid.absorption_nodes,
            counts,
            (seed << 24) + number,
            out,
        )
        light[:, number] = out.reshape(BATCHES, 2, n * n, m * m)
        return lost

    lost = _run(one, len(columns), workers, step)
    return None if lost is None else Traced(light=light, paths=paths, lost=lost)


def _run(
    one: Callable[[int], int], count: int, workers: int, step: Callable[[float], bool] | None
) -> int | None:
    lost, done, asked = 0, 0, 0
    with ThreadPoolExecutor(workers) as pool:
        running: set[Future[int]] = set()
        while done < count:
            while asked < count and len(running) < 2 * workers:
                running.add(pool.submit(one, asked))
                asked += 1
            finished, running = wait(running, return_when=FIRST_COMPLETED)
            lost += sum(each.result() for each in finished)
            done += len(finished)
            if step is not None and not step(done / count):
                return None
    return lost
