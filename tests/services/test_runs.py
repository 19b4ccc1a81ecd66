"""The run at the bench: what the screen shows next, what is asked, what must not be missed."""

from __future__ import annotations

import json
from datetime import datetime

import pytest

from partline.errors import NotFound, OutOfRange
from partline.services import runs
from tests.services.bench_hand import Hand, Json, at_the_bench


@pytest.fixture
def hand(tmp_path, monkeypatch):
    with at_the_bench(tmp_path, monkeypatch) as hand:
        yield hand


def labels(state) -> list[str]:
    return [each["label"] for each in state["screen"]["controls"]]


def seconds(hand: Hand, moment: str) -> float:
    return (datetime.fromisoformat(moment) - hand.clock[0]).total_seconds()


def timer(state, key: str):
    return next(each for each in state["timers"] if each["key"] == key)


def shooting(hand: Hand) -> Json:
    """Up to the first full syringe."""
    hand.set_up()
    hand.heat_to(175.0, 174.0)
    hand.wait(30)
    hand.tap("stir")
    hand.read("A", 171.0)
    hand.read("B", 170.0)
    hand.tap("add", "A", supply="Penny", grams=0.41)
    hand.tap("add", "B", supply="Rind", grams=0.24)
    hand.wait(55)
    return hand.press("START")


def test_eight_ticks_come_one_at_a_time_and_the_mark_with_its_picture(hand):
    seen = []
    while (state := hand.state)["screen"]["key"].startswith("tick-"):
        seen.append(state["screen"]["big"]["text"])
        assert (state["screen"]["picture"] == "mark") is (state["screen"]["key"] == "tick-mark")
        hand.press("Seen to")
    assert len(seen) == 8
    assert hand.state["screen"]["key"] == "set-up-done"
    assert hand.press("Go to weighing")["state"] == "set up"
    assert hand.state["alerts"] == []


def test_a_skipped_mark_leaves_the_set_up_incomplete_for_all_to_see(hand):
    state = hand.press("Go on without the rest")
    (alert,) = state["alerts"]
    assert (alert["key"], alert["tone"]) == ("set-up", "warn")
    assert "not complete" in alert["text"]
    assert "BOTTOM" in alert["text"]


def test_cups_are_weighed_then_heated_stirred_coloured_and_read(hand):
    hand.tap("set_up", missing=[])
    state = hand.state
    assert (state["screen"]["title"], state["screen"]["big"]["text"]) == ("Weigh cup A", "161.3 g")
    hand.press("Weighed")
    state = hand.press("Weighed")
    assert state["screen"]["title"] == "Heat both cups"
    assert [each.split(":")[0] for each in labels(state)] == ["Oven on", "Another time", "A alone"]
    state = hand.press("A alone")
    assert (state["screen"]["title"], state["state"]) == ("Cup A is in the oven", "melting")
    assert seconds(hand, state["screen"]["big"]["at"]) == pytest.approx(
        hand.taps[-1]["data"]["seconds"]
    )
    hand.wait(hand.taps[-1]["data"]["seconds"] + 1)
    assert hand.state["screen"]["title"] == "Stir cup A"
    assert hand.press("Stirred A")["screen"]["title"] == "Into cup A: Peat"
    assert hand.press("It is in")["screen"]["title"] == "Read cup A"
    assert hand.read("A", 110.0)["screen"]["title"] == "Heat cup B"


def test_a_hot_pair_is_counted_down_to_its_start_with_a_range(hand):
    hand.set_up()
    hand.heat_to(175.0, 174.0)
    hand.wait(40)
    hand.tap("stir")
    hand.read("A", 169.5)
    state = hand.read("B", 168.8)
    start = timer(state, "start")
    low, mid, high = (seconds(hand, start[key]) for key in ("low", "at", "high"))
    assert 0 < low < mid < high < 150
    assert timer(state, "stop")["at"] > start["at"]
    assert 15 <= seconds(hand, timer(state, "read")["at"]) <= 60
    assert state["match"]["text"] == "A and B are matched."
    assert state["counts"]["shots_left"] == 4  # as many as there are moulds
    assert not timer(state, "read")["alarm"]


def test_the_curve_lets_a_device_tell_the_temperature_by_itself(hand):
    hand.set_up()
    state = hand.heat_to(175.0, 174.0)
    cup = state["cups"]["A"]
    assert cup["curve_from"] == state["now"]
    at, mid, low, high = zip(*cup["curve"], strict=True)
    assert at[0] == 0
    assert at[-1] >= 900
    assert list(mid) == sorted(mid, reverse=True)
    assert all(a <= b <= c for a, b, c in zip(low, mid, high, strict=True))
    hand.wait(100)
    later = hand.state["cups"]["A"]["now_c"]
    told = mid[at.index(100)] if 100 in at else mid[at.index(120)]
    assert later == pytest.approx(told, abs=3.0)


