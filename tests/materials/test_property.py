"""Rows of the property table are what they say, and a slip in one is refused."""

import pytest

from partline.errors import DataError
from partline.materials.property import MARKS, PROPERTIES, read_row
from partline.materials.published import catalogue, published
from partline.quantities.estimate import Origin

GOOD = {
    "key": "dinp", "material": "DINP", "property": "density", "value": "0.972", "unit": "g/cm³",
    "low": "0.970", "high": "0.977", "condition": "20 °C", "mark": "published",
    "citation": "monograph",
}  # fmt: skip


def test_a_row_is_held_in_si_with_the_unit_it_was_printed_in():
    row = read_row(GOOD)
    assert (row.value, row.low, row.high) == (972.0, 970.0, 977.0)  # exact: rounded once
    assert (row.si, row.unit, row.mark) == ("kg/m³", "g/cm³", Origin.PUBLISHED)


def test_a_temperature_is_held_in_kelvin():
    row = read_row(
        GOOD | {"property": "flash point", "value": "213", "unit": "°C", "low": "", "high": ""}
    )
    assert row.value == 486.15
    assert (row.low, row.high) == (None, None)


@pytest.mark.parametrize(
    ("slip", "sentence"),
    [
        ({"property": "densty"}, "no such property is known"),
        ({"unit": "kg/m³"}, "must be in g/cm³"),
        (
            {"value": "972", "low": "", "high": ""},
            "anything at the bench lies in 0.5 to 20000 kg/m³",
        ),
        ({"value": "-0.972", "low": ""}, "anything at the bench"),
        ({"high": "977"}, "anything at the bench"),
        ({"value": "0.960"}, "outside its own spread of 0.970 to 0.977 g/cm³"),
        ({"value": "0.980"}, "outside its own spread"),
        ({"low": "0.977", "high": "0.970"}, "outside its own spread"),
        ({"value": "about 1"}, "“about 1”, which is no number"),
        ({"value": "nan"}, "no number"),
        ({"value": "1/0"}, "no number"),
        ({"value": ""}, "has no value"),
        ({"mark": "SOURCE"}, "must say where it comes from"),
        ({"mark": "measured"}, "must say where it comes from"),
        ({"citation": ""}, "must say where it comes from"),
    ],
)
def test_a_slip_in_a_row_is_refused(slip, sentence):
    with pytest.raises(DataError, match="DINP") as refused:
        read_row(GOOD | slip)
    assert sentence in str(refused.value)


def test_every_packaged_row_is_sound_and_cited():
    rows = catalogue()
    assert len(rows) > 100
    assert {row.mark for row in rows} == set(MARKS)
    assert all(row.citation for row in rows)
    assert {row.name for row in rows} == set(PROPERTIES)  # no property nobody has


def test_a_key_names_one_material():
    names = {(row.key, row.material) for row in catalogue()}
    assert len(names) == len({key for key, _ in names})


def test_no_row_sends_the_maker_to_a_site():
    text = " ".join(f"{row.citation} {row.condition}" for row in catalogue()).lower()
    assert not any(mark in text for mark in ("http", "www.", ".com", ".org", ".net"))


def test_a_row_gives_an_estimate_with_its_spread_and_origin():
    gel = published("gel-20", "density", "23 °C").estimate()
    assert (gel.low, gel.value, gel.high) == (1020.0, 1032.0, 1045.0)
    assert gel.origin is Origin.COMPUTED
    water = published("water", "specific heat").estimate()
    # No spread is known of 4.184 J/(g·K): it may be anything that rounds to that, 80 % of which
    # is within four tenths of the last digit.
    assert (water.low, water.value, water.high) == pytest.approx((4183.6, 4184.0, 4184.4))
    assert water.origin is Origin.MEMORY


def test_a_property_that_depends_on_its_condition_is_asked_for():
    with pytest.raises(DataError, match="depends on its condition: “20 °C”; or “4 °C”"):
        published("water", "density")
    assert published("water", "density", "4 °C").value == 999.975


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (("watr", "density"), "no material “watr” in the table. There is: water"),
        (("water", "densty"), "no property of water “densty” in the table. There is: density."),
        (("water", "density", "21 °C"), "There is: 25 °C, 20 °C, 10 °C."),
        (("water", "hardness"), "There is: density, dynamic viscosity"),
    ],
)
def test_a_name_that_is_not_there_is_answered_with_the_nearest(given, sentence):
    with pytest.raises(DataError) as refused:
        published(*given)
    assert sentence in str(refused.value)
