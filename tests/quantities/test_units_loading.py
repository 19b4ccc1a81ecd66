"""Loadings are in 100 g of the filled cup, counted or weighed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import Ambiguous, InputError, OutOfRange
from partline.quantities.units import Loading, parse_loading


@pytest.mark.parametrize(
    "text", ["9 drops per 100 g", "9 drops/100 g", "9 drops / 100g", "9 drops to 100 g", "9 drops"]
)
def test_drops_are_to_a_hundred_grams(text):
    loading = parse_loading(text)
    assert (loading.text, loading.value, loading.unit) == (text, 9.0, "drops")


def test_grams_are_to_a_hundred_grams():
    # Two roundings of doubles.
    assert parse_loading("0.25 g per 100 g").value == pytest.approx(0.0025, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("9", ["9 drops per 100 g", "9 g per 100 g"]),
        ("9 per 100 g", ["9 drops per 100 g", "9 g per 100 g"]),
        ("20 %", ["20 g per 100 g", "16.67 g per 100 g"]),  # 20 of 100, or 20 of 120
        ("100 %", ["100 g per 100 g"]),
        ("1,5 drops", ["1.5 drops", "15 drops"]),
        ("1 oz per 100 g", ["1 oz (weight)"]),
        ("1 tsp per 100 g", []),
        ("½ cup, 8 drops brown", []),
    ],
)
def test_a_loading_with_more_than_one_reading_is_asked(text, expected):
    with pytest.raises(Ambiguous) as asked:
        parse_loading(text, field="back[0]")
    assert [reading.write for reading in asked.value.readings] == expected
    for reading in asked.value.readings:
        assert parse_loading(reading.write).text == reading.write
    assert asked.value.field == "back[0]"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "many drops",
        "3 drops per cup",
        "9 mm",
        "9 drops per 100 g x",
        "1/0 drops",
        "9" * 5000,
        "\x1f9 drops",
        "9\u200b drops",
    ],
)
def test_what_is_no_loading_is_refused_with_an_example(text):
    with pytest.raises(InputError, match="such as 9 drops per 100 g") as refused:
        parse_loading(text)
    assert type(refused.value) is InputError


@pytest.mark.parametrize("text", ["-3 drops per 100 g", "-0.1 g per 100 g", "-3"])
def test_less_than_nothing_cannot_be_loaded(text):
    with pytest.raises(OutOfRange, match="at least 0"):
        parse_loading(text)


@given(
    number=st.sampled_from(["0", "0.000001", "1,5", "⅛", "60", "99.999", "1,500"]),
    name=st.sampled_from(["", "%", "oz", "drops", "g", "cup"]),
)
def test_every_reading_offered_can_be_typed(number, name):
    try:
        parse_loading(f"{number} {name}")
    except Ambiguous as asked:
        for reading in asked.readings:
            assert parse_loading(reading.write).text == reading.write


@given(text=st.text(max_size=120))
def test_any_text_is_a_loading_or_refused(text):
    try:
        found: Loading | InputError = parse_loading(text)
    except InputError as refusal:
        found = refusal
    assert str(found)
    assert isinstance(found, InputError) or found.value >= 0
