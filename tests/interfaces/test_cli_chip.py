"""`partline chip`, `partline instrument`, `partline grade`: measured, compared, checked, kept."""

from __future__ import annotations

from partline.records.exchange import read_shelf
from tests.process.shed import SHED

CHIP = ("--loading", "3 drops", "--step", "1 mm: 80 3 22 / 22 1 4", "--step",
        "2: 73 7 36 / 20 2 6", "--step", "4 mm: 62 14 50 / 16 3 8")  # fmt: skip
DARKER = ("--loading", "3 drops", "--step", "1 mm: 77 5 28 / 21 1.5 5", "--step",
          "2 mm: 68 10 42 / 19 3 7", "--step", "4 mm: 55 18 53 / 14 4 8")  # fmt: skip


def test_a_chip_in_a_file_is_kept_and_told(run, tmp_path):
    file = tmp_path / "shelf.toml"
    file.write_text((SHED / "shelf.toml").read_text("utf-8"), "utf-8")
    told = run("chip", "--bottle", "Peat", *CHIP, "--shelf", file)
    assert told.status == 0, told.err
    for words in ("6 colours read", "Rests on 6 colours off a stepped chip", "Caution:"):
        assert words in told.out
    (peat,) = (each for each in read_shelf(file.read_text("utf-8")).colourants if each.chips)
    assert peat.name == "Peat"
    shown = run("bottle", "Peat", "--shelf", file)
    assert "Rests on 6 colours off a stepped chip of lot R0211-C1." in shown.out


def test_a_new_lot_is_compared_and_taken_in_the_workshop(run, tmp_path):
    there = ("--workshop", tmp_path / "w", "--json")
    run("keep", SHED / "shelf.toml", *there)
    assert run("chip", "--bottle", "Peat", *CHIP, *there).json["lots"] is None
    against = ("--against", "R0211-C1", "--take")
    new = run("chip", "--bottle", "Peat", "--lot", "R9", *DARKER, *against, *there)
    assert new.status == 0, new.err
    assert new.json["in_use"] == "R9"
    assert new.json["lots"]["strength"]["value"] > 1.0
    asked = run("chip", "--bottle", "Peat", "--lot", "R9", "--against", "R0211-C1", *there).json
    assert (asked["chip"], asked["lots"]) == (None, new.json["lots"])


def test_what_says_nothing_of_a_chip_is_refused(run, tmp_path):
    there = ("--shelf", SHED / "shelf.toml")
    for words, said in (
        ((), "Neither a chip nor a lot"),
        (("--step", "62 14 50"), "is no step of a chip"),
        (("--step", "2 mm: 62 14 / 1 2 3"), "2 numbers"),
        (("--against", "R1"), "no stepped chip of the old lot"),
        (("nothing.jpg",), "There is no file"),
        (("nothing.jpg", "--step", "2 mm: 1 2 3"), "Both a photo and steps"),
    ):
        refused = run("chip", *words, "--bottle", "Peat", *there)
        assert refused.status == 2, words
        assert said in refused.err.replace("\n", " ")
    refused = run("chip", *CHIP, "--bottle", "Nowhere", *there)
    assert (refused.status, "No bottle on the shelf" in refused.err) == (2, True)


def test_a_thermometer_is_checked_and_kept_with_its_bench(run, tmp_path):
    there = ("--workshop", tmp_path / "w")
    run("keep", SHED / "bench.toml", *there)
    told = run("instrument", "thermometer", "readings=95.9, 95.6, 96.2, 95.8, 95.7 °C",
               "height=20 m", "--keep", *there)  # fmt: skip
    assert told.status == 0, told.err
    assert "It reads 4 K low" in told.out
    assert "(n=5); using +4." in told.out
    assert "scald" in told.out
    bench = run("bench", "Vessary Shed", "--json", *there).json
    assert bench["thermometer"]["offset_k"]["value"] == 4.1
    again = run("instrument", "scale", "readings=99.3, 99.4 g", "known=100 g", "--json", *there)
    assert again.json["verdict"] == "off"
    assert run("bench", "Vessary Shed", "--json", *there).json["scale_factor"] is None
    oven = run("instrument", "oven", "water=1000 g", "vessel=450 g", "before=10.2 °C",
               "after=20.1 °C", "time=50 s", *there)  # fmt: skip
    assert "820 W into a water load" in oven.out


def test_a_grade_is_checked_by_chips_and_by_a_flow(run, tmp_path):
    there = ("--workshop", tmp_path / "w", "--grade", "soft")
    run("keep", SHED / "shelf.toml", "--workshop", tmp_path / "w")
    told = run("grade", "yellowing", "fresh=4.0", "heated=10.5", "thickness=4 mm",
               "temperature=175 °C", "time=30 min", "--keep", "--json", *there)  # fmt: skip
    assert told.status == 0, told.err
    assert (told.json["before"]["origin"], told.json["after"]["origin"]) == ("default", "measured")
    flow = run("grade", "viscosity", "volume=50 mL", "time=40 s", "bore=8 mm", "length=40 mm",
               "head_before=100 mm", "head_after=75 mm", "temperature=172 °C", *there)  # fmt: skip
    assert "narrows from a factor 16.7 to" in flow.out


def test_what_cannot_be_checked_is_refused(run, tmp_path):
    there = ("--workshop", tmp_path / "w")
    run("keep", SHED / "bench.toml", *there)
    run("keep", SHED / "shelf.toml", *there)
    for words, said in (
        (("instrument", "watch", "readings=1"), "cannot be checked here"),
        (("instrument", "scale", "known=100 g", "weight=1"), "says nothing of a scale"),
        (("instrument", "thermometer", "readings=35 °C"), "no error of a thermometer"),
        (("instrument", "thermometer", "readings=x"), "cannot be read as a temperature"),
        (("grade", "viscosity", "time=1", "--grade", "soft"), "has no unit"),
        (("grade", "yellowing", "fresh=1", "--grade", "Nowhere"), "No grade on the shelf"),
    ):
        refused = run(*words, *there)
        assert refused.status == 2, words
        assert said in refused.err.replace("\n", " "), words
