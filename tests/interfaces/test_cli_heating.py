"""`partline heat`, as it prints and as it refuses."""

from __future__ import annotations

from pathlib import Path

from tests.interfaces.command import Run
from tests.process.shed import SHED, demo_path

BENCH = SHED / "bench.toml"
HEAT = ("heat", demo_path(3), "--mould", SHED / "moulds" / "reed-130.toml", "--count", 40)


def test_a_heat_reads_burst_by_burst(run: Run):
    ran = run(*HEAT, "--bench", BENCH, "--moulds", 4)
    assert ran.status == 0
    assert "Melt 1, heat 1 of 2: cup A 162.1 g at 22 °C, cup B 162.1 g at 22 °C." in ran.out
    assert "stir, read: A " in ran.out
    assert "into A: Peat 0.44 g = 15 drops" in ran.out
    assert "Shoot from 165 °C (label) to 150 °C (label)." in ran.out
    assert "Metal: never in the microwave oven" in ran.out


def test_a_top_up_and_a_start_that_is_given(run: Run):
    top_up = run(*HEAT, "--bench", BENCH, "--moulds", 4, "--heat", 2, "--json").json
    assert top_up["heat"] == 2
    assert top_up["before"] == []
    warm = run(*HEAT, "--bench", BENCH, "--from", "120C", "--json").json
    cold = run(*HEAT, "--bench", BENCH, "--json").json
    assert warm["cups"][0]["from"]["celsius"] == 120.0
    assert warm["oven_s"] < cold["oven_s"]


def test_a_bench_without_an_oven_is_refused_with_what_to_do(run: Run, tmp_path: Path):
    text = BENCH.read_text("utf-8").split("[oven]")[0]
    bare = tmp_path / "bench.toml"
    bare.write_text(text, "utf-8")
    ran = run(*HEAT, "--bench", bare, "--json")
    assert ran.status == 2
    assert ran.json["error"]["field"] == "oven"
    assert "water load" in ran.err


def test_a_melt_that_is_not_planned_is_refused(run: Run):
    ran = run(*HEAT, "--bench", BENCH, "--melt", 3, "--json")
    assert ran.status == 2
    assert ran.json["error"]["field"] == "melt"
    assert run(*HEAT, "--bench", BENCH, "--from", "120").status == 2
