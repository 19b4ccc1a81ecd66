"""Numbers as the card prints them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.interfaces.cards.figure import (
    amount,
    degrees,
    drop_is_weighed,
    foundations,
    guessed_strengths,
    spoon,
    wording,
)
from partline.interfaces.cards.sheet import SHOTS_A_ROW, shot_rows


def teaspoons(value: float) -> dict[str, object]:
    return {"value": value, "low": value * 0.6, "high": value * 1.5, "origin": "practice"}


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.05, "≈ 0.05 US tsp (0.03–0.08, a guess, practice)"),
        (0.065, "≈ 0.07 US tsp (0.04–0.10, a guess, practice)"),
        (0.17, "≈ ⅛ US tsp (0.10–0.26, a guess, practice)"),
        (0.5, "≈ ½ US tsp (0.30–0.75, a guess, practice)"),
        (1.37, "≈ 1⅜ US tsp (0.82–2.06, a guess, practice)"),
        (2.0, "≈ 2 US tsp (1.20–3.00, a guess, practice)"),
    ],
)
def test_spoon_is_said_in_eighths(value: float, said: str) -> None:
    assert spoon(teaspoons(value)) == said


def test_a_weighed_spoon_is_no_guess() -> None:
    weighed = teaspoons(0.5) | {"origin": "measured"}
    assert spoon(weighed) == "≈ ½ US tsp (0.30–0.75, measured)"


def test_what_has_no_spoon_measure_says_none() -> None:
    assert spoon(None) is None


def test_plastisol_is_weighed_to_a_tenth_and_colour_to_a_hundredth() -> None:
    assert amount(161.3, "grade") == "161.3 g"
    assert amount(0.4, "colourant") == "0.40 g"


def test_unknown_temperature_is_a_blank() -> None:
    assert degrees(None, "°C") == "____"
    assert degrees(163.04, "°C") == "163"
    assert degrees(162.5, "°C") == "162.5"
    assert degrees(175.0, "°F") == "347"


def test_small_difference_keeps_its_decimal() -> None:
    seen = {"unit": "ΔE00", "value": 1.44, "low": 0.9, "high": 2.1}
    assert wording(seen) == "ΔE00 1.4 (0.9–2.1)"


def test_only_a_measured_drop_counts_as_weighed() -> None:
    origins = [
        {"name": "Peat: drop mass", "origin": "measured"},
        {"name": "Brick: drop mass", "origin": "default"},
    ]
    assert drop_is_weighed("Peat", origins)
    assert not drop_is_weighed("Brick", origins)
    assert not drop_is_weighed("Moss", origins)


def test_foundations_name_range_and_origin() -> None:
    origins = [
        {"name": "Peat: drop mass", "value": 30.0, "low": 28.6, "high": 31.4, "unit": "mg",
         "origin": "measured"},
        {"name": "reject share", "value": 7.000000000000001, "low": 7.000000000000001,
         "high": 7.000000000000001, "unit": "%", "origin": "entered"},
        {"name": "Peat: strength", "value": 1.0, "low": 0.8, "high": 1.2, "unit": "×",
         "origin": "default"},
    ]  # fmt: skip
    assert foundations(origins) == [
        "Peat: drop mass 30 mg (28.6–31.4, measured)",
        "reject share 7 % (entered)",
    ]


@given(st.integers(min_value=1, max_value=200))
def test_every_shot_has_its_place_in_rows_of_nearly_equal_length(count: int) -> None:
    rows = shot_rows(list(range(1, count + 1)))
    assert [shot for row in rows for shot in row] == list(range(1, count + 1))
    assert max(map(len, rows)) <= SHOTS_A_ROW
    assert len({len(row) for row in rows[:-1]}) <= 1


def test_a_strength_that_nobody_measured_is_named_with_its_range() -> None:
    strength = {"value": 1.0, "low": 0.8333, "high": 1.2}
    origins = [
        {"name": "Peat: strength", "origin": "default", **strength},
        {"name": "Chalk: strength", "origin": "measured", **strength},
        {"name": "Peat: drop mass", "origin": "default", **strength},
    ]
    assert guessed_strengths(origins) == ["Peat ×0.83–1.2"]