def test_a_metal_flake_is_not_offered_before_the_last_heat(hand):
    """Six shots to come and four moulds: there will be another heat."""
    hand.set_up()
    state = hand.heat_to(175.0, 174.0)
    shown = json.dumps(state["screen"])
    assert "Penny" not in state["screen"]["title"]
    assert "Into cup B: Rind" in shown
    assert labels(state) == ["Not in this heat", "It is in"]
    state = hand.press("Not in this heat")
    assert "For the last heat: Penny, Rind." in " ".join(state["screen"]["says"])


def test_a_cup_that_holds_metal_is_not_offered_the_oven_again(hand):
    shooting(hand)
    hand.press("Shot")
    hand.wait(200)
    state = hand.tap("stop")
    assert state["screen"]["title"] == "Cup A holds Penny"
    assert labels(state) == ["On to melt 2", "Draw all the same"]  # it is past its stop
    state = hand.tap("burst", seconds=10)
    assert state["alerts"][0]["tone"] == "stop"
    assert "metal sparks" in state["alerts"][0]["text"]


def test_shots_are_counted_and_each_mould_gets_its_clock(hand):
    state = shooting(hand)
    assert (state["state"], state["screen"]["title"]) == ("shooting", "Push: shot 1 of 6")
    state = hand.press("Shot")
    assert state["melt"]["shots_done"] == state["shots"]["done"] == 1
    opens = timer(state, "mould-1")
    assert 100 < seconds(hand, opens["low"]) < seconds(hand, opens["at"]) < 400
    assert state["log"][0]["can_undo_until"] is not None
    assert seconds(hand, state["log"][0]["can_undo_until"]) == pytest.approx(5.0, abs=0.01)
    assert state["cups"]["A"]["grams"] == pytest.approx(162.1 - 26.35, abs=0.2)


def test_an_undone_shot_gives_its_plastic_back(hand):
    shooting(hand)
    hand.press("Shot")
    shot = hand.taps[-1]["id"]
    state = hand.tap("correction", of=shot, void=True)
    assert state["shots"]["done"] == 0
    assert state["screen"]["title"] == "Push: shot 1 of 6"
    assert [each["is_void"] for each in state["log"] if each["id"] == shot] == [True]


def test_past_the_stop_the_large_thing_is_to_heat_again(hand):
    shooting(hand)
    metal = [tap["id"] for tap in hand.taps if tap["data"].get("supply") == "Penny"]
    for put in metal:
        hand.tap("correction", of=put, void=True)
    hand.press("Shot")
    hand.wait(300)
    state = hand.state
    assert state["screen"]["title"] in ("At the stop", "The first bait is out")
    assert hand.press("STOP")["state"] == "melting"


def test_past_the_stop_a_cup_with_metal_is_left_and_not_sent_to_the_oven(hand):
    shooting(hand)
    hand.press("Shot")
    hand.wait(300)
    state = hand.state
    assert state["screen"]["title"] == "Cup A holds Penny"
    assert labels(state)[0] == "On to melt 2"
    assert hand.press("On to melt 2")["melt"]["number"] == 2


def test_heat_again_past_the_stop_leads_to_the_oven_and_not_back_to_the_same_screen(hand):
    hand.set_up()
    hand.heat_to(174.0, 174.0)
    while hand.state["screen"]["key"].startswith("add-"):
        hand.press("Not in this heat")
    hand.wait(400)
    assert hand.state["screen"]["title"] == "Past the stop"
    assert hand.press("Heat again")["screen"]["title"].startswith("Heat ")


def test_syringes_that_are_full_wait_for_a_mould_and_not_for_the_oven(hand):
    shooting(hand)
    for _ in range(4):
        hand.press("Shot")
        hand.tap("draw")
    assert hand.state["screen"]["key"].startswith("open-")
    hand.wait(100)
    assert hand.state["screen"]["key"].startswith("open-")


def test_a_first_bait_with_its_dark_side_down_stops_the_run(hand):
    shooting(hand)
    hand.press("Shot")
    hand.tap("open", mould=1)
    state = hand.state
    assert labels(state) == ["Dark side up", "Dark side down"]
    state = hand.press("Dark side down")
    assert state["alerts"][0]["tone"] == "stop"
    assert "swapped" in state["alerts"][0]["text"]
    assert hand.tap("first_shot", dark_side_up=True)["alerts"] == []


def test_350_in_a_box_of_celsius_is_asked_about_and_counts_for_nothing_yet(hand):
    hand.set_up()
    hand.heat_to(175.0, 174.0)
    state = hand.read("A", 350.0)
    (question,) = state["questions"]
    assert question["text"].startswith("350 °C in cup A?")
    assert [each["label"] for each in question["choices"]] == [
        "350 °F = 177 °C", "It is 350 °C", "Neither: take it back",
    ]  # fmt: skip
    assert state["cups"]["A"]["now_c"] < 180
    state = hand.press("350 °F = 177 °C")
    assert state["questions"] == []
    assert state["cups"]["A"]["read_c"] == pytest.approx(176.7, abs=0.05)
    corrected = [each for each in state["log"] if each["was"]]
    assert corrected[0]["was"] == "Read cup A: 350 °C"
    assert corrected[0]["text"] == "Read cup A: 177 °C"


