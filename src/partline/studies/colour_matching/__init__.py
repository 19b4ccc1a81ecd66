"""Drops for a wanted look: from a colour, or another bait's look, to recipes that can be poured.

Ask `match_look` of a `Bait` for `WantedLook`s within `Limits`; the `Models` of light are handed
in, and are slabs of the widest station when they are not.
"""

from partline.studies.colour_matching.answer import (
    Bait,
    Dose,
    Match,
    MatchedSide,
    Matching,
    look_like,
    match_look,
)
from partline.studies.colour_matching.colours import Colours, Models, SlabColours, slab_models
from partline.studies.colour_matching.limits import Limits
from partline.studies.colour_matching.reach import Help, Reach
from partline.studies.colour_matching.wanted import ROUGH, WantedLook

__all__ = [
    "ROUGH",
    "Bait",
    "Colours",
    "Dose",
    "Help",
    "Limits",
    "Match",
    "MatchedSide",
    "Matching",
    "Models",
    "Reach",
    "SlabColours",
    "WantedLook",
    "look_like",
    "match_look",
    "slab_models",
]
