"""Making ready: every kernel compiled (once a machine) and loaded before anybody waits for it."""

from __future__ import annotations

import numpy as np

from partline.physics.layered_media import is_compiled as solver_is_compiled
from partline.physics.layered_media import warm_up as warm_up_solver
from partline.physics.response import Body, Grid, places_of, trace
from partline.records.exchange import read_file, read_mould, read_recipe, read_shelf
from partline.services.look import draw_scene, preview_look
from partline.services.scene import Scene
from partline.services.workshop import examples


def is_compiled() -> bool:
    """Return whether the kernels behind a look were compiled on this machine before."""
    return solver_is_compiled()


def warm_up() -> None:
    """Draw one bait with flake in it, and trace a few paths.

    Takes two seconds from the cache, and half a minute the first time on a machine. Call it in a
    process or a thread of its own: compiling holds the interpreter.
    """
    warm_up_solver()
    shed = examples() / "vessary-shed"
    recipe = read_recipe(read_file(shed / "recipes" / "peat-over-chalk-1.toml"))
    mould = read_mould(read_file(shed / "moulds" / "reed-130.toml"))
    shelf = read_shelf(read_file(shed / "shelf.toml"))
    draw_scene(recipe, mould, shelf, Scene())
    preview_look(recipe, mould, shelf, draws=2)
    body = Body.straight(1e-3, 1e-3, 1e-3)
    trace(
        body, places_of(body, np.zeros(1), 1), index=1.5,
        grid=Grid(scattering=4, absorption=4), paths=1, seed=0,
    )  # fmt: skip
