"""The serving machine's own bell: once for each clock that comes due, and never for old ones."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from partline.interfaces.web.ringing import Bell

NOW = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)


def at(seconds: float) -> datetime:
    return NOW + timedelta(seconds=seconds)


def state(
    *timers: tuple[str, float], code: str = "R", practice: bool = False
) -> dict[str, object]:
    told = [
        {"key": key, "label": key.title(), "at": at(due).isoformat(), "alarm": key != "read"}
        for key, due in timers
    ]
    return {"code": code, "timers": told, "is_practice": practice}


@pytest.fixture
def rung() -> list[str]:
    return []


@pytest.fixture
def bell(rung: list[str]) -> Bell:
    return Bell(rung.append)


def test_a_clock_rings_once_when_it_is_due(bell, rung):
    bell.heed(state(("start", 10), ("read", 10)))
    for second in range(9, 40):
        bell.look(at(second))
    assert rung == ["Start now · run R"]


def test_a_forecast_that_trembles_does_not_ring_twice_and_one_that_moves_on_does(bell, rung):
    bell.heed(state(("start", 10)))
    bell.look(at(10))
    bell.heed(state(("start", 11)))
    bell.look(at(11))
    assert len(rung) == 1
    bell.heed(state(("start", 60)))
    bell.look(at(12))
    bell.look(at(60))
    assert len(rung) == 2


def test_what_was_due_long_ago_and_what_is_only_practised_stays_silent(bell, rung):
    bell.heed(state(("stop", 10)))
    bell.look(at(60))
    bell.heed(state(("start", 70), code="P", practice=True))
    bell.look(at(70))
    assert rung == []


def test_two_runs_ring_each_for_itself_and_a_clock_that_is_gone_does_not(bell, rung):
    bell.heed(state(("mould-1", 5), code="R1"))
    bell.heed(state(("mould-1", 5), code="R2"))
    bell.heed(state(code="R2"))
    bell.look(at(5))
    assert rung == ["Mould-1 now · run R1"]
