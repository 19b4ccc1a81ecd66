"""Whatever is told of a run, and in whatever order, the bench screen leads on."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from partline.process.run import Kind
from partline.records.workshop import Workshop
from partline.services import runs
from partline.services.runcard import keep_plan
from partline.services.runs import practice
from partline.services.workshop import load_demo, open_at

BEGUN = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
Json = dict[str, Any]
#: Events can be told of so long a time. [s]
LASTS = 2400


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Workshop, str]]:
    with open_at(tmp_path_factory.mktemp("any") / "shed") as workshop:
        load_demo(workshop)
        recipe = workshop.recipes.named("peat-over-chalk").version
        plan = keep_plan(
            workshop, recipe_id=recipe.document_id, recipe_version=recipe.number,
            mould_id=workshop.moulds.named("reed-130").version.document_id,
            bench_id=workshop.benches.named("Vessary Shed").version.document_id, good=40,
        )  # fmt: skip
        yield workshop, plan.code


#: Temperatures at which much is decided, and any other. [°C]
TEMPERATURES = st.one_of(
    st.sampled_from([150.0, 160.0, 162.9, 163.0, 165.0, 172.0, 175.0, 185.0, 350.0]),
    st.floats(-50.0, 800.0).map(lambda value: round(value, 1)),
)
DATA: dict[Kind, st.SearchStrategy[Json]] = {
    Kind.TICK: st.fixed_dictionaries({"key": st.sampled_from(["air", "mark", "none such"])}),
    Kind.SET_UP: st.fixed_dictionaries({"missing": st.just(["air"])}),
    Kind.WEIGH: st.fixed_dictionaries({"grams": st.sampled_from([0.0, 161.7, 341.7, 9000.0])}),
    Kind.BURST: st.fixed_dictionaries({"seconds": st.sampled_from([1, 5, 30, 90, 900])}),
    Kind.READING: st.fixed_dictionaries(
        {"celsius": TEMPERATURES, "unit": st.sampled_from(["C", "F"]), "entered": st.just("x")}
    ),
    Kind.ADD: st.fixed_dictionaries(
        {"supply": st.sampled_from(["Penny", "Rind", "Peat", "?"]),
         "grams": st.sampled_from([0.0, 0.4, 5000.0])}
    ),
    Kind.HEAT: st.one_of(
        st.just({}), st.fixed_dictionaries({"melt": st.sampled_from([1, 2, 3, 1000])})
    ),
    Kind.SHOT: st.fixed_dictionaries({"mould": st.integers(1, 12)}),
    Kind.OPEN: st.fixed_dictionaries({"mould": st.integers(1, 12)}),
    Kind.FIRST_SHOT: st.fixed_dictionaries({"dark_side_up": st.booleans()}),
    Kind.RESUME: st.fixed_dictionaries(
        {"what": st.sampled_from(["", "finished", "stopped", "reheat", "?"])}
    ),
    Kind.WRONG: st.fixed_dictionaries({"what": st.sampled_from(["swapped", "spill", "?"])}),
    Kind.JUDGE: st.fixed_dictionaries({"good": st.integers(0, 50), "moulded": st.integers(0, 50)}),
    Kind.LOOK: st.fixed_dictionaries(
        {"look": st.sampled_from(["ring", "changes"]), "seen": st.booleans()}
    ),
    Kind.PHOTO_MEASURE: st.fixed_dictionaries(
        {"photo": st.sampled_from(["P1", "P2"]), "subject": st.sampled_from(["bait", "sprue"]),
         "day": st.integers(0, 40),
         "figures": st.just({"halves": {"low": 1.0, "value": 2.0, "high": 3.0}})}
    ),
    Kind.CAUSE: st.fixed_dictionaries(
        {"cause": st.sampled_from(["wrap-round", "mixed in the shot", None])}
    ),
    Kind.PIN: st.fixed_dictionaries({"pinned": st.booleans()}),
    Kind.SET_ASIDE: st.fixed_dictionaries({"aside": st.booleans()}),
    Kind.CONFIRM: st.fixed_dictionaries({"question": st.sampled_from(["?", "reading-?"])}),
}  # fmt: skip
#: A run is made of these; the rest happens now and then.
OFTEN = [Kind.BURST, Kind.READING, Kind.DRAW, Kind.SHOT, Kind.STOP, Kind.HEAT, Kind.STIR]


@st.composite
def told(draw: st.DrawFn) -> list[Json]:
    """Well-formed events of any kind at any time, some of them corrected or taken back."""
    kinds = draw(st.lists(st.sampled_from([*Kind, *OFTEN, *OFTEN]), min_size=1, max_size=25))
    events: list[Json] = []
    for place, kind in enumerate(kinds):
        data = draw(DATA.get(kind, st.just({})))
        if kind is Kind.CORRECTION:
            target = draw(st.integers(0, place))
            changed: Json = draw(st.sampled_from([{"void": True}, {"data": {"celsius": 170.0}}]))
            data = {"of": f"ANY{target:017d}", **changed}
        cup = draw(st.sampled_from(["A", "B"] if kind in (Kind.READING, Kind.WEIGH)
                                   else ["A", "B", None]))  # fmt: skip
        at = BEGUN + timedelta(seconds=draw(st.integers(0, LASTS)))
        events.append(
            {"id": f"ANY{place:017d}", "kind": kind.value, "cup": cup,
             "at": at.isoformat().replace("+00:00", "Z"), "data": data}
        )  # fmt: skip
    return events


@given(told(), st.integers(0, LASTS))
@settings(
    deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_events_leave_a_state_with_something_to_press_and_a_bench_to_look_at(
    bench, events, later
):
    workshop, plan = bench
    clock = BEGUN + timedelta(seconds=LASTS + later)
    with patch.object(runs, "now", lambda: BEGUN):
        code = runs.begin(workshop, plan, moulds=3, practice={"seed": 5})
    with patch.object(runs, "now", lambda: clock):
        answer: Any = runs.record(workshop, code, events, device="any")
    assert answer["problems"] == []
    state = answer["state"]
    controls = state["screen"]["controls"]
    assert len(controls) <= 3
    assert controls or state["state"] == "closed"
    for cup in ("A", "B"):
        shown = practice.reading(workshop, code, cup, now=clock)
        assert shown["shows"] or shown["why"]
    seen: Any = practice.sees(workshop, code, now=clock)
    assert seen["cups"].keys() == {"A", "B"}
    score: Any = practice.score(workshop, code, now=clock)
    assert score["shots"]["of"] == 11
