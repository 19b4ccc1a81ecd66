"""`partline cool`: the countdown on the command line, as text and as JSON."""

import re

from tests.process.shed import SHED

WORKED = ("--reading", "0s=174C", "--reading", "40s=168.6C")
BAND = ("--start", "163C", "--room", "22C")


def test_the_issues_own_call_gives_the_start_with_its_range(run):
    ran = run("cool", *WORKED, *BAND, "--json")
    assert ran.status == 0
    # 163 °C at 83 s, about 70 to 102 s: shared/demo.md, worked.
    assert abs(ran.json["start_s"] - 83) <= 2
    assert 66 <= ran.json["low_s"] <= 74
    assert 97 <= ran.json["high_s"] <= 108


def test_the_text_says_when_to_start_from_where_it_is_counted_and_the_cautions(run):
    ran = run("cool", *WORKED, *BAND)
    first, *rest = ran.out.splitlines()
    assert re.fullmatch(
        r"Start in 1:2\d \(1:1\d–1:4\d\) from 0:00 of the readings, 0:4\d from 0:40", first
    )
    assert rest[0].startswith("Cup A at 0:40: 169 °C (168–169)")
    assert any(line.startswith("Next reading at 1:0") for line in rest)
    assert any(line.startswith("! Your local codes") for line in rest)
    assert "safe " not in ran.out


def test_everything_that_can_be_asked_is_answered(run):
    ran = run(
        "cool", *WORKED, "--reading", "B:0s=171C", "--reading", "B:40s=165.7C", *BAND,
        "--stop", "150C", "--mass", "162.1g", "--draw", "26.4g", "--every", "30s", "--draws", "6",
        "--now", "50s", "--bench", SHED / "bench.toml",
    )  # fmt: skip
    assert ran.status == 0
    assert re.search(r"^Stop at \d:\d\d \(", ran.out, re.MULTILINE)
    assert re.search(r"Cup B at 0:50: .*; \d shots before the stop \(\d–\d\)", ran.out)
    assert "Cup A is 3 °C warmer: it waits" in ran.out


def test_a_start_that_has_passed_says_start_now(run):
    ran = run("cool", *WORKED, "--reading", "1:50=160.5C", *BAND)
    assert ran.out.startswith("Start now: it was due at 1:2")


def test_a_reading_without_its_letter_is_a_question_with_status_2(run):
    ran = run("cool", "--reading", "0s=174", *BAND, "--json")
    assert ran.status == 2
    assert [way["write"] for way in ran.json["error"]["readings"]] == ["174 °C", "174 °F"]
    assert ran.json["error"]["field"] == "reading"


def test_fahrenheit_is_answered_in_fahrenheit(run):
    ran = run("cool", "--reading", "0s=345F", "--reading", "40s=335.5F", "--start", "325F",
              "--room", "72F")  # fmt: skip
    assert "336 °F" in ran.out
    assert "°C" not in ran.out
