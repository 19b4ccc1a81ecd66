"""A run's state is what its events say, in whatever order they arrived."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.process.amounts import plan_amounts
from partline.process.run import Event, Kind, Phase, as_it_stands, run_plan, run_state
from tests.process import shed

START = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
NOBODY: frozenset[str] = frozenset()


@pytest.fixture(scope="module")
def plan():
    recipe, mould, bench, shelf = shed.demo(3), shed.mould(), shed.bench(), shed.shelf()
    amounts = plan_amounts(recipe, mould, bench, shelf, good=40)
    return run_plan(amounts, recipe, bench, shelf, cavities=4, mark=mould.bottom_mark)


def tap(second: float, kind: Kind, cup: str | None = None, *, name: str = "", **data) -> Event:
    return Event(
        id=name or f"{kind.value}{second:g}",
        kind=kind,
        cup=cup,
        at=START + timedelta(seconds=second),
        data=data,
    )


def one_heat(start: float, shots: int) -> list[Event]:
    """One trip up to the band and its shots, as a hand taps them."""
    taps = [tap(start, Kind.BURST, seconds=60), tap(start + 70, Kind.STIR)]
    for cup, after in (("A", 80), ("B", 90)):
        taps.append(tap(start + after, Kind.READING, cup, celsius=172.0, entered="172", unit="C"))
    for shot in range(shots):
        taps.append(tap(start + 160 + 15 * shot, Kind.DRAW))
        taps.append(tap(start + 165 + 15 * shot, Kind.SHOT, mould=shot % 2 + 1, push_s=6.0))
    return [*taps, tap(start + 300, Kind.STOP)]


def whole_run() -> list[Event]:
    taps = [tap(0, Kind.TICK, key="air"), tap(5, Kind.SET_UP, missing=["mark"])]
    for number, shots in enumerate((3, 3, 3, 2)):
        taps += one_heat(100 + 1000 * number, shots)
    return [*taps, tap(5000, Kind.JUDGE, good=41, moulded=44), tap(5001, Kind.CLOSE)]


def test_the_demo_is_poured_from_two_melts_of_six_and_five_shots(plan):
    assert [melt.shots for melt in plan.melts] == [6, 5]
    # demo.md: 162.1 and 135.8 g a side, 4 g of film; a draw is 26.35 g a side
    assert plan.melts[0].cups["A"].mass == pytest.approx(0.1621, abs=5e-5)
    assert plan.melts[0].cups["A"].draw == pytest.approx(0.02635, abs=2e-5)
    assert plan.letters == ("A", "B")


def test_a_run_goes_through_its_states_in_order(plan):
    seen: list[Phase] = []
    for count in range(len(whole_run()) + 1):
        phase = run_state(whole_run()[:count], plan, doubted=NOBODY).phase
        if not seen or seen[-1] is not phase:
            seen.append(phase)
    heat = [Phase.MELTING, Phase.SHOOTING]
    assert seen == [
        Phase.PLANNED, Phase.SET_UP, *heat * 4, Phase.COOLING, Phase.JUDGED, Phase.CLOSED,
    ]  # fmt: skip


def test_shots_draws_and_heats_are_counted_by_melt(plan):
    state = run_state(whole_run(), plan, doubted=NOBODY)
    assert [(shot.melt, shot.heat) for shot in state.shots] == [
        *[(1, 1)] * 3, *[(1, 2)] * 3, *[(2, 1)] * 3, *[(2, 2)] * 2,
    ]  # fmt: skip
    assert (state.good, state.moulded) == (41, 44)
    assert state.skipped == frozenset({"mark"})
    cup = state.cups["A"]
    assert len(cup.draws) == 5
    assert cup.mass == pytest.approx(plan.bench.vessel.film.value, abs=1e-6)


def test_mass_is_kept_between_cup_and_draws(plan):
    for count in range(len(whole_run())):
        state = run_state(whole_run()[:count], plan, doubted=NOBODY)
        for letter, cup in state.cups.items():
            planned = plan.melts[state.melt - 1].cups[letter].mass
            assert cup.mass + sum(mass for _, mass in cup.draws) == pytest.approx(planned)


@given(order=st.permutations(whole_run()))
@settings(deadline=None, max_examples=30)
def test_the_order_of_arrival_changes_nothing(plan, order):
    assert run_state(order, plan, doubted=NOBODY) == run_state(whole_run(), plan, doubted=NOBODY)


def test_a_corrected_reading_counts_and_the_old_one_stays_on_record(plan):
    taps = [
        *one_heat(0, 0)[:2],
        tap(80, Kind.READING, "A", name="r", celsius=147.0, entered="147", unit="C"),
        tap(95, Kind.CORRECTION, of="r", data={"celsius": 174.0, "entered": "174"}),
    ]
    state = run_state(taps, plan, doubted=NOBODY)
    (reading,) = state.cups["A"].readings
    assert reading.temperature == pytest.approx(174.0 + 273.15)
    (told,) = [each for each in state.told if each.event.id == "r"]
    assert (told.first.data["celsius"], told.event.data["celsius"]) == (147.0, 174.0)


def test_a_shot_taken_back_is_no_shot_and_taking_that_back_makes_it_one_again(plan):
    taps = one_heat(0, 1)[:-1]
    shot = next(event for event in taps if event.kind is Kind.SHOT)
    undone = [*taps, tap(170, Kind.CORRECTION, name="undo", of=shot.id, void=True)]
    assert run_state(undone, plan, doubted=NOBODY).shots == ()
    redone = [*undone, tap(172, Kind.CORRECTION, of="undo", void=True)]
    assert len(run_state(redone, plan, doubted=NOBODY).shots) == 1


def test_the_newest_correction_counts_and_one_of_a_correction_reaches_what_it_was_about():
    taps = [
        tap(0, Kind.WEIGH, "A", name="w", grams=100.0),
        tap(1, Kind.CORRECTION, name="c1", of="w", data={"grams": 110.0}),
        tap(2, Kind.CORRECTION, name="c2", of="c1", data={"grams": 120.0}),
        tap(3, Kind.CORRECTION, name="c3", of="nothing", data={"grams": 1.0}),
        tap(4, Kind.CORRECTION, name="c4", of="c4", data={"grams": 1.0}),
    ]
    (told,) = as_it_stands(taps)
    assert (told.event.data["grams"], told.corrected_by) == (120.0, "c2")


def test_what_was_asked_about_and_not_answered_counts_for_nothing_yet(plan):
    taps = [tap(80, Kind.READING, "A", name="r", celsius=350.0, entered="350", unit="C")]
    assert run_state(taps, plan, doubted=frozenset({"r"})).cups["A"].readings == ()


def test_a_hand_that_tapped_only_the_shot_has_drawn_as_well(plan):
    state = run_state([tap(10, Kind.SHOT, mould=1)], plan, doubted=NOBODY)
    assert state.phase is Phase.SHOOTING
    assert len(state.cups["B"].draws) == len(state.shots) == 1
    assert not state.is_drawn


def test_a_mould_that_is_filled_again_was_opened_before(plan):
    taps = [
        tap(10, Kind.SHOT, mould=1),
        tap(200, Kind.SHOT, mould=1),
        tap(210, Kind.SHOT, mould=2),
    ]
    state = run_state(taps, plan, doubted=NOBODY)
    assert set(state.closed_moulds) == {1, 2}
    assert state.shots[0].opened_at == START + timedelta(seconds=200)


@pytest.mark.parametrize(
    ("what", "phase"),
    [("finished", Phase.COOLING), ("stopped", Phase.MELTING), ("reheat", Phase.MELTING)],
)
def test_a_stopped_run_is_resumed_by_what_happened_meanwhile(plan, what, phase):
    taps = [*one_heat(0, 2)[:-1], tap(200, Kind.PAUSE, why="the door")]
    assert run_state(taps, plan, doubted=NOBODY).is_stopped
    resumed = run_state([*taps, tap(300, Kind.RESUME, what=what)], plan, doubted=NOBODY)
    assert (resumed.is_stopped, resumed.phase) == (False, phase)


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind is not Kind.CORRECTION])
@pytest.mark.parametrize("cup", [None, "A", "B"])
def test_any_event_at_any_moment_leaves_a_state(plan, kind, cup):
    """What a second device tells may come at any moment and lack anything."""
    for start in range(0, len(whole_run()), 5):
        taps = whole_run()[:start]
        state = run_state([*taps, tap(6000, kind, cup)], plan, doubted=NOBODY)
        assert 1 <= state.melt <= 2
        assert all(cup.mass >= 0 for cup in state.cups.values())


def test_a_cup_that_is_stirred_was_taken_out_of_the_oven(plan):
    taps = [tap(0, Kind.BURST, "A", seconds=60), tap(40, Kind.STIR, "A")]
    (burst,) = run_state(taps, plan, doubted=NOBODY).cups["A"].bursts
    assert burst.seconds == 40.0


def test_the_last_shot_of_a_melt_leads_to_the_next_filling(plan):
    taps = [*one_heat(0, 6)]
    state = run_state(taps, plan, doubted=NOBODY)
    assert (state.phase, state.melt, state.cups["A"].is_weighed) == (Phase.MELTING, 2, False)
