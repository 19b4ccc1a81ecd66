"""Slab solver: solves a second on one core, against iadpython in the same run, and its errors.

One solve is one stack of two layers at one wavelength. The reference solves one layer at a time
and has no batches: its figure is for *one* layer with surfaces, at as many points. Its linear
algebra is held to one thread: on matrices this small more of them only wait for each other.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from functools import partial

import iadpython
import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.physics.colorimetry import reflectance_to_xyz, xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.physics.layered_media import Scene, slab_solver, warm_up

Floats = NDArray[np.floating]
STACKS, COUNT = 128, len(WAVELENGTHS)
# Set in the issue: N = 4 to search, N = 8 for numbers.
GOALS = {4: 600e3, 8: 80e3}


def fastest(work: Callable[[], object], repeats: int = 7) -> float:
    """Time the fastest of several runs, in seconds of this thread."""
    times = []
    for _ in range(repeats):
        start = time.thread_time()
        work()
        times.append(time.thread_time() - start)
    return min(times)


def random_media(count: int) -> tuple[Floats, Floats, Floats]:
    """Invent media from clear dye to dense white: absorption, scattering [1/m], anisotropy."""
    rng = np.random.default_rng(7)
    relative = WAVELENGTHS / 550e-9
    centre, width = rng.uniform(420e-9, 680e-9, (count, 1)), rng.uniform(20e-9, 70e-9, (count, 1))
    band = np.exp(-0.5 * ((WAVELENGTHS - centre) / width) ** 2)
    absorption = 2.5 * relative**-1.2 + 10 ** rng.uniform(1, 3, (count, 1)) * band
    scattering = 20 * relative**-0.5 + 10 ** rng.uniform(0, 3.8, (count, 1)) * relative**-0.9
    return absorption, scattering, np.broadcast_to(rng.uniform(0.55, 0.85, (count, 1)), band.shape)


def main() -> None:
    """Print the tables."""
    warm_up()
    absorption, scattering, anisotropy = random_media(2 * STACKS)
    thickness = np.random.default_rng(8).uniform(0.5e-3, 6e-3, (STACKS, 2))
    pairs = np.arange(2 * STACKS).reshape(STACKS, 2)

    def looks(nodes: int) -> Floats:
        solver = slab_solver(Scene(nodes=nodes))
        media = solver.media(absorption, scattering, anisotropy=anisotropy)
        return solver.reflectance(media, pairs, thickness, 0.4).normal

    def colours(nodes: int) -> Floats:
        return xyz_to_lab(reflectance_to_xyz(looks(nodes)))

    exact = colours(48)
    print("every stack with two media of its own; iadpython solves one layer")
    print("  N   solves/s       goal  iadpython   ratio    ΔE00 median    95 %   worst")
    for nodes in (4, 8, 16):
        rate = STACKS * COUNT / fastest(partial(looks, nodes))
        theirs = 1 / fastest(partial(_reference, nodes))
        goal = f"{GOALS[nodes]:,.0f}" if nodes in GOALS else "–"
        errors = np.quantile(ciede2000(colours(nodes), exact), [0.5, 0.95, 1])
        figures = "".join(f"{error:8.3f}" for error in errors)
        print(
            f"{nodes:3}{rate:11,.0f}{goal:>11}{theirs:11,.0f}{rate / theirs:8,.0f}       {figures}"
        )

    print("\na picture: 512 stacks of the same two media, 31 wavelengths")
    print("  N   decompose ms   picture ms   solves/s")
    order, depth = np.tile([0, 1], (512, 1)), np.resize(thickness, (512, 2))
    for nodes in (4, 8, 16):
        solver = slab_solver(Scene(nodes=nodes))
        decompose = partial(
            solver.media, absorption[:2], scattering[:2], anisotropy=anisotropy[:2]
        )
        first = fastest(decompose)
        second = fastest(partial(solver.reflectance, decompose(), order, depth, 0.4))
        print(f"{nodes:3}{first * 1e3:15.2f}{second * 1e3:13.2f}{512 * COUNT / second:11,.0f}")


def _reference(nodes: int) -> object:
    return iadpython.Sample(
        a=0.95, b=5.0, g=0.7, n=1.494, n_above=1, n_below=1, quad_pts=nodes
    ).rt()


if __name__ == "__main__":
    if os.environ.get("OPENBLAS_NUM_THREADS") != "1":  # read once, when the library is loaded
        os.environ["OPENBLAS_NUM_THREADS"] = "1"
        os.execv(sys.executable, [sys.executable, *sys.orig_argv[1:]])
    main()
