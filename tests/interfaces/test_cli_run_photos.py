"""`partline photo --run`, `partline run photos`, `partline photo-due`: what they keep and say."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.services.workshop import open_at
from tests.interfaces.command import Run
from tests.services.photo_hand import with_photos
from tests.studies.photo_slices import CARD, of_nothing, slices


@pytest.fixture
def shed(tmp_path: Path) -> tuple[str, Path]:
    """Code of a run that was poured today, and the folder of its workshop."""
    with with_photos(tmp_path) as hand:
        hand.pour(0.2)
        return hand.code, tmp_path / "shed"


def written(folder: Path, content: bytes) -> Path:
    file = folder / "photo.jpg"
    file.write_bytes(content)
    return file


@pytest.mark.slow
def test_a_photo_is_kept_with_its_run_and_its_cards_line_is_asked_for_once(
    run: Run, shed, tmp_path
):
    code, folder = shed
    file = written(tmp_path, slices(0.6, 2.4))
    told = run("photo", file, "--kind", "sprue", "--run", code, "--shot", 2, "--workshop", folder)
    assert told.status == 0
    assert "not crisp" in told.out
    assert f"partline run tell {code} look look=sprue_crisp seen=false" in told.out
    assert f"Nobody has measured the line of card {CARD}" in told.out
    words = ("--kind", "slice", "--run", code, "--line", "99.2 mm", "--workshop", folder)
    answer = run("photo", file, *words, "--json").json
    assert [each["line"] for each in answer["kept"]["measures"]] == ["99.2 mm", "99.2 mm"]
    assert answer["lines_wanted"] == []
    listed = run("run", "photos", code, "--workshop", folder)
    assert "belly slice, day 0: line 0.6" in listed.out
    assert "Next photo, of day 7" in listed.out
    with open_at(folder) as workshop:
        (photo,) = workshop.photos.of_run(code)
        assert workshop.photos.get(photo.id)[1] == file.read_bytes()


def test_a_refused_photo_is_kept_when_it_is_asked_for(run: Run, shed, tmp_path):
    code, folder = shed
    file = written(tmp_path, of_nothing())
    words = ("photo", file, "--kind", "sprue", "--run", code, "--workshop", folder)
    refused = run(*words, "--json")
    assert refused.status == 2
    assert refused.json["error"]["reason"] == "no card"
    kept = run(*words, "--keep", "--json").json
    assert kept["kept"]["measures"][0]["refused"]["reason"] == "no card"
    line = run(*words, "--keep", "--line", "99 mm")
    assert line.status == 2
    assert "the card’s number was not read" in line.err


def test_what_is_due_is_said(run: Run, shed):
    code, folder = shed
    told = run("photo-due", "--workshop", folder)
    assert f"Run {code}, peat-over-chalk in reed-130: day 0" in told.out
    empty = run("photo-due", "--workshop", folder.with_name("other"))
    assert empty.out.strip() == "No photo is due."


def test_a_run_without_a_photo_says_how_one_is_kept(run: Run, shed):
    code, folder = shed
    told = run("run", "photos", code, "--workshop", folder)
    assert f"partline photo FILE --kind sprue --run {code}" in told.out
    assert run("run", "photos", "0000000000", "--workshop", folder).status == 2


def test_a_run_that_is_not_there_keeps_nothing(run: Run, shed, tmp_path):
    _, folder = shed
    file = written(tmp_path, of_nothing())
    refused = run("photo", file, "--run", "0000000000", "--keep", "--workshop", folder)
    assert refused.status == 2
    assert "No run has the code" in refused.err
