"""Drops for a wanted look: what a maker types, and the answer in their units."""

from partline.services.matching.answer import MatchAnswer, match_recipe, matching_as_json
from partline.services.matching.keeping import fields_of_match, keep_match, version_note
from partline.services.matching.wish import Wish, read_colour

__all__ = [
    "MatchAnswer",
    "Wish",
    "fields_of_match",
    "keep_match",
    "match_recipe",
    "matching_as_json",
    "read_colour",
    "version_note",
]
