"""`partline run`: a run begun, told, shown and written out, as text and as JSON."""

from __future__ import annotations

import csv
import json
import re
import shlex
import shutil
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest

from tests.interfaces.command import Ran, Run
from tests.services.kept_plan import planned


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    folder = tmp_path_factory.mktemp("runs") / "shed"
    return folder, planned(folder)


@dataclass(frozen=True)
class Bench:
    """`partline run …` over a workshop of its own with a plan."""

    run: Run
    folder: Path
    plan: str

    def __call__(self, *words: object) -> Ran:
        return self.run("run", *words, "--workshop", self.folder)


@pytest.fixture
def bench(run: Run, demo: tuple[Path, str], tmp_path: Path) -> Bench:
    folder, plan = demo
    shutil.copytree(folder, tmp_path / "shed")
    return Bench(run=run, folder=tmp_path / "shed", plan=plan)


@pytest.fixture
def code(bench) -> str:
    return str(bench("begin", bench.plan, "--json").json["code"])


def test_a_run_begins_is_listed_and_says_what_comes_next(bench):
    assert bench("list").out.startswith("No run yet.")
    begun = bench("begin", bench.plan, "--moulds", 2)
    assert begun.status == 0
    assert "! Your local codes" in begun.out
    code = begun.out.split()[1]
    assert bench("list").out.startswith(code)
    (listed,) = bench("list", "--json").json["runs"]
    assert (listed["code"], listed["plan"], listed["state"]) == (code, bench.plan, "planned")
    shown = bench("show", code)
    assert "State: planned; 0 of 11 shots" in shown.out
    assert "Next: " in shown.out
    assert bench("show", code, "--json").json["moulds"] == 2


def test_what_is_told_is_kept_and_moves_the_run(bench, code):
    told = bench("tell", code, "set_up")
    assert told.status == 0
    assert re.search(r"^Kept as \w{20}: Set up$", told.out, re.MULTILINE)
    answer = bench("tell", code, "shot", "6.2s", "mould=1", "--json")
    assert set(answer.json) == {"kept", "problems", "state"}
    assert answer.json["problems"] == []
    assert answer.json["state"]["shots"]["done"] == 1
    (event,) = [e for e in exported(bench, code)["events"] if e["kind"] == "shot"]
    assert (event["data"]["push_s"], event["data"]["mould"]) == (6.2, 1)


def exported(bench, code):
    return bench("export", code).json


def test_a_reading_goes_through_the_parser_with_its_letter(bench, code):
    bench("tell", code, "reading", "--cup", "A", "345F", "--at", "2026-03-01T18:30:00Z")
    bench("tell", code, "reading", "--cup", "b", "168.6", "°C")
    first, second = exported(bench, code)["events"]
    assert first["entered"] == "345 °F"
    # (345 − 32)/1.8 = 173.889 °C, kept to a thousandth.
    assert first["data"]["celsius"] == pytest.approx(173.889, abs=1e-3)
    assert first["si"]["temperature_k"] == pytest.approx(447.039, abs=1e-3)
    assert first["at_utc"] == "2026-03-01T18:30:00.000Z"
    assert (second["cup"], second["entered"]) == ("B", "168.6 °C")


def test_a_bare_temperature_is_a_question_and_nothing_is_kept(bench, code):
    ran = bench("tell", code, "reading", "--cup", "A", "174")
    assert ran.status == 2
    assert "no unit" in ran.err
    ran = bench("tell", code, "reading", "--cup", "A", "174", "--json")
    assert [way["write"] for way in ran.json["error"]["readings"]] == ["174 °C", "174 °F"]
    assert exported(bench, code)["events"] == []


