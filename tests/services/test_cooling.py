"""The countdown as it is asked for: texts in, times with ranges and notes out."""

import pytest

from partline.errors import Ambiguous, InputError, OutOfRange
from partline.records.exchange import read_bench, read_file
from partline.services.cooling import cool
from partline.services.cooling_entry import clock, read_time
from partline.services.cooling_telling import cooling_as_json, inputs_of, match_words, notes_of
from tests.process.shed import SHED

WORKED = ("0s=174C", "40s=168.6C")
BAND = {"start": "163C", "room": "22C"}
WEIGHED = BAND | {"stop": "152C", "mass": "162.1 g"}


def bench():
    return read_bench(read_file(SHED / "bench.toml"))


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("40s", 40), ("1:20", 80), ("1m20s", 80), ("1 min 20 s", 80), ("2 min", 120), ("0", 0),
     ("90 sec", 90), ("12:05", 725)],
)  # fmt: skip
def test_times_are_read_as_a_bench_writes_them(text, seconds):
    assert read_time(text, "reading") == seconds


@pytest.mark.parametrize("text", ["40", "1:7", "1:75", "-3s", "soon", "", "9 h", "1,5 min"])
def test_what_is_no_time_is_refused_or_asked_about(text):
    with pytest.raises(InputError):
        read_time(text, "reading")


def test_a_clock_shows_minutes_and_what_has_passed():
    assert [clock(each) for each in (83.2, 5, 0, -0.4, -62, 600)] == [
        "1:23", "0:05", "0:00", "0:00", "−1:02", "10:00",
    ]  # fmt: skip


def test_the_worked_cup():
    # shared/demo.md, worked: 163 °C at 83 s, about 70 to 102 s.
    answer = cooling_as_json(cool(WORKED, BAND))
    assert answer["start_s"] == pytest.approx(83, abs=2)
    assert answer["low_s"] == pytest.approx(70, abs=4)
    assert answer["high_s"] == pytest.approx(102, abs=5)
    assert answer["stop_s"] is None
    assert answer["slot"] is None
    assert answer["match"] is None


def test_fahrenheit_gives_the_same_answer_and_is_answered_in_fahrenheit():
    celsius = cool(WORKED, BAND)
    fahrenheit = cool(("0s=345.2F", "40s=335.48F"), {"start": "325.4F", "room": "71.6F"})
    assert fahrenheit.start.value == pytest.approx(celsius.start.value, abs=0.01)
    assert fahrenheit.asked.shown(436.15) == "325 °F"
    assert cooling_as_json(fahrenheit)["unit"] == "°F"
    assert cooling_as_json(celsius)["start_at"] == {"celsius": 163.0, "shown": "163 °C"}


def test_a_weighed_cup_and_the_bench_narrow_and_say_where_the_numbers_come_from():
    plain, described = cool(WORKED, BAND), cool(WORKED, WEIGHED, bench())
    assert described.start.high - described.start.low < plain.start.high - plain.start.low
    assert [each.origin.value for each in inputs_of(described)] == ["default", "entered"]
    assert any("Nothing is known of the cup" in note for note in notes_of(plain))
    assert any("500 mL" in note for note in notes_of(cool(WORKED, WEIGHED)))


def test_shots_before_the_stop_of_an_emptying_cup():
    drawn = cool(WORKED, WEIGHED | {"draw": "26.4 g", "every": "20s", "draws": "6"}, bench())
    still = cool(WORKED, WEIGHED, bench())
    assert drawn.stop is not None
    assert still.stop is not None
    shots = drawn.shots["A"]
    assert 3 <= shots.low <= shots.middle <= shots.high <= 6
    assert drawn.stop.value < still.stop.value - 5
    assert cooling_as_json(drawn)["cups"][0]["shots_left"]["value"] == shots.middle
    assert any("times as fast" in note for note in notes_of(drawn))


def test_two_cups_have_a_slot_and_one_waits():
    both = cool((*WORKED, "B:0s=169C", "B:40s=163.9C"), WEIGHED, bench())
    assert both.slot is not None
    assert both.stop is not None
    assert both.match is not None
    assert both.start.value == both.slot.opens.value
    assert both.stop.value == both.slot.closes.value
    assert both.match.waits == "A"
    said = match_words(both.match, both.stop.value)
    assert said.startswith("Cup A is 5 °C warmer: it waits 0:")
    assert "Cup A is 8 °F warmer" in match_words(both.match, None, is_fahrenheit=True)
    answer = cooling_as_json(both)
    assert answer["match"]["waits"] == "A"
    assert [cup["cup"] for cup in answer["cups"]] == ["A", "B"]


