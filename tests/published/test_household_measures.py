"""Spoons, cups, ounces and pounds against the tables a kitchen and a shop go by."""

import pytest

from partline.quantities.units import Kind, from_si, to_si

LAW = "Household measures"


@pytest.mark.published(
    law=LAW,
    source="NIST SP 430, Household Weights and Measures (table seen)",
    where="Table 1, equivalents of the common capacity units used in the kitchen",
)
@pytest.mark.parametrize(
    ("measure", "millilitres", "half_digit"),
    [
        ("1 US tsp", 4.9, 0.05), ("1 US tbsp", 15, 0.5), ("1 US fl oz", 30, 0.5),
        ("1/4 US cup", 59, 0.5), ("1/2 US cup", 118, 0.5), ("1 US cup", 237, 0.5),
    ],
)  # fmt: skip
def test_kitchen_measures_round_to_the_printed_table(measure, millilitres, half_digit, deviation):
    value = from_si(to_si(measure, Kind.VOLUME), "mL")
    deviation(abs(value - millilitres))
    assert value == pytest.approx(
        millilitres, rel=0, abs=half_digit
    )  # half the last digit printed


@pytest.mark.published(
    law=LAW,
    source="NIST SP 430, Household Weights and Measures (table seen)",
    where="Table 1, whole numbers of teaspoonfuls, tablespoonfuls and fluid ounces",
)
@pytest.mark.parametrize(
    ("many", "one"),
    [
        ("3 US tsp", "1 US tbsp"), ("6 US tsp", "1 US fl oz"), ("2 US tbsp", "1 US fl oz"),
        ("16 US tbsp", "1 US cup"), ("8 US fl oz", "1 US cup"), ("48 US tsp", "1 US cup"),
    ],
)  # fmt: skip
def test_kitchen_measures_go_into_each_other_as_printed(many, one, deviation):
    deviation(abs(to_si(many, Kind.VOLUME) / to_si(one, Kind.VOLUME) - 1))
    assert to_si(many, Kind.VOLUME) == to_si(one, Kind.VOLUME)  # exact by definition


@pytest.mark.published(
    law=LAW,
    source="NIST Handbook 44, Appendix C (from memory; the digits of the volumes also in a "
    "unit-definition page seen)",
    where="Section 4, exact values underlined",
)
@pytest.mark.parametrize(
    ("measure", "kind", "unit", "printed"),
    [
        ("1 US fl oz", Kind.VOLUME, "mL", 29.5735295625),
        ("1 US tbsp", Kind.VOLUME, "mL", 14.78676478125),
        ("1 US tsp", Kind.VOLUME, "mL", 4.92892159375),
        ("1 US cup", Kind.VOLUME, "mL", 236.5882365),
        ("1 US pt", Kind.VOLUME, "mL", 473.176473),
        ("1 US qt", Kind.VOLUME, "mL", 946.352946),
        ("1 US gal", Kind.VOLUME, "mL", 3785.411784),
        ("1 oz (weight)", Kind.MASS, "g", 28.349523125),
        ("1 lb", Kind.MASS, "g", 453.59237),
        ("1 in", Kind.LENGTH, "mm", 25.4),
    ],
)
def test_exact_definitions_hold_to_the_last_digit(measure, kind, unit, printed, deviation):
    value = from_si(to_si(measure, kind), unit)
    deviation(abs(value / printed - 1))
    assert value == pytest.approx(printed, rel=1e-15 * 4)  # three roundings of a double


@pytest.mark.published(
    law=LAW,
    source="The Units of Measurement Regulations 1995 (UK), S.I. 1995/1804 (from memory)",
    where="Schedule, gallon",
)
def test_an_imperial_gallon_is_its_statute_s(deviation):
    value = from_si(to_si("1 imp gal", Kind.VOLUME), "L")
    deviation(abs(value / 4.54609 - 1))
    assert value == pytest.approx(4.54609, rel=4e-15)  # three roundings of a double


@pytest.mark.published(
    law=LAW,
    source="The Units of Measurement Regulations 1995 (UK), S.I. 1995/1804 (from memory)",
    where="Schedule, fluid ounce",
)
def test_an_imperial_fluid_ounce_is_a_160th_of_its_gallon(deviation):
    value = from_si(to_si("1 imp fl oz", Kind.VOLUME), "mL")
    deviation(abs(value / 28.4130625 - 1))
    assert value == pytest.approx(28.4130625, rel=4e-15)  # three roundings of a double


@pytest.mark.published(
    law="Labelled measures",
    source="21 CFR 101.9(b)(5)(viii), as quoted in a units-code issue (seen)",
    where="teaspoon 5 mL, tablespoon 15 mL",
)
@pytest.mark.parametrize(("measure", "printed"), [("1 metric tsp", 5), ("1 metric tbsp", 15)])
def test_metric_spoons_are_those_of_the_labels(measure, printed, deviation):
    value = from_si(to_si(measure, Kind.VOLUME), "mL")
    deviation(abs(value - printed))
    assert value == pytest.approx(printed, rel=4e-15)  # three roundings of a double


@pytest.mark.published(
    law="Temperature scales",
    source="NIST SP 811 (2008), Appendix B (from memory)",
    where="B.9, t/°C = (t/°F − 32)/1.8",
)
@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (350, 3180 / 18)]
)
def test_fahrenheit_becomes_celsius(fahrenheit, celsius, deviation):
    value = from_si(to_si(f"{fahrenheit} °F", Kind.TEMPERATURE), "°C")
    deviation(abs(value - celsius))
    assert value == pytest.approx(celsius, rel=0, abs=1e-12)  # roundings near 600 K