def test_a_reading_that_rises_without_heat_is_asked_about(hand):
    hand.set_up()
    hand.heat_to(150.0, 150.0)
    hand.wait(40)
    hand.tap("stir")
    state = hand.read("A", 164.0)
    (question,) = state["questions"]
    assert "By the readings before" in question["text"]
    state = hand.press("It is 164 °C")
    assert state["questions"] == []
    assert state["cups"]["A"]["read_c"] == 164.0


def test_a_forgotten_tare_is_asked_about(hand):
    hand.tap("set_up", missing=[])
    state = hand.tap("weigh", "A", grams=341.3, entered="341.3 g")
    (question,) = state["questions"]
    assert "is the empty cup (180 g) in it?" in question["text"]
    state = hand.press("Yes: 161.3 g of plastic")
    assert state["questions"] == []
    assert state["cups"]["A"]["grams"] == pytest.approx(162.1, abs=0.1)


def test_above_the_ceiling_the_word_is_stop_ventilate_do_not_heat_again(hand):
    hand.set_up()
    state = hand.heat_to(190.0, 174.0)
    alert = state["alerts"][0]
    assert alert["tone"] == "stop"
    for word in ("185 °C", "Stop", "Ventilate", "do not heat it again"):
        assert word in alert["text"]
    hand.wait(200)
    hand.tap("stir")
    hand.read("A", 160.0)
    assert [each["tone"] for each in hand.state["alerts"]] == ["warn"]


def test_a_reading_within_the_thermometers_doubt_of_the_ceiling_is_a_warning(hand):
    hand.set_up()
    state = hand.heat_to(181.0, 174.0)
    assert state["alerts"][0]["key"] == "near-ceiling-A"
    assert state["alerts"][0]["tone"] == "warn"


def test_a_stopped_run_asks_what_happened_and_goes_on(hand):
    shooting(hand)
    state = hand.tap("pause", why="the door")
    assert (state["is_stopped"], state["screen"]["title"]) == (True, "The run is stopped")
    assert state["screen"]["says"][0] == "the door"
    assert hand.press("Go on")["screen"]["title"] == "Push: shot 1 of 6"


def test_what_is_malformed_is_named_and_the_rest_of_the_queue_is_kept(hand):
    good = hand.event("note", text="fan on")
    bad = [
        {**hand.event("note"), "id": "short"},
        {**hand.event("note"), "kind": "explode"},
        {**hand.event("note"), "at": "yesterday"},
        {**hand.event("note"), "cup": "C"},
        hand.event("reading", None, celsius=170.0),
        hand.event("reading", "A", celsius="hot"),
        hand.event("reading", "A", celsius=float("nan")),
        hand.event("burst", "A", seconds=1e9),
        hand.event("correction", of="nothing"),
        {**hand.event("note"), "data": {"text": "x" * 9000}},
        "not an event",
    ]
    answer: Json = runs.record(hand.workshop, hand.code, [*bad, good], device="phone")
    assert answer["kept"] == [good["id"]]
    assert [each["place"] for each in answer["problems"]] == list(range(len(bad)))
    assert answer["state"]["number"] == 1


def test_two_devices_tell_one_run_and_both_see_all_of_it(hand):
    queue = [hand.event("note", text=f"phone {n}") for n in range(5)]
    runs.record(hand.workshop, hand.code, [hand.event("note", text="laptop")], device="laptop")
    runs.record(hand.workshop, hand.code, queue, device="phone")
    again: Json = runs.record(hand.workshop, hand.code, queue, device="phone")
    assert again["state"]["number"] == 6
    devices = {each["device"] for each in again["state"]["log"]}
    assert devices == {"phone", "laptop"}


def test_a_device_whose_clock_is_ahead_tells_nothing_of_the_future(hand):
    event = hand.event("burst", "A", seconds=60)
    event["at"] = "2027-01-01T00:00:00Z"
    answer: Json = runs.record(hand.workshop, hand.code, [event], device="phone")
    burst = timer(answer["state"], "burst-A")
    assert seconds(hand, burst["at"]) == pytest.approx(60.0)


def test_a_run_is_listed_with_how_far_it_is(hand):
    hand.set_up()
    (row,) = runs.listed(hand.workshop)
    assert (row["code"], row["recipe"], row["state"]) == (hand.code, "peat-over-chalk", "set up")


def test_a_run_needs_a_plan_and_a_mould(hand):
    with pytest.raises(NotFound):
        runs.begin(hand.workshop, "0000000000")
    with pytest.raises(OutOfRange, match="1 to 12 in rotation"):
        runs.begin(hand.workshop, hand.state["plan"], moulds=0)
    with pytest.raises(NotFound, match="No run has the code"):
        runs.state(hand.workshop, "0000000000")


def test_the_whole_state_is_plain_json(hand):
    shooting(hand)
    hand.press("Shot")
    text = json.dumps(hand.state, allow_nan=False)
    assert len(text) < 20_000


def test_a_draw_without_a_stir_is_on_record_as_that(hand):
    shooting(hand)
    assert hand.state["log"][0]["text"] == "Drawn, stirred 55 s before"
