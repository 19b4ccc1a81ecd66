"""A table of moulds: every fault has its row and column, and nothing is guessed."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.errors import Ambiguous, InputError, Invalid
from partline.quantities.estimate import Origin
from partline.records.exchange import read_mould
from partline.records.exchange.mould_table import read_mould_table

EXAMPLE = Path(__file__).parents[3] / "examples" / "tables" / "moulds.csv"
HEADS = (
    "name,cavities,shot g,sprue g,length mm,belly width mm,belly back half mm,"
    "belly belly half mm,tail half mm,bottom mark"
)
ROW = "reed,4,49.8,9.0,130,12,6,6,1.8,a notch"


def table(*rows: str, heads: str = HEADS) -> str:
    return "\n".join([heads, *rows]) + "\n"


def faults(text: str) -> dict[str, InputError]:
    with pytest.raises(Invalid) as refusal:
        read_mould_table(text)
    return {each.field: each for each in refusal.value.problems}


def test_the_example_holds_twenty_five_moulds_that_can_be_read():
    rows = read_mould_table(EXAMPLE.read_text("utf-8"))
    assert len(rows) == 25
    assert len({read_mould(row.text).name for row in rows}) == 25


@pytest.mark.parametrize("head", ["shape", "Section", "points"])
def test_a_column_for_another_section_is_sent_to_the_form_or_a_file(head):
    (found,) = faults(table(f"{ROW},outline", heads=f"{HEADS},{head}")).values()
    assert found.field == f"row 1, {head}"
    assert "an outline afterwards in the mould's form, or write that mould as a file" in str(found)


def test_a_row_becomes_a_mould_in_si():
    (row,) = read_mould_table(table(ROW))
    mould = read_mould(row.text)
    assert mould.cavities == 4
    assert mould.bait_mass is not None
    assert mould.bait_mass.value == pytest.approx(10.2e-3, rel=1e-12)  # (49.8 − 9.0)/4
    assert mould.bait_mass.origin is Origin.COMPUTED
    assert mould.length == pytest.approx(0.130, rel=1e-12)
    assert [station.name for station in mould.stations] == ["belly", "tail"]
    assert mould.bottom_mark == "a notch"
    # Where its stations lie was not asked for: a guess. What they measure was.
    assert mould.guesses == ("stations",)
    assert {station.origin for station in mould.stations} == {Origin.ENTERED}


def test_a_baits_range_is_what_both_scales_leave_open():
    (row,) = read_mould_table(table(ROW))
    mass = read_mould(row.text).bait_mass
    assert mass is not None
    # 0.4 of the last digit either side, both ways at once: ±0.08 g over four baits.
    assert mass.high - mass.value == pytest.approx(0.02e-3, rel=1e-6)


def test_heads_carry_their_units():
    heads = HEADS.replace("length mm", "length (in)").replace("shot g", "shot oz (weight)")
    (row,) = read_mould_table(table("reed,1,0.9,4,5.1,12,6,6,1.8,", heads=heads))
    mould = read_mould(row.text)
    assert mould.length == pytest.approx(5.1 * 0.0254, rel=1e-12)  # the inch is exact
    assert mould.bait_mass is not None
    assert mould.bait_mass.value == pytest.approx(0.9 * 0.45359237 / 16 - 4e-3, rel=1e-6)


@pytest.mark.parametrize("sign", [";", "\t"])
def test_semicolons_and_tabs_part_a_table_too(sign):
    text = table(ROW).replace(",", sign)
    assert len(read_mould_table(text)) == 1


def test_a_width_unlike_its_height_makes_an_elliptic_body():
    (row,) = read_mould_table(table("fry,6,31.8,7.2,75,11,4,4,,"))
    mould = read_mould(row.text)
    assert mould.stations[0].shape.value == "elliptic"
    assert len(mould.stations) == 1


def test_a_decimal_comma_is_asked_about_with_its_place():
    asked = faults(table(ROW).replace(",", ";").replace("49.8", "49,8"))["row 2, shot g"]
    assert isinstance(asked, Ambiguous)
    assert "Row 2" in asked.message
    assert asked.readings[0].write == "49.8 g"


def test_a_comma_inside_a_number_of_a_comma_table_is_said():
    asked = faults(table(ROW.replace("49.8", "49,8")))["row 2"]
    assert "11 cells" in asked.message
    assert "semicolons" in asked.remedy


def test_an_unknown_column_is_named_with_the_nearest():
    asked = faults(table(ROW, heads=HEADS.replace("sprue g", "spure g")))
    assert "row 1, spure g" in asked
    with_note = faults(table(ROW + ",x", heads=HEADS + ",colour"))
    assert "Known columns" in with_note["row 1, colour"].remedy


def test_a_head_without_a_unit_is_a_question():
    asked = faults(table(ROW, heads=HEADS.replace("shot g", "shot")))["row 1, shot"]
    assert isinstance(asked, Ambiguous)
    assert [reading.write for reading in asked.readings] == ["shot g", "shot oz (weight)"]
    ounces = faults(table(ROW, heads=HEADS.replace("shot g", "shot oz")))["row 1, shot oz"]
    assert isinstance(ounces, Ambiguous)


def test_a_missing_column_is_named():
    heads, row = HEADS.replace(",sprue g", ""), ROW.replace(",9.0", "")
    assert "sprue g" in faults(table(row, heads=heads))["row 1"].remedy


@pytest.mark.parametrize(
    ("row", "place"),
    [
        (ROW.replace("reed,4", "reed,0"), "row 2, cavities"),
        (ROW.replace("reed,4", "reed,four"), "row 2, cavities"),
        (ROW.replace("49.8", "8.0"), "row 2, sprue"),
        (ROW.replace("49.8", "0"), "row 2, shot g"),
        (ROW.replace("49.8", "-5"), "row 2, shot g"),
        (ROW.replace("49.8", ""), "row 2, shot g"),
        (ROW.replace("130", "11"), "row 2, length"),
        (ROW.replace("reed", ""), "row 2, name"),
        (ROW.replace("1.8", "7.5"), "row 2, tail half"),
    ],
)
def test_each_impossible_cell_is_refused_at_its_place(row, place):
    assert list(faults(table(row))) == [place]


def test_every_fault_of_a_table_is_told_at_once():
    found = faults(table(ROW.replace("49.8", "x"), ROW.replace("130", "2"),
                         ROW.replace("49.8", "8.0")))  # fmt: skip
    assert set(found) == {"row 2, shot g", "row 3, length mm", "row 4, sprue"}


def test_two_rows_of_one_name_are_refused():
    assert set(faults(table(ROW, ROW))) == {"row 3, name"}


@pytest.mark.parametrize("text", ["", "\n\n", HEADS])
def test_a_table_without_a_mould_is_refused(text):
    assert faults(text)


def test_a_cell_may_say_its_own_unit():
    (row,) = read_mould_table(table(ROW.replace(",130,", ",13 cm,")))
    assert read_mould(row.text).length == pytest.approx(0.13, rel=1e-12)  # a float's rounding


def test_a_spreadsheets_own_file_is_named_as_one():
    with pytest.raises(InputError, match="Save it from there as CSV"):
        read_mould_table("PK\x03\x04\0\0\0")
