"""CIEDE2000 against the pairs made to break implementations."""

import csv
from pathlib import Path

import numpy as np
import pytest

from partline.physics.colour_difference import ciede2000

TABLE = Path(__file__).parent / "tables" / "sharma_2005_ciede2000.csv"
# The table prints four decimals, so half of the last one; the formula has nothing else to lose.
PRINTED = 5e-5


def _pairs():
    with TABLE.open(encoding="utf-8") as file:
        rows = [[float(cell) for cell in row.values()] for row in csv.DictReader(file)]
    table = np.array(rows)
    return table[:, 1:4], table[:, 4:7], table[:, 7]


@pytest.mark.published(
    law="CIEDE2000",
    source="Sharma, Wu, Dalal, Color Res. Appl. 30 (2005) 21",
    where="Table 1, all 34 pairs, both ways round",
)
def test_all_pairs_of_the_published_table_are_met(deviation):
    first, second, printed = _pairs()
    assert len(printed) == 34
    worst = max(
        np.abs(ciede2000(first, second) - printed).max(),
        np.abs(ciede2000(second, first) - printed).max(),
    )
    deviation(worst)
    assert worst < PRINTED
