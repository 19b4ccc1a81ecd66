"""A simulated bench with hidden workings of its own: to practise on, and to test forecasts with.

A cup is a column of layers that exchange heat by a sluggish churn, in a glass of which the wet
part leans on them and the dry part hangs on the wet. Its losses bend with temperature, a skin
forms on top and is stirred in, the stirrer is cold, the thermometer is mis-set, drifts, lags and
rounds. Nothing here is the law that forecasts are made with.
"""

from partline.process.practice_bench.bench import PracticeBench, new_bench
from partline.process.practice_bench.handling import poured, stirred
from partline.process.practice_bench.hidden import Hidden, drawn
from partline.process.practice_bench.melt import Melt, advanced, filled, stored_heat

__all__ = [
    "Hidden",
    "Melt",
    "PracticeBench",
    "advanced",
    "drawn",
    "filled",
    "new_bench",
    "poured",
    "stirred",
    "stored_heat",
]
