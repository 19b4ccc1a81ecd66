"""`partline bottle`: enter, weigh, compare and show, in the workshop or in a file."""

from __future__ import annotations

import pytest

from partline.records.exchange import read_shelf
from tests.process.shed import SHED

ENTER = ("--clarity", "clear", "--patch", "#c9a46b", "--hiding", "0.62",
         "--loading", "3 drops", "--thickness", "2 mm")  # fmt: skip


def test_a_bottle_is_entered_weighed_and_compared_in_the_workshop(run, tmp_path):
    there = ("--workshop", tmp_path / "w", "--json")
    entered = run("bottle", "Mud", *ENTER, *there)
    assert entered.status == 0, entered.err
    assert entered.json["is_measured"] is False
    assert entered.json["rests_on"] == "the colour of a chip and a hiding reading"
    weighed = run("bottle", "Mud", "--drops", "50", "--net", "1.5 g", *there).json
    assert weighed["drop_mg"]["origin"] == "measured"
    assert (weighed["drop_mg"]["low"], weighed["drop_mg"]["high"]) == (28.58, 31.42)
    compared = run("bottle", "Mud", "--old", "9 drops", "--new", "7", "--lot", "R1-A1", *there)
    assert compared.json["lot"] == "R1-A1"
    assert compared.json["strength"]["value"] == pytest.approx(1.286, abs=1e-3)
    shown = run("bottle", "Mud", *there).json
    assert shown == compared.json


def test_a_bottle_in_a_file_is_edited_where_it_stands(run, tmp_path):
    file = tmp_path / "shelf.toml"
    text = (SHED / "shelf.toml").read_text("utf-8")
    file.write_text(text, "utf-8")
    assert run("bottle", "Peat", "--old", "60 %", "--new", "50 %", "--shelf", file).status == 0
    after = file.read_text("utf-8")
    assert [line for line in text.splitlines() if line not in after.splitlines()] == []
    assert read_shelf(after).colourants[0].strength.value < 1
    told = run("bottle", "Peat", "--shelf", file)
    assert "2 mm thick hides 0." in told.out
    assert file.read_text("utf-8") == after  # showing changes nothing


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--drops", "50", "--net", "150 g"), "5 to 100 mg"),
        (("--drops", "50", "--gross", "3 g", "--tare", "4 g"), "nothing is left"),
        (("--hiding", "1.4"), "0 to 1"),
        (("--patch", "brown"), "#7a5a2b"),
        (("--old", "9"), "New drops is missing"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(run, tmp_path, words, said):
    there = ("--workshop", tmp_path / "w")
    before = run("bottle", "Mud", *ENTER, *there, "--json").json
    refused = run("bottle", "Mud", *words, *there)
    assert refused.status == 2
    assert said in refused.err
    assert run("bottle", "Mud", *there, "--json").json == before


def test_a_bottle_that_is_not_there_is_not_made_by_asking(run, tmp_path):
    file = tmp_path / "none.toml"
    assert run("bottle", "Mud", "--shelf", file).status == 2
    assert not file.exists()
    assert run("bottle", "Mud", "--workshop", tmp_path / "w").status == 2
    assert "There: Peat" in run("bottle", "Nope", "--shelf", SHED / "shelf.toml").err
