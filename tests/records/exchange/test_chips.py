"""Bottles without instruments and doubtful stations in a file: there, back, and refused."""

from __future__ import annotations

import pytest

from partline.errors import Invalid
from partline.materials.chip import Chip, HidingReading, PatchReading
from partline.quantities.estimate import Origin
from partline.records.exchange import read_mould, read_shelf, write_mould, write_shelf

FULL = """
[[colourant]]
name = "Mud"
clarity = "clear"
patch = { colour = "#7a5a2b", loading = "3 drops", thickness = "2 mm" }
hiding = { value = 0.60, loading = "0.09 g", thickness = "1.5 mm" }
"""
MOULD = """
name = "stub"
cavities = 2
bait_mass = "4 g"
sprue_mass = "2 g"
length = "60 mm"
[[stations]]
name = "belly"
position = 0.4
shape = "round"
width = "8 mm"
back_half = "4 mm"
belly_half = "4 mm"
origin = "default"
doubt = "25 %"
"""


def bottle(text: str):
    return read_shelf(text).colourants[0]


def test_a_bottle_without_spectra_is_read_with_its_chip():
    mud = bottle(FULL)
    assert not mud.is_measured
    assert mud.optics is None
    assert mud.optics_origin is Origin.DEFAULT
    chip = Chip(drops=3.0, thickness=2e-3)
    assert mud.patch == PatchReading(srgb=(0x7A, 0x5A, 0x2B), chip=chip)
    assert mud.hiding == HidingReading(value=0.6, chip=Chip(share=0.0009, thickness=1.5e-3))
    assert mud.strength.is_exact  # its readings are of this very lot


def test_a_drop_that_nobody_weighed_is_a_default_that_says_what_would_replace_it():
    drop = bottle(FULL).drop_mass
    assert (drop.low, drop.value, drop.high) == (20e-6, 30e-6, 45e-6)
    assert drop.origin is Origin.DEFAULT
    assert drop.narrows == "weigh 50 drops"


@pytest.mark.parametrize(
    "lines",
    [
        "",
        'patch = "#7a5a2b"',
        'patch = "#FFF"',
        "hiding = 0.6",
        "hiding = 1",
        'patch = { lab = [40, 12.5, -25], thickness = "2 mm" }',
        'patch = { colour = "#7a5a2b", loading = "1 drop" }',
        'hiding = { value = 0, loading = "0.1 g" }',
        'guesses = ["clarity"]\nhiding = { value = 0.25, thickness = "0.75 mm" }',
        'drop = { value = "31 mg", low = "30 mg", high = "32 mg", count = 9 }',
        'patch = "#7a5a2b"\nper = "g in 100 g"\nabsorption = [{ shape = "level", height = 2 }]',
    ],
)
def test_every_way_to_enter_a_bottle_comes_back_the_same(lines):
    text = f'[[colourant]]\nname = "Mud"\nclarity = "pearl"\n{lines}\n'
    shelf = read_shelf(text)
    assert read_shelf(write_shelf(shelf)) == shelf


def test_measured_spectra_win_over_a_patch_that_is_kept():
    text = FULL + 'per = "g in 100 g"\nabsorption = [{ shape = "level", height = 2 }]\n'
    mud = bottle(text)
    assert mud.is_measured
    assert mud.patch is not None


@pytest.mark.parametrize(
    ("old", "new", "field", "words"),
    [
        ('"#7a5a2b"', '"brown"', "patch.colour", "#7a5a2b"),
        ('colour = "#7a5a2b"', "lab = [40, 12]", "patch.lab", "L*, a* and b*"),
        ('colour = "#7a5a2b"', "lab = [140, 12, 5]", "patch.lab", "0 to 100"),
        ('colour = "#7a5a2b"', 'lab = ["a", 1, 2]', "patch.lab", "must be a number"),
        ('colour = "#7a5a2b"', 'colour = "#7a5a2b", lab = [1, 2, 3]', "patch.lab", "Keep one"),
        ("0.60", "1.6", "hiding.value", "0 to 1"),
        ("0.60", '"60"', "hiding.value", "0 to 1"),
        ('"3 drops"', '"0 drops"', "patch.loading", "says nothing"),
        ('"3 drops"', '"3"', "patch.loading", "3 drops per 100 g"),
        ('"2 mm"', '"2"', "patch.thickness", "2 mm"),
        ('"2 mm"', '"2 m"', "patch.thickness", "Write “2 mm”"),
        ("hiding = {", "hidding = {", "hidding", "hiding"),
        ('clarity = "clear"', 'clarity = "clear"\nanisotropy = 0.5', "anisotropy", "without"),
    ],
)
def test_what_cannot_be_a_reading_is_refused_at_its_place(old, new, field, words):
    assert old in FULL
    with pytest.raises(Invalid) as refused:
        read_shelf(FULL.replace(old, new, 1))
    (problem,) = refused.value.problems
    assert problem.field == f"colourant[0].{field}"
    assert words in str(problem)


def test_a_doubtful_station_is_read_and_comes_back():
    mould = read_mould(MOULD)
    (belly,) = mould.stations
    assert belly.origin is Origin.DEFAULT
    assert belly.doubt == pytest.approx(0.25)
    assert read_mould(write_mould(mould)) == mould
    sure = read_mould(MOULD.replace('origin = "default"\n', "").replace('doubt = "25 %"\n', ""))
    assert sure.stations[0].origin is Origin.ENTERED
    assert sure.stations[0].doubt == 0
    assert "doubt" not in write_mould(sure)


@pytest.mark.parametrize("doubt", ['"-5 %"', '"150 %"', '"2 mm"'])
def test_a_doubt_that_is_no_share_is_refused(doubt):
    with pytest.raises(Invalid) as refused:
        read_mould(MOULD.replace('"25 %"', doubt))
    assert refused.value.problems[0].field == "stations[0].doubt"