def test_matched_cups_are_told_so():
    both = cool((*WORKED, "B:0s=173.5C", "B:40s=168C"), WEIGHED, bench())
    assert both.match is not None
    assert match_words(both.match, None) == "The cups are matched within 2 °C."
    assert cooling_as_json(both)["match"]["waits"] is None


def test_cups_that_never_share_a_slot_are_told_so():
    apart = cool(("0s=180C", "40s=175C", "B:0s=165C", "B:40s=160C"), WEIGHED | {"stop": "158C"})
    assert apart.slot is not None
    assert apart.slot.chance < 0.5
    assert any("in the band together" in note for note in notes_of(apart))


def test_one_reading_and_an_unstirred_one_are_remarked_upon():
    assert any("one reading tells no cooling" in note for note in notes_of(cool(WORKED[:1], BAND)))
    skinned = cool((WORKED[0], "40s=160C unstirred"), BAND)
    assert any("5 to 20 °C below" in note for note in notes_of(skinned))
    stirred = cool((WORKED[0], "40s=160C"), BAND)
    assert skinned.start.value > stirred.start.value + 10


def test_a_passed_start_counts_down_to_the_stop():
    late = cool((*WORKED, "1:50=160C"), BAND | {"stop": "152C"})
    assert late.is_due
    assert late.next_reading.at > 110
    waiting = cool(WORKED, BAND | {"now": "60s"})
    assert not waiting.is_due
    assert waiting.next_reading.at >= 75


REFUSED = {
    "no unit": ((WORKED[0], "40s=168.6"), BAND, "no unit"),
    "no unit of time": ((WORKED[0], "40=168.6C"), BAND, "no unit"),
    "350 in °C": ((WORKED[0], "40s=350C"), BAND, "350 °F"),
    "start in °F as °C": (WORKED, BAND | {"start": "325C"}, "325 °F"),
    "rising": ((WORKED[0], "40s=178C"), BAND, "does not get warmer"),
    "exchanged digits": ((WORKED[0], "40s=186C"), BAND, "168.0 °C"),
    "far too cold": ((WORKED[0], "40s=120C"), BAND, "was expected"),
    "as cold as a room": ((WORKED[0], "40s=22C"), BAND, "60 to 230"),
    "room of an oven": ((WORKED[0],), BAND | {"room": "80C"}, "-10 to 45"),
    "no reading": ((), BAND, "needs a reading"),
    "no start": (WORKED, {"room": "22C"}, "No start"),
    "start above": (("0s=160C",), BAND, "not above the start"),
    "stop above start": (WORKED, BAND | {"stop": "165C"}, "not below the start"),
    "not a reading": (("at 40s 168C",), BAND, "cannot be read as a reading"),
    "before the last reading": (WORKED, BAND | {"now": "20s"}, "reading at 0:40"),
    "twice": ((*WORKED, "40s=168C"), BAND, "same time"),
    "more than it holds": (WORKED, WEIGHED | {"mass": "900 g"}, "holds up to"),
    "draws without a mass": (WORKED, BAND | {"stop": "152C", "draw": "26 g", "every": "40s"},
                             "mass is missing"),
    "no time for a shot": (WORKED, WEIGHED | {"draw": "26 g", "every": "0"}, "a second at least"),
}  # fmt: skip


@pytest.mark.parametrize("fault", REFUSED)
def test_nonsense_gets_a_sentence(fault):
    readings, given, words = REFUSED[fault]
    with pytest.raises(InputError) as refused:
        cool(readings, given)
    assert words in str(refused.value)
    assert refused.value.field


def test_a_question_offers_what_to_write():
    with pytest.raises(Ambiguous) as asked:
        cool((WORKED[0], "40s=186C"), BAND)
    assert [way.write for way in asked.value.readings] == ["0:40=168.0 °C"]


def test_a_limit_of_six_hours_is_told():
    with pytest.raises(OutOfRange, match="up to 6 hours"):
        read_time("400 min", "reading")
