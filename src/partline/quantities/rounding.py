"""Numbers written with the digits that their range deserves, and no more."""

from __future__ import annotations

from math import floor, log10

#: Most decimals that are ever worth reading.
MOST = 6
#: Significant figures of a number without a range.
PLAIN = 3


def deserved_decimals(value: float, low: float, high: float) -> int:
    """Return how many decimals a number and its range are worth; −1 stands for whole tens.

    The last digit is the coarsest whose step is at most a quarter of the range: 88.8 (61.3 to
    140.2) is 90 (60 to 140), 15.1 (12.9 to 17.6) is 15 (13 to 18), and 3.45 (2.86 to 4.16) is
    3.4 (2.9 to 4.2).

    Parameters
    ----------
    value, low, high : float
        In one unit.
    """
    quarter = (high - low) / 4
    if quarter > 0:
        decimals = -floor(log10(quarter))
    else:
        decimals = PLAIN - 1 - floor(log10(abs(value))) if value else 0
    while decimals < MOST and low > 0 and round(low, decimals) <= 0:
        decimals += 1  # something is never told as nothing
    return min(decimals, MOST)


def with_decimals(value: float, decimals: int) -> str:
    """Write a number with so many decimals; fewer than none round to tens, hundreds, …"""
    return f"{round(value, decimals):.{max(decimals, 0)}f}"


def as_deserved(value: float, low: float, high: float) -> str:
    """Write a number with its range, such as "15 (13–18)"; alone where it has none.

    Parameters
    ----------
    value, low, high : float
        In one unit.
    """
    decimals = deserved_decimals(value, low, high)
    ends = f"{with_decimals(low, decimals)}–{with_decimals(high, decimals)}"
    told = with_decimals(value, decimals)
    return told if low == high else f"{told} ({ends})"
