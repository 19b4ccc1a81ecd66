"""What a maker types is read as meant, refused in words, and never computed."""

import math
from fractions import Fraction
from typing import Any

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.quantities.units import Entered, Kind, from_si, parse, show, to_si
from partline.quantities.units.table import ASKED, EXAMPLES, OFFERED, UNITS, Unit

ORACLE: pint.UnitRegistry[Any] = pint.UnitRegistry()
# Our symbol in pint's words, where it is not the same.
IN_PINT = {
    "oz (weight)": "avoirdupois_ounce", "US fl oz": "US_fluid_ounce",
    "imp fl oz": "imperial_fluid_ounce", "US tsp": "teaspoon", "US tbsp": "tablespoon",
    "US pt": "pint", "US qt": "quart", "US gal": "gallon",
    "imp pt": "imperial_pint", "imp qt": "imperial_quart", "imp gal": "imperial_gallon",
    "US cup": "cup", "°C": "degC", "°F": "degF", "K": "kelvin", "in": "inch",
    "g/mL": "gram / milliliter", "kg/m³": "kilogram / meter ** 3", "%": "percent",
    "drops": "dimensionless", "": "dimensionless",
}  # fmt: skip
# Metric kitchen measures, which pint does not know, are millilitres by definition.
METRIC_MEASURES = {"metric tsp": 5, "metric tbsp": 15, "Australian tbsp": 20, "metric cup": 250}
SI = {
    Kind.MASS: "kg", Kind.VOLUME: "m ** 3", Kind.LENGTH: "m", Kind.TEMPERATURE: "kelvin",
    Kind.TEMPERATURE_STEP: "kelvin", Kind.DENSITY: "kg / m ** 3", Kind.SHARE: "dimensionless",
    Kind.DROPS: "dimensionless", Kind.TIME: "s", Kind.POWER: "W", Kind.NUMBER: "dimensionless",
}  # fmt: skip

units = st.sampled_from(UNITS)
decimals = st.decimals(
    min_value=0, max_value=10**6, places=4, allow_nan=False, allow_infinity=False
)


def in_pint(number: float, unit: Unit) -> float:
    """SI value by pint."""
    words = IN_PINT.get(unit.symbol, unit.symbol)
    if unit.kind is Kind.TEMPERATURE_STEP and words.startswith("deg"):
        words = f"delta_{words}"
    millilitres = METRIC_MEASURES.get(unit.symbol)
    if millilitres:
        number, words = number * millilitres, "milliliter"
    return float(ORACLE.Quantity(number, words).to(SI[unit.kind]).magnitude)


def outcome(text: str, kind: Kind, **limits: Any) -> Entered | InputError:
    """What comes back, be it read or refused; anything else that is raised fails the test."""
    try:
        return parse(text, kind, **limits)
    except InputError as refusal:
        return refusal


@given(number=decimals, unit=units)
def test_every_unit_agrees_with_an_independent_units_library(number, unit):
    value = parse(f"{number:f} {unit.symbol}", unit.kind).value
    # Both are correct to a few roundings of a double; temperatures add an offset of ~500 K.
    assert value == pytest.approx(in_pint(float(number), unit), rel=1e-12, abs=1e-12)


@given(number=decimals, unit=units)
def test_a_number_comes_back_from_si_as_it_went_in(number, unit):
    value = to_si(f"{number:f} {unit.symbol}", unit.kind)
    # One rounding in, two out; at 0 °C the rounding of 273.15 K stands alone: 6e-14 K.
    assert from_si(value, unit.symbol, unit.kind) == pytest.approx(
        float(number), rel=1e-12, abs=2e-13
    )


@given(number=decimals, unit=units)
def test_what_is_shown_can_be_typed_again(number, unit):
    text = show(to_si(f"{number:f} {unit.symbol}", unit.kind), unit.symbol, 4, unit.kind)
    # Four digits are typed and four are shown; the largest number has 11 figures.
    assert from_si(to_si(text, unit.kind), unit.symbol, unit.kind) == pytest.approx(
        float(number), rel=1e-10, abs=1e-10
    )


@given(text=st.text(max_size=120), kind=st.sampled_from(Kind))
@example(text="9**9**4 g", kind=Kind.MASS)
@example(text="1e400 g", kind=Kind.MASS)
@example(text="1/0 g", kind=Kind.MASS)
@example(text="\ud800 g", kind=Kind.MASS)
@example(text="𝟓 g", kind=Kind.MASS)
@example(text="5²", kind=Kind.NUMBER)
def test_any_text_is_read_or_refused_and_nothing_else(text, kind):
    found = outcome(text, kind)
    assert str(found)
    if isinstance(found, Entered):
        assert math.isfinite(found.value)
        assert found.text == text


