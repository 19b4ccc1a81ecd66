"""Good runs pinned, compared with, searched and set aside: derived from events alone."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import Ambiguous, InputError, NotFound, OutOfRange
from partline.process.recipe import Half
from partline.services import runs
from partline.services.luck import apart_sentence, luck_answer, read_tally
from partline.services.runs import recall
from partline.services.runs.export import export_run
from partline.services.runs.paper import keep_card
from partline.services.runs.recall import changed, find, pin, run_luck, set_aside
from partline.services.runs.recall.asking import read_condition
from partline.services.runs.recall.differing import run_differences
from partline.services.runs.recall.facts import run_facts
from partline.services.runs.recall.fields import FIELDS
from tests.services.bench_hand import Hand, at_the_bench
from tests.services.test_runs_paper import FULL


@pytest.fixture
def hand(tmp_path, monkeypatch) -> Iterator[Hand]:
    with at_the_bench(tmp_path, monkeypatch) as found:
        monkeypatch.setattr(recall, "now", lambda: found.clock[0])
        yield found


def pour(hand, a=174.0, b=173.0, wait=70.0, push=6.0, shots=4, good=15):
    """One heat from the set-up to the judgement."""
    hand.set_up()
    hand.heat_to(a, b)
    hand.wait(wait)
    hand.tap("stir")
    hand.wait(5)
    for number in range(shots):
        hand.tap("draw")
        hand.wait(push)
        hand.tap("shot", push_s=push, mould=number % 4 + 1)
        hand.wait(30)
    hand.tap("finish")
    hand.tap("judge", good=good, moulded=4 * shots)
    return hand.code


def another(hand, **more):
    """A further run of the same plan on the next day."""
    hand.clock[0] += timedelta(days=1)
    plan = hand.workshop.runs.get(hand.code).plan_code
    code = runs.begin(hand.workshop, plan, moulds=more.pop("moulds", 4))
    hand.code, hand.count = code, hand.count + 1000
    return pour(hand, **more)


def texts(answer):
    return {each["what"]: (each["then"], each["now"]) for each in answer["changes"]}


# --- pins ----------------------------------------------------------------------------------------


def test_a_pin_stands_in_the_state_the_list_the_record_and_the_export_and_comes_off_again(hand):
    code = pour(hand)
    before = hand.state["number"]
    pin(hand.workshop, code, text="tail crisp")
    state = hand.state
    assert (state["is_pinned"], state["number"]) == (True, before + 1)
    assert state["record"][-1]["text"] == "Pinned as a good run: tail crisp"
    assert runs.listed(hand.workshop)[0]["is_pinned"]
    assert export_run(hand.workshop, code)["stands"]["is_pinned"]
    pin(hand.workshop, code, pinned=False)
    assert not hand.state["is_pinned"]
    assert hand.state["record"][-1]["text"] == "Pin taken off"
    assert len(hand.state["record"]) == before + 2


def test_a_pin_that_is_taken_back_counts_for_nothing(hand):
    code = pour(hand)
    pin(hand.workshop, code)
    (told,) = [each for each in hand.workshop.runs.events(code) if each.kind.value == "pin"]
    hand.tap("correction", of=told.id, void=True)
    assert not hand.state["is_pinned"]


def test_a_pin_leaves_the_state_of_the_run_as_it_was(hand):
    hand.set_up()
    before = hand.state["state"]
    pin(hand.workshop, hand.code)
    assert hand.state["state"] == before


@pytest.mark.parametrize(("kind", "key"), [("pin", "pinned"), ("set_aside", "aside")])
@pytest.mark.parametrize("said", [{}, {"yes": True}, {"pinned": 1, "aside": "no"}])
def test_a_pin_that_says_neither_yes_nor_no_is_refused(hand, kind, key, said):
    answer: Any = runs.record(hand.workshop, hand.code, [hand.event(kind, **said)])
    (problem,) = answer["problems"]
    assert problem["field"] == f"data.{key}"
    assert "true or false" in problem["message"]


def test_no_run_can_be_pinned_that_is_not_there(hand):
    with pytest.raises(NotFound):
        pin(hand.workshop, "AAAAAAAAAA")


# --- facts ---------------------------------------------------------------------------------------


def test_the_start_is_how_warm_the_cup_was_at_the_draw_and_not_its_last_reading(hand):
    code = pour(hand, a=174.0, wait=70.0)
    (heat,) = run_facts(hand.workshop, code).heats
    low, middle, high = heat.start["A"]
    # 174 °C and 75 s later: at 22 °C the demo's cup loses about 5.4 K in its first 40 s.
    assert 160 < middle - 273.15 < 168
    assert low < middle < high
    assert heat.shots == 4
    assert heat.push == pytest.approx(6.0)
    assert heat.stir_age == pytest.approx(5.0)
    assert heat.stop["A"] < middle


def test_a_card_tells_its_own_start_and_stop_and_no_stirs(hand):
    plan = hand.workshop.runs.get(hand.code).plan_code
    known = run_facts(hand.workshop, keep_card(hand.workshop, plan, FULL))
    first = known.heats[0]
    assert first.start["A"][1] == pytest.approx(163 + 273.15)
    assert first.start["B"][1] == pytest.approx(162 + 273.15)
    assert first.apart == pytest.approx(1.0)
    assert not first.is_stir_known
    assert known.heats[-1].stop == pytest.approx({"A": 425.15, "B": 424.15})
    assert known.wrong == ("short",)
    assert sum(heat.shots for heat in known.heats) == 11


def test_a_heat_of_a_card_without_its_start_has_none_whatever_it_was_fused_at(hand):
    plan = hand.workshop.runs.get(hand.code).plan_code
    heats = run_facts(
        hand.workshop, keep_card(hand.workshop, plan, FULL | {"start_a": "171"})
    ).heats
    assert heats[0].start["A"][1] == pytest.approx(171 + 273.15)
    assert all("A" not in heat.start for heat in heats[1:])


def test_cavities_marked_bad_shot_by_shot_say_how_alike_baits_of_a_shot_are(hand):
    plan = hand.workshop.runs.get(hand.code).plan_code
    known = run_facts(hand.workshop, keep_card(hand.workshop, plan, FULL), with_heats=False)
    assert known.tally is not None
    assert known.tally.likeness is not None
    assert known.tally.likeness.count == 11
    assert not known.tally.likeness.origin.is_guess
    fewer = FULL | {"bad": "3:1", "good": "41"}  # two more were bad, nobody said in which shots
    other = run_facts(hand.workshop, keep_card(hand.workshop, plan, fewer), with_heats=False)
    assert other.tally is not None
    assert other.tally.likeness is not None
    assert other.tally.likeness.origin.is_guess


def test_facts_are_anew_after_every_event(hand):
    code = pour(hand, good=15)
    assert run_facts(hand.workshop, code).state.good == 15
    hand.tap("judge", good=12, moulded=16)
    assert run_facts(hand.workshop, code).state.good == 12


# --- what changed --------------------------------------------------------------------------------


def test_a_hot_and_hasty_run_lists_its_start_and_its_push_first(hand):
    good = pour(hand)
    pin(hand.workshop, good)
    bad = another(hand, a=180.0, wait=15.0, push=2.5, good=3)
    answer = changed(hand.workshop, bad)
    assert answer["good_run"]["code"] == good
    found = texts(answer)
    assert {each["what"] for each in answer["changes"][:2]} == {"Start A", "Push"}
    assert found["Push"] == ("6.0 s", "2.5 s")
    assert all("°C" in side for side in found["Start A"])
    steps = [each["steps"] for each in answer["changes"]]
    assert steps == sorted(steps, reverse=True)
    assert answer["luck"].startswith("This run is worse")
    assert f"Since run {good} (15 of 16 good)" in answer["says"]


def test_a_run_like_the_good_one_has_nothing_to_list(hand):
    pin(hand.workshop, pour(hand))
    answer = changed(hand.workshop, another(hand))
    assert answer["changes"] == []
    assert "nothing changed" in answer["says"]
    assert answer["luck"].startswith("Cannot tell")


def test_without_a_pin_the_best_of_its_kind_is_named_and_nothing_compared(hand):
    good = pour(hand)
    answer = changed(hand.workshop, another(hand, good=3))
    assert (answer["good_run"], answer["changes"]) == (None, [])
    assert (
        "No earlier good run is pinned for reed-130 with Peat (back), Chalk + Rind (belly)"
        in (answer["says"])
    )
    assert good in answer["says"]


def test_a_spoiled_run_is_never_offered_to_be_pinned(hand):
    spoiled = pour(hand, good=2)
    said = changed(hand.workshop, another(hand))["says"]
    assert f"None of its kind came out well yet; the best is run {spoiled}, 2 of 16 good." in said
    assert "pin it" not in said


def test_a_run_that_was_set_aside_is_nothing_to_go_back_to(hand):
    good = pour(hand)
    pin(hand.workshop, good)
    second = another(hand)
    set_aside(hand.workshop, good, why="power cut")
    assert changed(hand.workshop, second)["good_run"] is None
    set_aside(hand.workshop, good, aside=False)
    assert changed(hand.workshop, second)["good_run"]["code"] == good


def test_a_run_goes_back_to_one_before_it_and_never_to_itself(hand):
    first = pour(hand)
    second = another(hand)
    pin(hand.workshop, first)
    pin(hand.workshop, second)
    assert changed(hand.workshop, second)["good_run"]["code"] == first
    assert changed(hand.workshop, first)["good_run"] is None
    assert changed(hand.workshop, first, since=second)["good_run"]["code"] == second


def test_a_plan_is_todays_set_up_and_compared_before_anything_is_heated(hand):
    good = pour(hand)
    pin(hand.workshop, good)
    plan = hand.workshop.runs.get(good).plan_code
    answer = changed(hand.workshop, plan)
    assert answer["is_plan"]
    assert answer["good_run"]["code"] == good
    assert answer["changes"] == []
    with pytest.raises(NotFound):
        changed(hand.workshop, "AAAAAAAAAA")


def test_an_amount_another_bottle_and_another_plastisol_are_told_with_their_sides(hand):
    then = run_facts(hand.workshop, pour(hand))
    loaded = [
        replace(each, amount=3.0) if each.supply == "Peat" else each
        for each in then.poured.loaded
        if each.supply != "Rind"
    ]
    blends = {**then.poured.blends, Half.BELLY: "medium"}
    now = replace(then, poured=replace(then.poured, loaded=tuple(loaded), blends=blends))
    found = {each.what: each for each in run_differences(then, now)}
    assert (
        found["Peat, back"].words == "Peat, back: 9 drops per 100 g then, 3 drops per 100 g now."
    )
    assert (found["Rind, belly"].then, found["Rind, belly"].now) == ("3 drops per 100 g", "none")
    assert found["Plastisol, belly"].now == "medium"
    back = {each.what: each for each in run_differences(now, then)}
    assert {key: each.steps for key, each in back.items()} == {
        key: each.steps for key, each in found.items()
    }


def test_a_bench_that_reads_fahrenheit_is_told_so(hand):
    then = run_facts(hand.workshop, pour(hand))
    bench = replace(then.poured.bench, reads_fahrenheit=True)
    (heat,) = then.heats
    warmer = {k: (low + 8, mid + 8, high + 8) for k, (low, mid, high) in heat.start.items()}
    hotter = replace(heat, start=warmer)
    now = replace(then, poured=replace(then.poured, bench=bench), heats=(hotter,))
    found = {each.what: each for each in run_differences(then, now)}
    assert found["Start A"].now.endswith("°F")
    assert found["Start A"].then.endswith("°F")


def test_one_thing_is_told_once_where_it_differs_most_of_all_heats(hand):
    plan = hand.workshop.runs.get(hand.code).plan_code
    then = run_facts(hand.workshop, keep_card(hand.workshop, plan, FULL))
    by = {0: 8.0, 1: 0.0, 2: 5.0, 3: 0.0}  # the card gives a start for each melt
    heats = tuple(
        replace(heat, start={k: (a + by[n], b + by[n], c + by[n])
                             for k, (a, b, c) in heat.start.items()})
        for n, heat in enumerate(then.heats)
    )  # fmt: skip
    found = run_differences(then, replace(then, heats=heats))
    assert [each.what for each in found] == [
        "Start A, melt 1, heat 1 and 1 more", "Start B, melt 1, heat 1 and 1 more",
    ]  # fmt: skip
    assert (found[0].then, found[0].now) == ("163 °C", "171 °C")


def test_what_nobody_told_is_not_compared(hand):
    then = run_facts(hand.workshop, pour(hand))
    (heat,) = then.heats
    unread = replace(then, heats=(replace(heat, start={}, push=None, stop={}),))
    assert run_differences(then, unread) == ()


# --- search --------------------------------------------------------------------------------------


def codes(answer):
    return [each["code"] for each in answer["runs"]]


def test_every_run_of_a_belly_colour_started_below_a_temperature(hand):
    cool = pour(hand, a=170.0, b=169.0, wait=90.0)
    hot = another(hand, a=180.0, b=179.0, wait=5.0, good=2)
    workshop = hand.workshop
    assert codes(find(workshop, ["belly colourant = chalk"])) == [hot, cool]
    assert codes(find(workshop, ["belly colourant = Chalk", "start < 165 °C"])) == [cool]
    assert codes(find(workshop, ["start >= 329 F"])) == [hot]
    assert codes(find(workshop, ["mould = reed-130", "good share > 0.9"])) == [cool]
    assert codes(find(workshop, ["good share < 50 %"])) == [hot]
    assert codes(find(workshop, ["belly colourant = Peat"])) == []
    assert codes(find(workshop, ["belly colourant is not Peat"])) == [hot, cool]
    assert codes(find(workshop, [])) == [hot, cool]
    pin(workshop, cool)
    assert codes(find(workshop, [])) == [cool, hot]
    assert codes(find(workshop, ["pinned = no"])) == [hot]


def test_a_search_shows_what_it_asked_for_and_tells_apart_what_is_not_known(hand):
    code = pour(hand)
    plan = hand.workshop.runs.get(code).plan_code
    unread = runs.begin(hand.workshop, plan)
    answer = find(hand.workshop, ["start above 100 C", "push = 6 s"])
    assert codes(answer) == [code]
    shows = {each["what"]: each["text"] for each in answer["runs"][0]["shows"]}
    assert shows["push"] == "6.0 s"
    assert "°C" in shows["start"]
    assert answer["unknown"] == [{"code": unread, "missing": ["start", "push"]}]


def test_practice_runs_and_those_set_aside_are_left_out_unless_asked_for(hand):
    code = pour(hand)
    plan = hand.workshop.runs.get(code).plan_code
    practice = runs.begin(hand.workshop, plan, practice={"seed": 1})
    set_aside(hand.workshop, code)
    assert codes(find(hand.workshop, [])) == []
    assert codes(find(hand.workshop, ["set aside = yes"])) == [code]
    assert codes(find(hand.workshop, ["practice = yes"])) == [practice]


@pytest.mark.parametrize(
    "nonsense",
    ["", "start", "start <", "< 160 C", "start << 160 C", "colour = Chalk", "start < warm",
     "__import__('os') = 1", "mould > reed-130", "start < 160 C and push > 1 s", "x" * 200,
     "start = 5 g", "good share > 5 kg", "push < -"],
)  # fmt: skip
def test_nonsense_is_refused_in_a_sentence(nonsense):
    with pytest.raises(InputError) as refusal:
        read_condition(nonsense)
    assert str(refusal.value)
    assert len(str(refusal.value)) < 500


def test_a_temperature_without_its_unit_is_asked_about():
    with pytest.raises(Ambiguous):
        read_condition("start < 160")


@given(st.text(max_size=140))
def test_whatever_is_typed_is_read_or_refused_in_words(text):
    with suppress(InputError):
        assert read_condition(text).field in FIELDS.values()


@given(st.sampled_from(["<", "<=", ">", ">=", "=", "!=", "≤", "≥", "≠"]), st.integers(-20, 250))
def test_signs_and_scales_are_read_the_same(sign, celsius):
    one = read_condition(f"start {sign} {celsius} °C")
    other = read_condition(f"Start{sign}{celsius * 1.8 + 32:.1f}F")
    assert one.sign == other.sign
    assert one.value == pytest.approx(other.value, abs=1e-6)


def test_too_many_conditions_are_refused(hand):
    with pytest.raises(InputError):
        find(hand.workshop, ["good > 1"] * 9)


# --- luck ----------------------------------------------------------------------------------------


def test_a_runs_luck_says_its_range_and_what_is_guessed_of_baits_of_one_shot(hand):
    assert run_luck(hand.workshop, hand.code) is None
    code = pour(hand, good=15)
    luck = run_luck(hand.workshop, code)
    assert luck is not None
    assert luck["sentence"].startswith("15 of 16 good: the true share is between 72 % and 99 %")
    assert luck["alike"].startswith("Guessed")
    assert luck["counts_as"] == pytest.approx(6.4)


@pytest.mark.parametrize("good", [17, 400])
def test_more_good_than_moulded_has_no_luck(hand, good):
    code = pour(hand, good=15)
    hand.tap("judge", good=good, moulded=16)
    assert run_luck(hand.workshop, code) is None
    assert changed(hand.workshop, code)["luck"] is None


def test_three_of_four_against_seven_of_eight_cannot_be_told_and_says_what_would():
    answer = luck_answer(read_tally("3/4"), read_tally("7 of 8"))
    assert answer["apart"]["verdict"] == "open"
    assert "118 baits of each" in answer["apart"]["would_take"]
    assert "slices" in answer["apart"]["would_take"]
    assert any("Cannot tell" in each for each in answer["says"])


def test_a_clear_difference_is_said_either_way():
    first, second = read_tally("1/8"), read_tally("41/44")
    assert apart_sentence(first, second).startswith("The second is better")
    assert apart_sentence(second, first, "this run").startswith("This run is worse")
    assert luck_answer(first, second)["apart"]["would_take"] is None


def test_equal_shares_cannot_be_told_apart_by_any_number():
    answer = luck_answer(read_tally("3/4"), read_tally("6/8"))
    assert answer["apart"]["baits_needed"] is None
    assert "no number of baits" in answer["apart"]["would_take"]


@pytest.mark.parametrize("text", ["", "3", "3/", "three/4", "3/4/5", "-1/4", "3.5/4"])
def test_what_is_no_count_is_refused(text):
    with pytest.raises(InputError):
        read_tally(text)


def test_more_good_than_counted_is_refused():
    with pytest.raises(OutOfRange):
        read_tally("5/4")
    with pytest.raises(OutOfRange):
        read_tally("3/4", per_shot=0)
