"""Light in stacks of layers: what a pour of two colours looks like in the flat.

Make a `Scene`, ask `slab_solver` for its `SlabSolver`, decompose media once with
`SlabSolver.media`, then ask for as many stacks and thicknesses as you like.
"""

from partline.physics.layered_media.internal_field import InternalField, internal_field
from partline.physics.layered_media.results import SlabLight, StackReflectance
from partline.physics.layered_media.scene import Scene
from partline.physics.layered_media.solver import Media, SlabSolver, slab_solver
from partline.physics.layered_media.warm import is_compiled, warm_up

__all__ = [
    "InternalField",
    "Media",
    "Scene",
    "SlabLight",
    "SlabSolver",
    "StackReflectance",
    "internal_field",
    "is_compiled",
    "slab_solver",
    "warm_up",
]