@given(
    number=st.text("0123456789.,/½⅛ -−+", max_size=12),
    name=st.sampled_from([*ASKED, *(u.symbol for u in UNITS), "e3", "**2"]),
    kind=st.sampled_from(Kind),
    limits=st.sampled_from([None, (0.0, 1.0), (273.15, 503.15)]),
    drop_mass=st.sampled_from([None, 30e-6]),
)
def test_text_that_looks_like_an_amount_is_read_or_refused(number, name, kind, limits, drop_mass):
    found = outcome(f"{number} {name}", kind, low=0.0, plausible=limits, drop_mass_kg=drop_mass)
    assert str(found)
    if isinstance(found, Entered):
        assert 0.0 <= found.value < math.inf


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("12", 12), ("12.5", 12.5), (".5", 0.5), ("5.", 5), ("+5", 5), ("-5", -5), ("−5", -5),
        ("1/2", 0.5), ("1 1/2", 1.5), ("1⁄2", 0.5), ("½", 0.5), ("1½", 1.5), ("1 ½", 1.5),
        ("-1 1/2", -1.5), ("⅛", 0.125), ("3 / 4", 0.75), ("\u00a07\u2009", 7),
    ],
)  # fmt: skip
def test_numbers_are_read_as_people_write_them(text, number):
    assert parse(text, Kind.NUMBER).value == number  # exact: all are binary fractions


def test_thirds_are_rounded_once():
    assert parse("⅓", Kind.NUMBER).value == 1 / 3
    assert parse("2/3 g", Kind.MASS).value == float(Fraction(2, 3000))


@pytest.mark.parametrize(
    "text",
    ["350 °F", "350°F", "350 F", "350f", "350 ° F", "350º F", "350 degF", "350 deg F", "350 ℉"],
)
def test_fahrenheit_has_many_spellings(text):
    assert parse(text, Kind.TEMPERATURE).value == float(Fraction("449.8166666666666666666"))


@pytest.mark.parametrize(
    ("text", "kind", "unit"),
    [
        ("5 grams", Kind.MASS, "g"), ("5 KG", Kind.MASS, "kg"), ("5 g.", Kind.MASS, "g"),
        ("5 oz wt", Kind.MASS, "oz (weight)"), ("5 Oz (Weight)", Kind.MASS, "oz (weight)"),
        ("5 lbs", Kind.MASS, "lb"), ("35ml", Kind.VOLUME, "mL"), ("1 cc", Kind.VOLUME, "mL"),
        ("1 l", Kind.VOLUME, "L"), ("2 fl oz (US)", Kind.VOLUME, "US fl oz"),
        ("2 imperial fl oz", Kind.VOLUME, "imp fl oz"), ("5 Inches", Kind.LENGTH, "in"),
        ("25 um", Kind.LENGTH, "µm"), ("25 μm", Kind.LENGTH, "µm"), ("7 percent", Kind.SHARE, "%"),
        ("9 drop", Kind.DROPS, "drops"), ("9", Kind.DROPS, "drops"), ("40 sec", Kind.TIME, "s"),
        ("900 w", Kind.POWER, "W"), ("1.016 g/cm³", Kind.DENSITY, "g/mL"), ("4", Kind.NUMBER, ""),
    ],
)  # fmt: skip
def test_units_have_the_spellings_of_the_bench(text, kind, unit):
    assert parse(text, kind).unit == unit


def test_the_text_is_kept_as_it_was_typed():
    assert parse("  1 1/2 IN ", Kind.LENGTH) == Entered(
        text="  1 1/2 IN ", value=0.0381, unit="in"
    )


def test_a_difference_of_temperature_has_no_offset():
    assert parse("5 °C", Kind.TEMPERATURE_STEP).value == 5.0
    assert parse("9 °F", Kind.TEMPERATURE_STEP).value == 5.0
    assert show(5.0, "°F", 0, Kind.TEMPERATURE_STEP) == "9 °F"


