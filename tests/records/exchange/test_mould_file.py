"""Moulds as files."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.errors import Ambiguous, InputError, Invalid
from partline.materials.mould import SectionShape
from partline.quantities.estimate import Estimate, Origin
from partline.records.exchange import read_mould, write_mould

MOULDS = Path(__file__).parents[3] / "examples" / "vessary-shed" / "moulds"
REED = (MOULDS / "reed-130.toml").read_text("utf-8")
BELLY = 'name = "belly"\nposition = 0.40\nshape = "round"\nwidth = "12.0 mm"'


def changed(old: str, new: str) -> str:
    assert REED.count(old) == 1, "the test must change exactly one place"
    return REED.replace(old, new)


def problems(text: str) -> dict[str, InputError]:
    with pytest.raises(Invalid) as refusal:
        read_mould(text)
    return {problem.field: problem for problem in refusal.value.problems}


def test_the_demo_mould_says_what_its_file_says():
    mould = read_mould(REED)
    assert (mould.name, mould.cavities, mould.length) == ("reed-130", 4, 0.13)
    # "10.2 g" leaves its last digit open: four times in five within 0.04 g.
    assert mould.bait_mass is not None
    assert (mould.bait_mass.value, mould.bait_mass.origin) == (0.0102, Origin.ENTERED)
    assert mould.bait_mass.low == pytest.approx(0.01016, abs=1e-9)  # two roundings of a double
    assert mould.bait_mass.high == pytest.approx(0.01024, abs=1e-9)
    assert mould.sprue_mass.high == pytest.approx(0.00904, abs=1e-9)
    assert mould.gate == 0.007
    assert mould.widest.name == "belly"
    assert mould.widest.height == 0.012
    assert len(mould.outline) == 8


def test_the_little_fish_has_a_flat_bottomed_tail():
    mould = read_mould((MOULDS / "fry-75.toml").read_text("utf-8"))
    assert mould.stations[-1].shape is SectionShape.FLAT_BOTTOMED
    assert mould.outline == ()


@pytest.mark.parametrize("file", ["reed-130.toml", "fry-75.toml"])
def test_a_mould_comes_back_exactly_as_it_was_written(file):
    mould = read_mould((MOULDS / file).read_text("utf-8"))
    assert read_mould(write_mould(mould)) == mould


def test_a_measured_mass_keeps_its_range_origin_and_count():
    weighed = (
        '{ value = "10.2 g", low = "10.0 g", high = "10.5 g", origin = "measured", count = 12 }'
    )
    mould = read_mould(changed('"10.2 g"', weighed))
    expected = Estimate(value=0.0102, low=0.0100, high=0.0105, origin=Origin.MEASURED, count=12)
    assert mould.bait_mass == expected
    assert read_mould(write_mould(mould)) == mould


def test_the_bait_has_a_mass_or_a_volume_and_not_both():
    both = changed('bait_mass = "10.2 g"', 'bait_mass = "10.2 g"\nbait_volume = "10 mL"')
    neither = changed('bait_mass = "10.2 g"', "")
    assert "both" in str(problems(both)["bait_mass"])
    assert "Neither" in str(problems(neither)["bait_mass"])
    by_volume = read_mould(changed('bait_mass = "10.2 g"', 'bait_volume = "10.0 mL"'))
    assert by_volume.bait_volume is not None
    assert by_volume.bait_volume.value == 1e-5


def test_inches_where_millimetres_were_meant_are_asked_about():
    found = problems(changed(BELLY, BELLY.replace("12.0 mm", "11 in")))["stations[1].width"]
    assert isinstance(found, Ambiguous)
    assert "Width of “belly”" in str(found)
    assert [reading.write for reading in found.readings] == ["11 mm"]


def test_a_length_without_a_unit_is_asked_about():
    found = problems(changed('length = "130 mm"', "length = 130"))["length"]
    assert isinstance(found, Ambiguous)
    assert [reading.write for reading in found.readings] == ["130 mm"]  # 130 in is no bait


def test_an_empty_station_is_one_problem():
    found = problems(REED + "\n[[stations]]\n")
    assert list(found) == ["stations[5]"]
    assert "take it away" in str(found["stations[5]"])


def test_a_mould_without_stations_is_refused():
    head = REED[: REED.index("[[stations]]")]
    assert "nowhere is its thickness known" in str(problems(head)["stations"])


def test_a_tail_thicker_than_the_body_is_asked_about():
    tail = 'shape = "round"\nwidth = "3.6 mm"\nback_half = "1.8 mm"\nbelly_half = "1.8 mm"'
    thick = tail.replace("3.6", "36").replace("1.8", "18")
    found = problems(changed(tail, thick))
    assert "thicker than the body's 12 mm" in str(found["stations[4].back_half"])
    assert "paddle" in found["stations[4].back_half"].remedy


def test_a_paddle_may_be_thicker_than_the_body():
    tail = (
        'name = "tail"\nposition = 1.0\nshape = "flat-bottomed"\nwidth = "12 mm"\n'
        'back_half = "1.5 mm"'
    )
    fry = (MOULDS / "fry-75.toml").read_text("utf-8")
    assert tail in fry
    paddle = tail.replace('"tail"', '"paddle"').replace("1.5 mm", "9 mm")
    assert read_mould(fry.replace(tail, paddle)).stations[-1].back_half == 0.009


def test_a_round_station_is_as_wide_as_its_halves():
    found = problems(changed(BELLY, BELLY.replace("12.0", "11")))["stations[1].width"]
    assert isinstance(found, Ambiguous)
    assert [reading.write for reading in found.readings] == [
        'width = "12 mm"',
        'shape = "elliptic"',
    ]


def test_stations_go_from_nose_to_tail():
    found = problems(changed("position = 0.62\nshape", "position = 0.95\nshape"))
    assert "does not lie behind “waist”" in str(found["stations[3].position"])


def test_a_position_is_a_share_of_the_length():
    found = problems(changed("position = 0.62\nshape", "position = 62\nshape"))
    assert "share of the length" in str(found["stations[2].position"])
    assert "“0.62”" in str(found["stations[2].position"])


def test_a_station_of_an_unknown_shape_is_not_called_round():
    oval = changed('shape = "round"\nwidth = "10.4 mm"', 'shape = "oval"\nwidth = "13 mm"')
    found = problems(oval)
    assert list(found) == ["stations[2].shape"]


def test_an_outline_agrees_with_the_stations_within_five_per_cent():
    point = 'position = 0.40\ndiameter = "12.0 mm"'
    found = problems(changed(point, point.replace("12.0", "12.9")))
    assert "12.9 mm thick at “belly”" in str(found["outline[3].diameter"])
    assert read_mould(changed(point, point.replace("12.0", "12.4"))).outline[3].diameter == 0.0124


def test_an_outline_goes_from_nose_to_tail():
    point = 'position = 0.92\ndiameter = "4.4 mm"'
    found = problems(changed(point, point.replace("0.92", "0.70")))
    assert "behind the one before it" in str(found["outline[6].position"])


def test_an_outline_belongs_to_a_round_body():
    found = problems(changed(BELLY, BELLY.replace("round", "elliptic")))
    assert "not every station is round" in str(found["outline"])


def test_a_misspelt_key_is_named_with_the_nearest_one():
    found = problems(changed('bottom_mark = "', 'botom_mark = "'))
    assert "Did you mean “bottom_mark”?" in str(found["botom_mark"])


@pytest.mark.parametrize("cavities", ["0", "4.5", '"four"', "true", "501"])
def test_cavities_are_a_whole_number(cavities):
    assert "cavities" in problems(changed("cavities = 4", f"cavities = {cavities}"))


def test_a_mould_may_say_what_it_weighs_itself():
    assert read_mould(REED).mass is None
    heavy = read_mould(changed("cavities = 4", 'cavities = 4\nmass = "1.2 kg"'))
    assert heavy.mass is not None
    assert heavy.mass.value == pytest.approx(1.2)
    assert read_mould(write_mould(heavy)) == heavy
    light = changed("cavities = 4", 'cavities = 4\nmass = "1.2 g"')
    assert set(problems(light)) == {"mass"}
