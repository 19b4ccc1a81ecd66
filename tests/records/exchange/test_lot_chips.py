"""Stepped chips in a shelf's file: there and back, and every fault by its place."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import Invalid
from partline.materials.chip import Chip, LotChip, StepReading
from partline.materials.shelf import Shelf
from partline.records.exchange import read_bench, read_file, read_shelf, write_bench, write_shelf
from tests.process.bottles import bottle
from tests.process.shed import SHED

PEAT = """
[[colourant]]
name = "Peat"
lot = "A1"
clarity = "clear"

[[colourant.chip]]
lot = "A1"
date = 2026-03-01
loading = "3 drops"
steps = [
    { thickness = "1 mm", over_white = [85.6, -1.9, 12.4], over_black = [29.0, -0.8, 5.1] },
    { thickness = "4.05 mm", callipered = true, over_white = [70, 0, 36] },
]
"""
tenths = st.integers(-1200, 1200).map(lambda each: each / 10)
labs = st.tuples(st.integers(60, 1000).map(lambda each: each / 10), tenths, tenths)
steps = st.builds(
    StepReading,
    thickness=st.integers(2, 200).map(lambda each: each * 1e-4),
    is_callipered=st.booleans(),
    over_white=labs,
    over_black=st.none(),
)
chips = st.builds(
    LotChip,
    steps=st.lists(steps, min_size=1, max_size=6, unique_by=lambda each: each.thickness).map(
        lambda each: tuple(sorted(each, key=lambda step: step.thickness))
    ),
    doubt=st.integers(1, 100).map(lambda each: each / 10),
    shared_doubt=st.integers(0, 100).map(lambda each: each / 10),
    shared_black=st.integers(0, 100).map(lambda each: each / 10),
    lot=st.sampled_from(["", "A1", "R0417-A3"]),
    day=st.one_of(st.none(), st.dates(date(2020, 1, 1), date(2030, 1, 1))),
    chip=st.sampled_from([Chip(), Chip(drops=3.0), Chip(share=0.0025)]),
    photo=st.sampled_from(["", "ABC"]),
)


@given(st.lists(chips, max_size=3).map(tuple))
def test_chips_come_back_from_a_file_as_they_went_in(kept):
    shelf = Shelf(colourants=(bottle(chips=kept),))
    assert read_shelf(write_shelf(shelf)).colourants[0].chips == kept


def test_a_chip_is_read_with_what_nobody_said_left_to_defaults():
    (chip,) = read_shelf(PEAT).colourants[0].chips
    assert (chip.lot, chip.day, chip.chip) == ("A1", date(2026, 3, 1), Chip(drops=3.0))
    assert [step.is_callipered for step in chip.steps] == [False, True]
    assert chip.steps[1].over_black is None
    assert chip.count == 3
    assert (chip.doubt, chip.shared_doubt, chip.shared_black) == (1.0, 1.5, 1.5)


@pytest.mark.parametrize(
    ("written", "instead", "field", "words"),
    [
        ('"3 drops"', '"3 dr"', "colourant[0].chip[0].loading", "cannot be read as a loading"),
        ("[85.6, -1.9, 12.4]", "[85.6, -1.9]", "chip[0].steps[0].over_white", "2 numbers"),
        ("85.6", "856", "chip[0].steps[0].over_white", "0 to 100"),
        ("29.0,", "97.0,", "chip[0].steps[0].over_black", "lighter over black"),
        ('"4.05 mm"', '"1 mm"', "chip[0].steps", "equally thick"),
        ('"4.05 mm"', '"40 mm"', "chip[0].steps[1].thickness", "0.2 to 20 mm"),
        (", over_white = [70, 0, 36]", "", "chip[0].steps[1].over_white", "neither over white"),
        ('loading = "3', 'doubt = 0\nloading = "3', "chip[0].doubt", "0.1 to 20"),
        ("2026-03-01", '"March"', "chip[0].date", "must be a day"),
        ("callipered", "calipered", "chip[0].steps[1].calipered", "callipered"),
    ],
)
def test_what_is_wrong_is_said_with_its_place_and_a_remedy(written, instead, field, words):
    assert written in PEAT
    with pytest.raises(Invalid) as refused:
        read_shelf(PEAT.replace(written, instead, 1))
    problems = [each for each in refused.value.problems if each.field.endswith(field)]
    assert problems, [each.field for each in refused.value.problems]
    assert words in str(problems[0])


def test_the_strength_of_a_lot_without_a_chip_is_open_and_of_its_own_chip_is_not():
    own, other = read_shelf(PEAT), read_shelf(PEAT.replace('lot = "A1"', 'lot = "B2"', 1))
    assert own.colourants[0].lot_strength.is_exact
    assert not other.colourants[0].lot_strength.is_exact


def test_a_benchs_checks_come_back_from_its_file():
    text = read_file(SHED / "bench.toml") + (
        'offset = { value = "-1.5 K", low = "-2 K", high = "-1 K", origin = "measured", '
        "count = 5 }\n\n[scale]\nfactor = { value = 1.01, low = 1.0, high = 1.02 }\n"
    )
    bench = read_bench(text)
    assert bench.thermometer is not None
    assert bench.thermometer.offset is not None
    assert bench.thermometer.offset.value == -1.5
    assert bench.scale is not None
    assert read_bench(write_bench(bench)) == bench
