"""`partline open` and `partline shots`, as they print and as they refuse."""

from __future__ import annotations

import pytest

from tests.interfaces.command import Run
from tests.process.shed import SHED, demo_path

REED, BENCH = SHED / "moulds" / "reed-130.toml", SHED / "bench.toml"
SHOTS = ("shots", demo_path(3), "--mould", REED, "--bench", BENCH, "--count", 40)


def test_the_demos_body_opens_near_three_ten(run: Run):
    ran = run("open", REED, "--from", "163C", "--wall", "40C", "--open-at", "60C", "--json")
    assert ran.status == 0
    assert 188 <= ran.json["open_s"]["value"] <= 200


def test_an_opening_reads_in_minutes_with_its_range(run: Run):
    ran = run("open", REED, "--bench", BENCH, "--shots", 3)
    assert "open after 3:14 (2:42–4:14) min" in ran.out
    assert "core of the belly is at 60 °C" in ran.out
    assert ran.out.count("open after") == 4
    assert "Hot plastic sticks" in ran.out


def test_a_wall_too_warm_is_refused_with_what_to_do(run: Run):
    ran = run("open", REED, "--wall", "60C", "--json")
    assert ran.status == 2
    assert ran.json["error"]["kind"] == "Impossible"
    assert "Cool the mould" in ran.err


def test_a_temperature_without_a_letter_is_asked_about(run: Run):
    ran = run("open", REED, "--wall", "40", "--json")
    assert ran.status == 2
    assert ran.json["error"]["kind"] == "Ambiguous"
    assert ran.json["error"]["field"] == "wall"


@pytest.mark.parametrize(("moulds", "heats"), [(1, 11), (2, 6), (4, 3)])
def test_moulds_decide_the_heats(run: Run, moulds: int, heats: int):
    ran = run(*SHOTS, "--moulds", moulds, "--json")
    assert ran.status == 0
    assert ran.json["heats"] == heats


def test_the_heats_read_as_a_table_and_a_timeline(run: Run):
    ran = run(*SHOTS, "--moulds", 4, "--wall", "35C", "--mould-mass", "1.5 kg")
    assert "1 mould : 11 heats, 9 of them top-ups" in ran.out
    assert "4 moulds: 3 heats" in ran.out
    assert ran.out.count("mould 1, cup") == 3
    assert run(*SHOTS, "--moulds", 40).status == 2
