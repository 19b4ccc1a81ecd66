"""Points tapped in a photo become a station's fields, rounded honestly and told in words."""

from __future__ import annotations

import pytest

from partline.errors import InputError
from partline.materials.mould import SectionShape
from partline.quantities.units import Kind, to_si
from partline.records.exchange import read_mould
from partline.services.mould_editing import edited_mould, mould_form
from partline.services.slices import trace_slice
from tests.process.shed import SHED
from tests.studies.test_slice_section import (
    ELLIPTIC,
    FLAT,
    outline,
    photographed,
    rounded_box,
)

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


def chosen(answer, key=None):
    """The fields of a choice; of the one proposed where none is named."""
    (found,) = (each for each in answer["choices"] if each["key"] == (key or answer["proposed"]))
    return found["fields"]


def told_of(answer, key):
    (found,) = (each["told"] for each in answer["choices"] if each["key"] == key)
    return found


def kept(fields):
    """The mould's station that these fields become."""
    row = {"was": "", "name": "shoulder", "position": "0.6", "traced": "PH0T0000000A"} | fields
    first, *others = (
        {"was": str(place)} | {field["key"]: field["value"] for field in each}
        for place, each in enumerate(mould_form(FRY)["rows"]["stations"])
    )
    return read_mould(edited_mould(FRY, {"stations": [first, row, *others]})).stations[1]


def test_a_slice_gives_a_stations_fields_in_the_makers_units():
    fields = chosen(trace_slice(asked()))
    doubt = fields.pop("doubt")
    assert fields == {
        "shape": "elliptic", "points": "", "width": "11.00 mm", "back_half": "5.00 mm",
        "belly_half": "4.00 mm", "origin": "measured",
    }  # fmt: skip
    assert 0.02 < to_si(doubt, Kind.SHARE) < 0.12


def test_the_distance_is_read_in_any_unit_of_length_and_the_sizes_follow_it():
    inch = chosen(trace_slice(asked(distance="1 in")))
    assert to_si(inch["width"], Kind.LENGTH) == pytest.approx(11e-3 * 25.4 / 20, abs=5e-6)


def test_a_photo_shown_small_leaves_more_doubt_and_is_told_to_be_shown_larger():
    near, far = trace_slice(asked(coarseness=0.3)), trace_slice(asked(coarseness=8.0))
    assert "Show the photo larger" in far["told"]
    assert "Show the photo larger" not in near["told"]
    doubts = [to_si(chosen(each)["doubt"], Kind.SHARE) for each in (near, far)]
    assert doubts[1] > 5 * doubts[0]


@pytest.mark.parametrize("shape", [ELLIPTIC, FLAT])
def test_what_was_traced_is_a_station_that_the_file_takes(shape):
    station = kept(chosen(trace_slice(asked(shape))))
    assert station.shape is shape
    assert station.origin.value == "measured"


@pytest.mark.parametrize("count", [8, 14, 40, 150])
@pytest.mark.parametrize("power", [1.0, 0.8, 0.5])
@pytest.mark.parametrize("distance", ["20 mm", "3 mm"])
def test_the_outline_traced_is_a_station_that_the_file_takes(count, power, distance):
    """Points rounded to hundredths are still never hollow, of a body of 1.6 mm too."""
    tapped = photographed(rounded_box(power, count)).tolist()
    station = kept(chosen(trace_slice(asked(outline=tapped, distance=distance)), "outline"))
    assert station.shape is SectionShape.OUTLINE
    width = 11e-3 * to_si(distance, Kind.LENGTH) / 20e-3
    assert station.width == pytest.approx(width, rel=0.08)  # few points miss the very flank
    assert station.origin.value == "measured"
    assert station.doubt > 0.02


def test_what_is_told_says_the_backs_share_and_how_far_the_outline_is_missed():
    answer = trace_slice(asked())
    told = answer["told"]
    assert "11.0 mm wide and 9.0 mm from back to belly, 56 % of that the back" in told
    assert "miss it by less than 0.05 mm: no more than they leave open" in told_of(
        answer, "nearest"
    )


def test_an_outline_like_none_is_told_so():
    even = photographed(outline(ELLIPTIC, 11e-3, 5e-3, 4e-3, 24, begin=0.0)).tolist()
    heart = outline(ELLIPTIC, 11e-3, 5e-3, 4e-3, 24)
    heart[abs(heart[:, 0]) < 2e-3] *= [1.0, 0.2]
    answer = trace_slice(asked(outline=photographed(heart).tolist()))
    assert not answer["is_alike"]
    assert answer["proposed"] == "outline"
    assert "none of a station's plain shapes" in told_of(answer, "nearest")
    assert "Hollows were filled, the deepest by" in told_of(answer, "outline")
    unchanged = told_of(trace_slice(asked(outline=even)), "outline")
    assert "-0.00" not in chosen(trace_slice(asked(outline=even)), "outline")["points"]
    assert "alike on both flanks and without hollows as tapped" in unchanged


def test_a_plain_shape_is_proposed_where_it_fits_and_the_outline_can_be_taken_all_the_same():
    answer = trace_slice(asked())
    assert answer["proposed"] == "nearest"
    fields = chosen(answer, "outline")
    assert (fields["shape"], fields["width"]) == ("outline", "")
    assert fields["points"].startswith("0.00 mm, ")
    assert kept(fields).height == pytest.approx(9e-3, rel=0.08)


def test_a_missing_distance_is_asked_for():
    with pytest.raises(InputError, match=r"is not said.*such as 20 mm") as refusal:
        trace_slice(asked(distance=" "))
    assert refusal.value.field == "distance"
