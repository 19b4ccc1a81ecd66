"""The countdown to the start and the stop of a pour, as a posterior with a range.

Every reading since the cup came off the heat goes into what is known of its temperature and its
time constant. The thermometer's absolute error does not: the working band is read with the same
thermometer, so that it cancels.
"""

from partline.studies.countdown.counting import Countdown, countdown, history_of
from partline.studies.countdown.emptying import Schedule, ShotsLeft
from partline.studies.countdown.events import Addition, Draw, Reading
from partline.studies.countdown.history import LEFT_ALONE, CupHistory
from partline.studies.countdown.next_reading import NextReading
from partline.studies.countdown.pair import Band, Match, Pair, Slot
from partline.studies.countdown.questioned import Doubt, Meant, doubt

__all__ = [
    "LEFT_ALONE",
    "Addition",
    "Band",
    "Countdown",
    "CupHistory",
    "Doubt",
    "Draw",
    "Match",
    "Meant",
    "NextReading",
    "Pair",
    "Reading",
    "Schedule",
    "ShotsLeft",
    "Slot",
    "countdown",
    "doubt",
    "history_of",
]
