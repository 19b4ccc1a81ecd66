"""Points tapped in a photo become a station's fields, rounded honestly and told in words."""

from __future__ import annotations

import pytest

from partline.errors import InputError
from partline.quantities.units import Kind, to_si
from partline.records.exchange import read_mould
from partline.services.mould_editing import edited_mould, mould_form
from partline.services.slices import trace_slice
from tests.process.shed import SHED
from tests.studies.test_slice_section import ELLIPTIC, FLAT, outline, photographed

FRY = (SHED / "moulds" / "fry-75.toml").read_text("utf-8")


def asked(shape=ELLIPTIC, width=11e-3, back=5e-3, belly=4e-3, **change):
    return {
        "outline": photographed(outline(shape, width, back, belly)).tolist(),
        "scale": photographed([[-0.01, -0.012], [0.01, -0.012]]).tolist(),
        "line": photographed([[-width / 2, 0], [width / 2, 0]]).tolist(),
        "back": [photographed([0, back / 2]).tolist()],
        "distance": "20 mm",
        "coarseness": 1.0,
    } | change


def test_a_slice_gives_a_stations_fields_in_the_makers_units():
    fields = trace_slice(asked())["fields"]
    doubt = fields.pop("doubt")
    assert fields == {
        "shape": "elliptic", "width": "11.00 mm", "back_half": "5.00 mm",
        "belly_half": "4.00 mm", "origin": "measured",
    }  # fmt: skip
    assert 0.02 < to_si(doubt, Kind.SHARE) < 0.12


def test_the_distance_is_read_in_any_unit_of_length_and_the_sizes_follow_it():
    inch = trace_slice(asked(distance="1 in"))["fields"]
    assert to_si(inch["width"], Kind.LENGTH) == pytest.approx(11e-3 * 25.4 / 20, abs=5e-6)


def test_a_photo_shown_small_leaves_more_doubt_and_is_told_to_be_shown_larger():
    near, far = trace_slice(asked(coarseness=0.3)), trace_slice(asked(coarseness=8.0))
    assert "Show the photo larger" in far["told"]
    assert "Show the photo larger" not in near["told"]
    doubts = [to_si(each["fields"]["doubt"], Kind.SHARE) for each in (near, far)]
    assert doubts[1] > 5 * doubts[0]


@pytest.mark.parametrize("shape", [ELLIPTIC, FLAT])
def test_what_was_traced_is_a_station_that_the_file_takes(shape):
    traced = trace_slice(asked(shape))["fields"]
    row = {"was": "", "name": "shoulder", "position": "0.6", "traced": "PH0T0000000A"} | traced
    first, *others = (
        {"was": str(place)} | {field["key"]: field["value"] for field in each}
        for place, each in enumerate(mould_form(FRY)["rows"]["stations"])
    )
    mould = read_mould(edited_mould(FRY, {"stations": [first, row, *others]}))
    assert mould.stations[1].shape is shape
    assert mould.stations[1].origin.value == "measured"


def test_what_is_told_says_the_backs_share_and_how_far_the_outline_is_missed():
    told = trace_slice(asked())["told"]
    assert "11.0 mm wide and 9.0 mm from back to belly, 56 % of that the back" in told
    assert "Its outline is elliptic; it misses that by less than 0.05 mm." in told


def test_an_outline_like_none_is_told_so():
    heart = outline(ELLIPTIC, 11e-3, 5e-3, 4e-3, 24)
    heart[abs(heart[:, 0]) < 2e-3] *= [1.0, 0.2]
    answer = trace_slice(asked(outline=photographed(heart).tolist()))
    assert not answer["is_alike"]
    assert "none of a station's shapes" in answer["told"]


def test_a_missing_distance_is_asked_for():
    with pytest.raises(InputError, match=r"is not said.*such as 20 mm") as refusal:
        trace_slice(asked(distance=" "))
    assert refusal.value.field == "distance"
