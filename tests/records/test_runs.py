"""The run record: what a device was told is kept is kept once, whatever happens next."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path

import pytest

from partline.errors import NotFound
from partline.process.run import Event, Kind
from partline.records.models import RunEventRow
from partline.records.workshop import Workshop, open_workshop
from tests.records.conftest import fill, told

#: Adds events one at a time to a run and says each id once it is kept.
TELLS = """
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from partline.process.run import Event, Kind
from partline.records.workshop import open_workshop
folder, run, device, count = sys.argv[1:]
start = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
with open_workshop(Path(folder), now=start) as workshop:
    for number in range(int(count)):
        at = start + timedelta(seconds=number)
        event = Event(id=f"{device}{number:012d}", kind=Kind.STIR, at=at)
        (kept,) = workshop.runs.add(run, [event], device=device, now=start)
        print(kept, flush=True)
"""


def telling(folder: Path, run: str, device: str, count: int) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", TELLS, str(folder), run, device, str(count)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def begun(workshop: Workshop, now) -> str:
    return workshop.runs.begin(fill(workshop).code, now=now, program="0.1.0").code


def test_a_run_begins_with_a_plan_and_nothing_told(workshop, plan, now):
    run = workshop.runs.begin(plan.code, now=now, program="0.1.0", device="phone")
    assert workshop.runs.get(run.code) == run
    assert workshop.runs.listed() == (run,)
    assert workshop.runs.events(run.code) == ()
    with pytest.raises(NotFound, match="No plan has the code"):
        workshop.runs.begin("0000000000", now=now, program="0.1.0")
    with pytest.raises(NotFound, match="No run has the code"):
        workshop.runs.add("0000000000", [told(1)], device="phone", now=now)


def test_events_come_back_as_they_were_told_in_the_order_they_came(workshop, run):
    reading, correction = workshop.runs.events(run.code)
    assert (reading.kind, reading.cup, reading.data["celsius"]) == (Kind.READING, "A", 174.0)
    assert (correction.kind, correction.data["of"]) == (Kind.CORRECTION, reading.id)
    assert (reading.place, correction.place, reading.device) == (1, 2, "phone")


def test_what_is_sent_twice_is_kept_once_and_as_it_first_came(workshop, run, now):
    first = told(60, text="as told")
    again = Event(id=first.id, kind=Kind.NOTE, at=first.at, data={"text": "told otherwise"})
    later = now + timedelta(seconds=90)
    assert workshop.runs.add(run.code, [first, first], device="phone", now=later)
    assert workshop.runs.add(run.code, [again, told(70)], device="laptop", now=later) == (
        again.id,
        told(70).id,
    )
    events = workshop.runs.events(run.code)
    assert [event.data for event in events[2:]] == [{"text": "as told"}, {}]
    assert [event.place for event in events] == [1, 2, 3, 4]


def test_an_event_is_never_changed_or_removed(workshop, run):
    with (
        pytest.raises(TypeError, match="never changed"),
        workshop.database.writing() as session,
    ):
        session.query(RunEventRow).first().kind = "note"
    with (
        pytest.raises(TypeError, match="never changed"),
        workshop.database.writing() as session,
    ):
        session.query(RunEventRow).delete()
    assert len(workshop.runs.events(run.code)) == 2


def test_two_programs_tell_400_events_of_one_run_at_once_and_400_are_there(tmp_path, now):
    with open_workshop(tmp_path, now=now) as workshop:
        run = begun(workshop, now)
    programs = [telling(tmp_path, run, device, 200) for device in ("AAAA", "BBBB")]
    for program in programs:
        _, trouble = program.communicate(timeout=100)
        assert program.returncode == 0, trouble
    with open_workshop(tmp_path, now=now) as workshop:
        events = workshop.runs.events(run)
    assert len({event.id for event in events}) == len(events) == 400
    assert [event.place for event in events] == list(range(1, 401))


def test_two_threads_sending_one_queue_twice_keep_it_once(workshop, run, now):
    queue = [told(number) for number in range(100, 200)]
    halves = [queue, queue[::-1]]
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(lambda q: workshop.runs.add(run.code, q, device="phone", now=now), halves))
    assert len(workshop.runs.events(run.code)) == 102


def test_25_kills_while_writing_lose_nothing_that_was_acknowledged(tmp_path, now):
    with open_workshop(tmp_path, now=now) as workshop:
        run = begun(workshop, now)
    rng = random.Random(5)
    acknowledged: set[str] = set()
    for kill in range(25):
        program = telling(tmp_path, run, f"K{kill:03d}", 100_000)
        assert program.stdout is not None
        said = [program.stdout.readline() for _ in range(rng.randint(1, 12))]
        os.kill(program.pid, signal.SIGKILL)
        rest, _ = program.communicate(timeout=30)
        said += [line for line in rest.splitlines(keepends=True) if line.endswith("\n")]
        acknowledged.update(line.strip() for line in said)
    with open_workshop(tmp_path, now=now) as workshop:
        kept = {event.id for event in workshop.runs.events(run)}
        with workshop.database.reading() as session:
            check = session.connection().exec_driver_sql("PRAGMA integrity_check").scalar()
    assert len(acknowledged) >= 25
    assert acknowledged <= kept
    assert len(kept) - len(acknowledged) <= 25  # one each may be kept without its word getting out
    assert check == "ok"


def test_a_photo_belongs_to_its_run(workshop, run, now):
    jpeg = b"\xff\xd8\xff and so on"
    kept = workshop.photos.add_to_run(run.code, jpeg, name="wrong.jpg", now=now)
    again = workshop.photos.add_to_run(run.code, jpeg, name="wrong.jpg", now=now)
    assert again == kept
    assert (kept.run_code, kept.document_id) == (run.code, None)
    assert workshop.photos.of_run(run.code) == (kept,)
    assert workshop.photos.get(kept.id)[1] == jpeg
    with pytest.raises(NotFound):
        workshop.photos.add_to_run("0000000000", jpeg, name="wrong.jpg", now=now)
