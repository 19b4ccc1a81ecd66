"""What a body of two plastics sends to the eye: light traced through its true shape, tabled."""

from partline.physics.response.body import Body
from partline.physics.response.grid import Grid
from partline.physics.response.places import FRACTIONS, Places, places_of
from partline.physics.response.table import EVERY, Columns, Response, ResponseTable
from partline.physics.response.tracing import Traced, trace

__all__ = [
    "EVERY",
    "FRACTIONS",
    "Body",
    "Columns",
    "Grid",
    "Places",
    "Response",
    "ResponseTable",
    "Traced",
    "places_of",
    "trace",
]
