"""Packaged tables are read by name, and a broken one is refused."""

import pytest

from partline.data.loader import rows
from partline.errors import DataError


def test_notes_are_left_out_and_cells_keep_their_text():
    first = rows("cie_015_2018_d65.csv")[0]
    assert first == {"wavelength_nm": "400", "power": "82.7549"}


def test_an_unknown_table_is_refused_by_name():
    with pytest.raises(DataError, match=r"no-such-table\.csv"):
        rows("no-such-table.csv")
