"""The first ten minutes: six plain answers become a shelf, a mould, a bench, a recipe, a plan."""

from partline.services.beginning.answers import Answers, Bottle
from partline.services.beginning.reading import read_answers
from partline.services.beginning.start import GOOD, begin

__all__ = ["GOOD", "Answers", "Bottle", "begin", "read_answers"]
