"""What has more than one reading is asked, with readings that can be typed at once."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import Ambiguous, InputError
from partline.quantities.units import Kind, parse
from partline.quantities.units.table import ASKED

MELT = (273.15, 503.15)  # [K] 0 to 230 °C: what a plastisol in a cup can be at


def question(text: str, kind: Kind, **limits: Any) -> Ambiguous:
    with pytest.raises(Ambiguous) as asked:
        parse(text, kind, field="here", **limits)
    assert asked.value.field == "here"
    assert asked.value.given == text
    return asked.value


def readings(text: str, kind: Kind, **limits: Any) -> list[str]:
    return [reading.write for reading in question(text, kind, **limits).readings]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("350", ["350 °F"]),  # 350 °C would be far above any plastisol
        ("350 °C", ["350 °F"]),
        ("350 deg", ["350 °F"]),
        ("175", ["175 °C", "175 °F"]),
        ("163°", ["163 °C", "163 °F"]),
    ],
)
def test_a_temperature_without_its_letter_or_with_the_wrong_one_is_asked(text, expected):
    assert readings(text, Kind.TEMPERATURE, plausible=MELT) == expected


def test_a_fahrenheit_reading_too_low_to_pour_is_asked():
    hot = (393.15, 503.15)
    assert readings("175 °F", Kind.TEMPERATURE, plausible=hot) == ["175 °C"]


def test_the_question_names_what_the_reading_would_mean():
    asked = question("350 °C", Kind.TEMPERATURE, plausible=MELT)
    assert "must lie in 0 to 230 °C. Is the unit right?" in asked.message
    assert asked.remedy == "Write “350 °F” for degrees Fahrenheit (177 °C)."


def test_what_no_unit_makes_likely_is_refused_not_asked():
    with pytest.raises(InputError, match="must lie in 0 to 230 °C") as refused:
        parse("900 °C", Kind.TEMPERATURE, plausible=MELT)
    assert not isinstance(refused.value, Ambiguous)
    with pytest.raises(InputError, match="must lie in 0 to 1"):
        parse("2", Kind.NUMBER, plausible=(0.0, 1.0))


def test_bare_ounces_are_asked():
    assert readings("2 oz", Kind.MASS) == ["2 oz (weight)"]
    assert "fluid" in question("2 oz", Kind.MASS).message
    assert readings("2 oz.", Kind.VOLUME) == ["2 US fl oz", "2 imp fl oz"]
    assert readings("2 fl oz", Kind.VOLUME) == ["2 US fl oz", "2 imp fl oz"]
    assert readings("2 fl. oz.", Kind.VOLUME) == ["2 US fl oz", "2 imp fl oz"]


@pytest.mark.parametrize(("said", "short"), [("pint", "pt"), ("quart", "qt"), ("gallon", "gal")])
def test_a_jug_bought_by_the_gallon_is_asked_which(said, short):
    for text in (f"1 {said}", f"1 {short}", f"1 {said}s"):
        assert readings(text, Kind.VOLUME) == [f"1 US {short}", f"1 imp {short}"]


def test_a_cup_is_asked_and_may_be_the_vessel():
    asked = question("½ cup", Kind.VOLUME)
    assert [r.write for r in asked.readings] == ["½ US cup", "½ metric cup"]
    assert "(118 mL)" in asked.remedy
    assert "(125 mL)" in asked.remedy
    assert "vessel" in asked.remedy


@pytest.mark.parametrize("letter", ["t", "T", "tb", "spoons"])
def test_a_spoon_letter_may_be_any_spoon(letter):
    assert readings(f"2 {letter}", Kind.VOLUME) == [
        "2 US tsp", "2 metric tsp", "2 US tbsp", "2 metric tbsp", "2 Australian tbsp",
    ]  # fmt: skip


def test_a_letter_c_is_a_cup_among_volumes_and_celsius_among_temperatures():
    assert readings("1 c", Kind.VOLUME) == ["1 US cup", "1 metric cup"]
    assert parse("163 c", Kind.TEMPERATURE).unit == "°C"


@pytest.mark.parametrize(
    "text", ["½ cup", "½ cup of powder", "1 tsp flake", "5 mL", "2 T", "½ cup, 8 drops brown"]
)
def test_a_volume_where_a_mass_is_wanted_is_to_be_weighed(text):
    asked = question(text, Kind.MASS, low=0.0)
    assert asked.readings == ()
    assert "Weigh one level measure of it once" in asked.remedy


def test_drops_without_a_weighed_drop_are_to_be_weighed():
    assert "Weigh fifty drops" in question("9 drops", Kind.MASS).remedy
    assert "Weigh fifty drops" in question("0.3 g", Kind.DROPS).remedy


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1,5 g", ["1.5 g", "15 g"]),
        (",5 g", [".5 g", "5 g"]),
        ("0,234 g", ["0.234 g"]),  # no thousands begin with 0
        ("1,500 g", ["1.500 g", "1500 g"]),
        ("1,500,000 mg", ["1500000 mg"]),
        ("1.500,0 g", ["1500.0 g"]),
        ("1,500.0 g", ["1500.0 g"]),
        ("1,5 oz", ["1.5 oz (weight)", "15 oz (weight)"]),
        ("1,5", ["1.5 g", "1.5 oz (weight)", "15 g", "15 oz (weight)"]),
    ],
)
def test_a_comma_is_asked(text, expected):
    assert readings(text, Kind.MASS) == expected


def test_a_dash_between_a_whole_and_its_part_is_asked():
    assert readings("1-1/2 in", Kind.LENGTH) == ["1 1/2 in"]
    assert "dash" in question("1-1/2 in", Kind.LENGTH).message


def test_what_a_word_may_mean_is_said_once():
    said = question("163 degrees", Kind.TEMPERATURE).message
    assert said == "“degrees” has more than one meaning: degrees Celsius, degrees Fahrenheit."


def test_an_inch_mark_is_asked():
    assert readings('5"', Kind.LENGTH) == ["5 in", "5 mm"]
    assert readings("5''", Kind.LENGTH) == ["5 in", "5 mm"]


def test_a_bare_number_is_asked_wherever_a_unit_is_needed():
    assert readings("5", Kind.MASS) == ["5 g", "5 oz (weight)"]
    assert readings("5", Kind.MASS, drop_mass_kg=30e-6) == ["5 g", "5 oz (weight)", "5 drops"]
    assert readings("5", Kind.LENGTH, plausible=(0.0, 0.1)) == ["5 mm"]
    assert readings("7", Kind.SHARE, high=1.0) == ["7 %"]
    assert readings("0.07", Kind.SHARE) == ["0.07 %", "7 %"]


@pytest.mark.parametrize(
    ("text", "kind", "misread"),
    [
        ("1 1/2 cup", Kind.VOLUME, "½ cup"),
        ("1,5 g", Kind.MASS, "15 g"),
        ("2 fl oz", Kind.VOLUME, "femtolitre·ounce"),
        ("2 T", Kind.VOLUME, "tesla"),
    ],
)
def test_what_a_units_library_misreads_is_asked_here(text, kind, misread):
    assert len(readings(text, kind)) > 1, misread


def test_mixed_numbers_stay_whole_in_their_question():
    assert readings("1 1/2 cup", Kind.VOLUME) == ["1 1/2 US cup", "1 1/2 metric cup"]


@given(
    number=st.sampled_from(
        ["350", "1,5", "½", "1 1/2", "0.07", "-3", "1,500", "1.500,0", "0", "0.0000001", "9" * 20]
    ),
    name=st.sampled_from(["", *ASKED, "°C", "g", "in", "drops", "%"]),
    kind=st.sampled_from(Kind),
    low=st.sampled_from([None, 0.0]),
    plausible=st.sampled_from([None, MELT, (0.0, 0.5)]),
    drop_mass=st.sampled_from([None, 30e-6]),
)
def test_every_reading_offered_can_be_typed(number, name, kind, low, plausible, drop_mass):
    limits = {"low": low, "plausible": plausible, "drop_mass_kg": drop_mass}
    try:
        parse(f"{number} {name}", kind, **limits)
    except Ambiguous as asked:
        for reading in asked.readings:
            assert parse(reading.write, kind, **limits).text == reading.write
            assert reading.means
    except InputError:
        pass
