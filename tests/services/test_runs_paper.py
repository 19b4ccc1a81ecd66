"""A card typed in afterwards: what it says becomes events, what it leaves out stays open."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import Ambiguous, Invalid, NotFound
from partline.process.run import Kind
from partline.process.run.event import in_order
from partline.services.runs import listed, record, state
from partline.services.runs.card_entry import CardShape
from partline.services.runs.card_events import TOLD, card_events, lasting
from partline.services.runs.card_reading import read_card
from partline.services.runs.export import export_run
from partline.services.runs.paper import keep_card, paper_form, shape_of
from partline.services.workshop import open_at
from tests.services.kept_plan import planned

#: The demo's card: two melts of 6 and 5 shots, four cavities, two cups.
SHAPE = CardShape(letters=("A", "B"), melts=(6, 5), cavities=4)
#: The demo's third run, as a pencil would have it: 163 and 162 °C, push 6 s, 41 of 44 good.
FULL = {
    "day": "2026-03-01", "clock": "19:30", "unit": "C", "moulds": "2", "tare_a": "181.2",
    "set_up": "on", "weighed": "on", "fused_a": "176 175", "fused_b": "174 174",
    "start_a": "163 163", "start_b": "162 162", "stop_a": "152", "stop_b": "151", "heats": "4",
    "shots": "11", "push": "6", "bad": "3:1,4 7:2", "good": "41", "wrong_short": "on",
    "note": "tail still thin", "close": "on",
}  # fmt: skip


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("paper") / "shed"
    return folder, planned(folder)


@pytest.fixture
def shed(demo, tmp_path):
    folder, plan = demo
    shutil.copytree(folder, tmp_path / "shed")
    with open_at(tmp_path / "shed") as workshop:
        yield workshop, plan


def problems_of(fields, shape=SHAPE):
    with pytest.raises(Invalid) as refusal:
        read_card(fields, shape)
    return {each.field: each for each in refusal.value.problems}


def told(workshop, code, kind):
    return [event for event in in_order(workshop.runs.events(code)) if event.kind is kind]


def test_a_whole_card_becomes_a_closed_run_with_all_that_stood_on_it(shed):
    workshop, plan = shed
    code = keep_card(workshop, plan, FULL)
    known: Any = state(workshop, code)
    assert known["state"] == "closed"
    assert (known["shots"], known["good"], known["moulds"]) == ({"done": 11, "of": 11}, 41, 2)
    readings = [
        (event.cup, event.data["column"], event.data["celsius"])
        for event in told(workshop, code, Kind.READING)
    ]
    assert readings == [
        ("A", "fused", 176.0), ("B", "fused", 174.0), ("A", "start", 163.0), ("B", "start", 162.0),
        ("A", "fused", 175.0), ("B", "fused", 174.0), ("A", "start", 163.0), ("B", "start", 162.0),
        ("A", "stop", 152.0), ("B", "stop", 151.0),
    ]  # fmt: skip
    shots = told(workshop, code, Kind.SHOT)
    assert {event.data["push_s"] for event in shots} == {6.0}
    bad = {e.data["shot"]: e.data["bad_cavities"] for e in shots if "bad_cavities" in e.data}
    assert bad == {3: [1, 4], 7: [2]}
    assert len(told(workshop, code, Kind.HEAT)) == 3  # four heats; the first needs no word
    (judged,) = told(workshop, code, Kind.JUDGE)
    assert (judged.data["good"], judged.data["moulded"]) == (41, 44)
    assert [event.data["what"] for event in told(workshop, code, Kind.WRONG)] == ["short"]


def test_the_record_says_that_it_was_typed_in_and_that_times_are_not_known(shed):
    workshop, plan = shed
    code = keep_card(workshop, plan, FULL)
    known: Any = state(workshop, code)
    assert known["record"][0]["text"].startswith(f"Note: {TOLD}")
    assert "shared out evenly" in known["record"][0]["text"]
    for event in workshop.runs.events(code):
        assert event.data["from_card"] is True
        assert "at" in event.data["assumed"]
    assert all("mould" in e.data["assumed"] for e in told(workshop, code, Kind.SHOT))


def test_every_blank_may_stay_empty(shed):
    workshop, plan = shed
    code = keep_card(workshop, plan, {})
    known: Any = state(workshop, code)
    assert known["shots"]["done"] == 0
    assert known["good"] is None
    assert {event.kind for event in workshop.runs.events(code)} == {Kind.NOTE, Kind.FINISH}
    (note,) = told(workshop, code, Kind.NOTE)
    assert "the day, the time of the start, the number of moulds" in note.text("text")


@pytest.mark.parametrize("blank", sorted(FULL.keys() - {"unit"}))
def test_any_single_blank_of_a_full_card_may_stay_empty(blank):
    fields = {key: value for key, value in FULL.items() if key != blank}
    if blank == "shots":  # then 41 good are of how many?
        assert set(problems_of(fields)) == {"moulded"}
        fields["moulded"] = "44"
    entry = read_card(fields, SHAPE)
    assert lasting(entry, SHAPE) > 0


def test_a_figure_in_the_wrong_scale_is_asked_about_and_nothing_is_kept(shed):
    workshop, plan = shed
    with pytest.raises(Invalid) as refusal:
        keep_card(workshop, plan, FULL | {"start_a": "163 350"})
    (asked,) = refusal.value.problems
    assert isinstance(asked, Ambiguous)
    assert asked.field == "start_a"
    # The reading to press is the whole field, with that one figure put right.
    assert [each.write for each in asked.readings] == ["163 350 °F"]
    assert workshop.runs.listed() == ()
    keep_card(workshop, plan, FULL | {"start_a": asked.readings[0].write})


def test_without_its_letter_a_temperature_is_a_question():
    fields = {key: value for key, value in FULL.items() if key != "unit"}
    asked = problems_of(fields)["fused_a"]
    assert [each.write for each in asked.readings] == ["176 °C 175"]


def test_a_letter_typed_with_a_figure_stands_before_the_forms_own():
    entry = read_card({"unit": "C", "start_a": "325F", "start_b": "163"}, SHAPE)
    (a,), (b,) = entry.temperatures["start", "A"], entry.temperatures["start", "B"]
    assert a is not None
    assert b is not None
    assert (a.unit, a.entered) == ("F", "325")
    assert a.celsius == pytest.approx((325 - 32) / 1.8, abs=1e-3)  # kept to a thousandth
    assert (b.unit, b.celsius) == ("C", 163.0)


@pytest.mark.parametrize(
    ("fields", "field", "says"),
    [
        ({"good": "45", "shots": "11"}, "good", "45 good of 44"),
        ({"good": "43", "shots": "11", "bad": "3:1,4"}, "good", "43 good and 2 marked bad"),
        ({"good": "41"}, "moulded", "of how many"),
        ({"shots": "11", "heats": "1"}, "heats", "2 melts"),
        ({"shots": "23"}, "shots", "the plan has 11"),
        ({"shots": "2.5"}, "shots", "whole number"),
        ({"shots": "3", "bad": "4:1"}, "bad", "3 were made"),
        ({"bad": "3:5"}, "bad", "the mould has 4"),
        ({"bad": "some"}, "bad", "cannot be read"),
        ({"shots": "11", "push": "6 5 4"}, "push", "3 pushes for 11 shots"),
        ({"push": "fast"}, "push", "fast"),
        ({"shots": "11", "start_a": "163 162 161", "unit": "C"}, "start_a", "3 temperatures"),
        ({"moulds": "13"}, "moulds", "1 to 12"),
        ({"day": "3/4/26"}, "day", "no day"),
        ({"clock": "24:00"}, "clock", "no time"),
        ({"note": "x" * 601}, "note", "601"),
        ({"tare_a": "0"}, "tare_a", "0 g"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(fields, field, says):
    found = problems_of(fields)
    assert set(found) == {field}
    assert says in str(found[field])


def test_all_that_is_wrong_is_said_at_once():
    assert set(problems_of({"shots": "x", "clock": "x", "push": "x"})) == {
        "shots", "clock", "push",
    }  # fmt: skip


def test_a_start_that_lies_ahead_is_refused(shed):
    workshop, plan = shed
    ahead = (datetime.now(UTC).astimezone() + timedelta(days=2)).date().isoformat()
    with pytest.raises(Invalid, match="lies ahead"):
        keep_card(workshop, plan, {"day": ahead, "clock": "12:00"})


def test_a_card_of_no_plan_is_refused(shed):
    workshop, _ = shed
    with pytest.raises(NotFound, match="No plan"):
        keep_card(workshop, "AAAAAAAAAA", FULL)


def test_one_form_pressed_twice_is_one_run(shed):
    workshop, plan = shed
    once = paper_form(workshop, plan).once
    first = keep_card(workshop, plan, FULL | {"once": once})
    assert keep_card(workshop, plan, FULL | {"once": once}) == first
    assert len(listed(workshop)) == 1


def test_what_is_carried_over_says_where_it_comes_from(shed):
    workshop, plan = shed
    carried = paper_form(workshop, plan).carried
    assert carried["shots"].value == "11"
    assert carried["unit"].value == "C"
    assert carried["push"].source == "the recipe"
    code = keep_card(workshop, plan, FULL | {"push": "5.5", "moulds": "3"})
    carried = paper_form(workshop, plan).carried
    assert (carried["push"].value, carried["push"].source) == ("5.5", f"run {code}")
    assert carried["moulds"].value == "3"


def test_what_was_carried_over_and_left_in_is_marked_and_never_carried_on_as_timed(shed):
    workshop, plan = shed
    code = keep_card(workshop, plan, FULL | {"was_push": "6", "was_shots": "12"})
    assert all(e.data["carried_over"] == ["push_s"] for e in told(workshop, code, Kind.SHOT))
    assert paper_form(workshop, plan).carried["push"].source == "the recipe"
    note = told(workshop, code, Kind.NOTE)[0]
    assert note.data["carried_over"] == ["push"]
    assert "Carried over and left in: the push." in note.text("text")
    left = keep_card(workshop, plan, FULL | {"was_shots": "11"})
    assert all(e.data["carried_over"] == ["shots"] for e in told(workshop, left, Kind.SHOT))
    assert paper_form(workshop, plan).carried["push"].source == f"run {left}"


def test_good_baits_follow_from_the_marks_where_only_marks_are_on_the_card(shed):
    workshop, plan = shed
    fields = {key: value for key, value in FULL.items() if key != "good"}
    (judged,) = told(workshop, keep_card(workshop, plan, fields), Kind.JUDGE)
    assert (judged.data["good"], judged.data["moulded"]) == (41, 44)
    assert {"good", "moulded"} <= set(judged.data["assumed"])


def test_no_reading_is_questioned_by_times_that_nobody_wrote_down(shed):
    workshop, plan = shed
    code = keep_card(workshop, plan, FULL)
    assert state(workshop, code)["questions"] == []


def test_a_mistyped_card_is_corrected_like_any_run_and_the_export_shows_both(shed):
    workshop, plan = shed
    code = keep_card(workshop, plan, FULL)
    shot = told(workshop, code, Kind.SHOT)[0]
    correction = {
        "id": "C" * 20, "kind": "correction", "at": "2026-03-02T08:00:00Z",
        "data": {"of": shot.id, "data": {"push_s": 7.0}},
    }  # fmt: skip
    record(workshop, code, [correction])
    row = next(each for each in export_run(workshop, code)["events"] if each["id"] == shot.id)
    assert row["stands"] == "corrected"
    assert (row["data"]["push_s"], row["data_now"]["push_s"]) == (6.0, 7.0)
    assert row["corrected_by"] == ["C" * 20]


COUNTS = st.integers(0, 22)


@settings(deadline=None)
@given(
    shots=COUNTS,
    heats=st.integers(2, 30),
    moulds=st.integers(1, 12),
    ago=st.floats(0.0, 20_000.0),
)
def test_every_shot_and_heat_is_told_once_in_order_and_none_after_now(shots, heats, moulds, ago):
    fields = {"shots": str(shots), "heats": str(heats), "moulds": str(moulds), "unit": "C",
              "start_a": "163", "stop_a": "152"}  # fmt: skip
    entry = read_card(fields, SHAPE)
    now = datetime(2026, 3, 1, 20, tzinfo=UTC)
    raw = card_events(
        entry, SHAPE, start=now - timedelta(seconds=ago), unknown=(), now=now, first_id="A" * 20
    )
    kinds = [each["kind"] for each in raw]
    assert kinds.count("shot") == shots
    assert kinds.count("heat") == heats - 1
    assert kinds.count("reading") == 2
    moments = [datetime.fromisoformat(each["at"]) for each in raw]
    assert moments == sorted(moments)
    # Moments are told to the millisecond.
    assert moments[-1] <= now + timedelta(milliseconds=1)
    assert len({each["id"] for each in raw}) == len(raw)


def test_the_shape_of_the_card_is_the_plans(shed):
    workshop, plan = shed
    assert shape_of(workshop.plans.get(plan)) == SHAPE