@pytest.mark.parametrize(
    "text",
    [
        "", "   ", "g", "five g", "nan g", "inf g", "-inf g", "1e3 g", "1e400 g", "0x10 g",
        "9**9**4 g", "1+1 g", "5-6 g", "1/0 g", "1/2/3 g", "1 3/2 g", "1.2.3 g", "1_000 g",
        "1 500 g", "1,2,3 g", "٣ g", "５ g", "𝟓 g", "5² g", "5 g g", "5 kilo gram",
        "5 furlongs", "5\u200b g", "5\x00 g", "5 g; drop table", "<b>5</b> g", "x" * 81,
        "9" * 5000 + " g",
    ],
)  # fmt: skip
def test_what_is_no_amount_is_refused_with_an_example(text):
    with pytest.raises(InputError, match=r"such as 12\.5 g") as refused:
        parse(text, Kind.MASS, field="parts[0].amount")
    assert type(refused.value) is InputError
    assert refused.value.field == "parts[0].amount"
    assert len(str(refused.value)) < 300
    assert str(refused.value).isprintable()
    assert refused.value.given.isprintable()


def test_another_kind_of_unit_is_named():
    with pytest.raises(InputError, match="“5 mm” is a length; a mass is wanted here"):
        parse("5 mm", Kind.MASS)


def test_limits_are_told_in_the_unit_that_was_typed():
    with pytest.raises(OutOfRange, match="must lie in 302 to 392 °F") as refused:
        parse("414 °F", Kind.TEMPERATURE, low=423.15, high=473.15)
    assert (refused.value.unit, refused.value.given) == ("°F", "414 °F")
    assert refused.value.high == pytest.approx(392, abs=1e-9)  # roundings of doubles


def test_a_value_on_its_limit_is_inside():
    assert parse("392 °F", Kind.TEMPERATURE, low=473.15, high=473.15).value == 473.15


def test_less_than_nothing_is_refused_where_nothing_is_the_least():
    with pytest.raises(OutOfRange, match="“-3 drops” is out of range: it must be at least 0"):
        parse("-3 drops", Kind.DROPS, low=0.0)
    with pytest.raises(OutOfRange, match="at least 0 g"):
        parse("-3", Kind.MASS, low=0.0)  # no unit, yet no unit would make it right


def test_nothing_is_colder_than_absolute_zero():
    assert parse("-273.15 °C", Kind.TEMPERATURE).value == 0.0
    with pytest.raises(OutOfRange, match="at least -273 °C"):
        parse("-300 °C", Kind.TEMPERATURE)


def test_drops_and_grams_meet_in_a_weighed_drop():
    weighed, counted = (
        parse("9 drops", Kind.MASS, drop_mass_kg=30e-6),
        parse("0.27 g", Kind.DROPS, drop_mass_kg=30e-6),
    )
    assert weighed.value == pytest.approx(270e-6, rel=1e-15)  # one rounding of a double
    assert counted.value == pytest.approx(9, rel=1e-15)


@pytest.mark.parametrize("drop_mass", [0.0, -1e-6, math.nan, math.inf])
def test_a_drop_that_weighs_nothing_is_refused(drop_mass):
    with pytest.raises(OutOfRange, match="A drop cannot weigh"):
        parse("9 drops", Kind.MASS, drop_mass_kg=drop_mass)


def test_numbers_going_out_never_show_a_negative_zero():
    assert show(-1e-9, "g") == "0.0 g"
    assert show(0.1621, "g") == "162.1 g"
    assert show(4.0, "", 0) == "4"


def test_an_unknown_unit_going_out_is_refused():
    with pytest.raises(InputError, match="no unit “stone”"):
        from_si(1.0, "stone")


def spellings(unit: Unit) -> set[str]:
    return {unit.symbol.lower(), *(name.lower() for name in unit.names)}


@pytest.mark.parametrize("kind", Kind)
def test_no_spelling_means_two_units_of_one_kind(kind):
    every = [name for unit in UNITS if unit.kind is kind for name in spellings(unit)]
    assert len(every) == len(set(every))


@pytest.mark.parametrize("kind", [Kind.MASS, Kind.VOLUME, Kind.LENGTH])
def test_no_spelling_is_both_known_and_asked_about(kind):
    known = {name for unit in UNITS if unit.kind is kind for name in spellings(unit)}
    assert known.isdisjoint(ASKED)


@pytest.mark.parametrize("kind", Kind)
def test_every_kind_has_an_example_that_can_be_typed(kind):
    assert parse(EXAMPLES[kind], kind).text == EXAMPLES[kind]
    assert OFFERED[kind]
