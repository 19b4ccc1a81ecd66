"""A class at one bench: a card for each group, results without names, baits to diagnose."""

from partline.services.classes.exercise import compared, exercise
from partline.services.classes.groups import begin_class, class_cards, listed_classes
from partline.services.classes.results import class_results, results_csv
from partline.services.classes.rules import bench_rules

__all__ = [
    "begin_class",
    "bench_rules",
    "class_cards",
    "class_results",
    "compared",
    "exercise",
    "listed_classes",
    "results_csv",
]