def test_an_unlikely_reading_is_kept_and_its_answers_are_commands_that_work(bench, code):
    told = bench("tell", code, "reading", "--cup", "A", "350C")
    assert told.status == 0
    assert "Asked: 350 °C in cup A?" in told.out
    line = next(line for line in told.out.splitlines() if "350 °F" in line)
    words = shlex.split(line.partition(": ")[2])
    assert words[:2] == ["partline", "run"]
    answered = bench(*words[2:])
    assert "Asked:" not in answered.out
    event, correction = exported(bench, code)["events"]
    assert (event["stands"], correction["stands"]) == ("corrected", "in force")
    assert event["data"]["celsius"] == 350.0
    assert event["data_now"]["celsius"] == pytest.approx(176.67, abs=0.01)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["dance"], "no kind of event called"),
        (["reading", "174C"], "cup A or of cup B"),
        (["reading", "--cup", "C", "174C"], "A cup is A, B"),
        (["stir", "hard"], "says nothing about a stir"),
        (["burst", "fast"], "fast"),
        (["burst", "1 h"], "1 to 900"),
        (["shot", "mould=13"], "1 to 12"),
        (["judge", "good=3"], "moulded"),
        (["correction", "of=x", "void=true"], "by its id"),
        (["stir", "--at", "yesterday"], "no moment"),
        (["stir", "--at", "2026-03-01T18:30:00"], "no moment"),
        (["stir", "--at", "2999-01-01T00:00:00Z"], "lies ahead"),
    ],
)
def test_what_cannot_be_kept_is_said_in_a_sentence_with_status_2(bench, code, words, says):
    ran = bench("tell", code, *words)
    assert ran.status == 2
    assert says in ran.err
    assert "Traceback" not in ran.err
    assert exported(bench, code)["events"] == []


def test_a_code_that_is_none_is_refused_everywhere(bench):
    for words in (["show"], ["export"], ["tell", "stir"]):
        name, *rest = words
        ran = bench(name, "AAAAAAAAAA", *rest)
        assert ran.status == 2
        assert "No run has the code" in ran.err
    assert bench("begin", "AAAAAAAAAA").status == 2
    assert bench("begin", bench.plan, "--moulds", 13).status == 2


def test_an_export_holds_every_event_what_was_typed_and_what_stands_in_si(bench, code, tmp_path):
    bench("tell", code, "weigh", "--cup", "A", "162.1 g")
    bench("tell", code, "note", "fan", "on;", "=1+1")
    shot = bench("tell", code, "shot", "6s", "--json").json["kept"][0]
    bench("tell", code, "correction", f"of={shot}", "void=true")
    file = tmp_path / "run.json"
    assert bench("export", code, "-o", file).status == 0
    written = json.loads(file.read_text("utf-8"))
    assert written["format"] == "partline run"
    assert written["run"]["plan"] == bench.plan
    assert re.fullmatch(r"\d+\.\d+\.\d+.*", written["program"])
    weigh, note, pushed, correction = written["events"]
    assert weigh["entered"] == "162.1 g"
    assert weigh["si"] == {"mass_kg": 0.1621}
    assert note["data"]["text"] == "fan on; =1+1"
    assert (pushed["stands"], pushed["corrected_by"]) == ("struck out", [correction["id"]])
    assert correction["corrects"] == shot
    assert [each["place"] for each in written["events"]] == [1, 2, 3, 4]


def test_the_table_has_the_same_events_and_no_formula(bench, code, tmp_path):
    bench("tell", code, "burst", "entered==2+5", "seconds=60", "--cup", "A")
    bench("tell", code, "note", "süß", "–", "“quoted”, with a comma")
    file = tmp_path / "run.csv"
    answer = bench("export", code, "-o", file, "--json").json
    assert answer == {"file": str(file), "events": 2}
    rows = list(csv.DictReader(StringIO(file.read_bytes().decode("utf-8"), newline="")))
    assert [row["kind"] for row in rows] == ["burst", "note"]
    assert {row["run"] for row in rows} == {code}
    assert rows[0]["entered"] == "'=2+5"
    assert float(rows[0]["oven_s"]) == 60.0
    assert json.loads(rows[1]["data"])["text"] == "süß – “quoted”, with a comma"


def test_a_file_that_cannot_be_written_is_refused(bench, code, tmp_path):
    assert "run.json or run.csv" in bench("export", code, "-o", tmp_path / "run.xyz").err
    ran = bench("export", code, "-o", tmp_path / "none" / "run.json")
    assert ran.status == 2
    assert "cannot be written" in ran.err


def test_show_says_the_cups_the_timers_and_what_was_logged(bench, code):
    before = (datetime.now(UTC) - timedelta(seconds=200)).isoformat()
    for cup in ("A", "B"):
        bench("tell", code, "burst", "100s", "--cup", cup, "--at", before)
        bench("tell", code, "stir", "--cup", cup)
        bench("tell", code, "reading", "174C", "--cup", cup)
    shown = bench("show", code).out
    assert "Melt 1 of 2, heat 1: 0 of 6 shots" in shown
    # Two bursts of 100 s out of a 900 W oven, unread so far: the forecast before any reading.
    assert re.search(r"^Cup A: 1\d\d °C \(\d+–1\d\d\), 162.1 g", shown, re.MULTILINE)
    assert "Read cup A: 174 °C" in shown
