"""Compile or load the kernels before somebody waits for them."""

from __future__ import annotations

from partline.numerics.compiled import has_machine_code
from partline.physics.layered_media import kernel
from partline.physics.layered_media.scene import Scene
from partline.physics.layered_media.solver import slab_solver


def is_compiled() -> bool:
    """Return whether the first picture comes at once, or after some ten seconds of compiling."""
    return has_machine_code(kernel.__file__)


def warm_up() -> None:
    """Solve one small stack, so that every kernel is compiled (once a machine) and loaded.

    Takes half a second from the cache, and ten seconds or more the first time. The kernels run
    without the interpreter's lock, but compiling does not: call it in a background thread when a
    server starts, and when a worker process starts. Left out is `SlabSolver.slab`, which only
    checks and measurements of single layers need.
    """
    solver = slab_solver(Scene(nodes=2))
    media = solver.media([[1.0], [10.0]], [[10.0], [100.0]])
    solver.reflectance(media, [[0, 1]], [[1e-3, 1e-3]])
