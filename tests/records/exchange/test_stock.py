"""Price, scale readings and dates of a supply."""

from __future__ import annotations

from datetime import date

import pytest

from partline.errors import Ambiguous, Invalid
from partline.records.exchange import read_shelf, write_shelf

SALT = '[[additive]]\nname = "salt"\nkind = "salt"\n'


def stock(lines: str):
    (supply,) = read_shelf(SALT + lines)
    return supply.stock


def problem(lines: str):
    with pytest.raises(Invalid) as caught:
        read_shelf(SALT + lines)
    (only,) = caught.value.problems
    return only


def test_what_is_left_is_the_full_jar_less_the_empty_one_and_keeps_both_doubts():
    left = stock('gross = "412 g"\ntare = "35.0 g"').mass_now
    assert left.value == pytest.approx(0.377)
    # Both read to their last digit, 0.4 g and 0.04 g to either side, added in quadrature.
    assert left.high - left.value == pytest.approx((0.4**2 + 0.04**2) ** 0.5 * 1e-3)
    assert left.origin.value == "computed"


def test_without_the_empty_jar_nobody_says_what_is_left():
    assert stock('gross = "412 g"').mass_now is None


def test_an_empty_jar_holds_nothing_rather_than_less():
    left = stock('gross = "35 g"\ntare = "35 g"').mass_now
    assert (left.value, left.low) == (0, 0)


def test_a_price_by_volume_becomes_one_by_mass_with_the_density():
    price = stock('price = 18.5\nprice_amount = "1 L"').price
    assert price.per_mass(1000.0) == pytest.approx(18.5)
    assert price.per_mass(925.0) == pytest.approx(20.0)
    assert stock('price = 3\nprice_amount = "500 g"').price.per_mass(1.0) == pytest.approx(6.0)


def test_a_bare_ounce_paid_for_may_be_of_weight_or_of_either_fluid():
    found = problem('price = 5\nprice_amount = "16 oz"')
    assert isinstance(found, Ambiguous)
    assert [each.write for each in found.readings] == [
        "16 oz (weight)", "16 US fl oz", "16 imp fl oz",
    ]  # fmt: skip
    assert "only" not in found.remedy  # a mass is not all that may be paid for


def test_a_bare_number_paid_for_is_asked_about_in_masses_and_volumes():
    found = problem('price = 5\nprice_amount = "16"')
    assert isinstance(found, Ambiguous)
    assert {"16 g", "16 mL"} <= {each.write for each in found.readings}


@pytest.mark.parametrize(
    ("lines", "field", "says"),
    [
        ('gross = "35 g"\ntare = "412 g"', "tare", "more than the 35 g"),
        ('gross = "0 g"', "gross", "0.1"),
        ('gross = "-4 g"', "gross", "-4 g"),
        ("price = 5", "price_amount", "Give both"),
        ('price_amount = "1 kg"', "price", "Give both"),
        ('price = -5\nprice_amount = "1 kg"', "price", "0.01"),
        ('price = 5\nprice_amount = "1 oz"', "price_amount", "oz (weight)"),
        ('price = 5\nprice_amount = "1 mm"', "price_amount", "mm"),
        ('received = "spring"', "received", "2026-03-01"),
        ("received = 2026-03-02\nopened = 2026-03-01", "opened", "before it was received"),
    ],
)
def test_what_cannot_stand_on_a_shelf_is_said_beside_its_field(lines, field, says):
    found = problem(lines)
    assert found.field == f"additive[0].{field}"
    assert says in str(found)
    assert found.remedy


def test_a_stock_is_written_and_read_back_alike():
    lines = (
        'gross = "412 g"\ntare = { value = "35 g", low = "34 g", high = "36 g" }\nprice = 18.5\n'
        'price_amount = "1.2 L"\nreceived = 2026-03-01\nopened = 2026-03-14\n'
    )
    shelf = read_shelf(SALT + lines)
    assert read_shelf(write_shelf(shelf)) == shelf
    assert next(iter(shelf)).stock.opened == date(2026, 3, 14)
