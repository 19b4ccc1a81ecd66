"""`partline tables`: a mould's fine pictures, made here and now."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from partline.interfaces.cli import tables
from partline.physics.response import Grid
from partline.physics.response.making import Making
from partline.records.response_files import ResponseCache
from partline.services.tables import Medium, TableKeeper
from tests.process.shed import SHED

REED = SHED / "moulds" / "reed-130.toml"


def quick(medium: Medium) -> Making:
    """Hardly any paths."""
    return Making(
        index=medium.relative_index, along=2, angles=(0.0, np.pi / 2, np.pi), passes=(8, 8),
        rank=12, grid=Grid(scattering=5, absorption=5),
    )  # fmt: skip


def keeps_in(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the command make quick tables in a folder."""
    made = TableKeeper(ResponseCache(folder=folder), workers=1, making=quick)
    monkeypatch.setattr(tables, "keeper", lambda: made)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the tables go."""
    keeps_in(tmp_path / "tables", monkeypatch)
    return tmp_path / "tables"


def test_a_preview_then_the_fine_pictures_are_made_and_kept(run, folder):
    first = run("tables", REED, "--preview", "--json")
    assert first.status == 0
    assert (first.json["mould"], first.json["in"]) == ("reed-130", "air")
    assert (first.json["quality"], first.json["percent"]) == ("preview", 50)
    assert "Ctrl-C" in first.err  # beside the answer, never in it
    whole = run("tables", REED, "--json")
    assert (whole.json["stage"], whole.json["quality"], whole.json["is_kept"]) == (
        "done", "final", True,
    )  # fmt: skip
    assert len(list(folder.glob("*.npz"))) == 1
    told = run("tables", REED)
    assert told.out.strip() == "reed-130 in air: traced through its own shape."


def test_the_status_makes_nothing(run, folder):
    told = run("tables", REED, "--status", "--in", "lake", "--json")
    assert (told.status, told.err) == (0, "")
    assert (told.json["in"], told.json["stage"]) == ("water", "not asked")
    assert not folder.exists()


def test_a_folder_that_cannot_be_written_is_said(run, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("in the way")
    keeps_in(tmp_path / "file" / "tables", monkeypatch)
    told = run("tables", REED, "--preview")
    assert told.status == 0
    assert "first pass" in told.out
    assert "the cache folder cannot be written" in told.out
    assert "PARTLINE_TABLES" in told.out


def test_a_table_that_another_process_makes_is_said(run, folder):
    from partline.process.bait_body import bait_body
    from tests.process.shed import mould

    key = quick(Medium.AIR).key(bait_body(mould()))
    with ResponseCache(folder=folder).claimed(key):
        told = run("tables", REED)
    assert told.status == 0
    assert "Another process is making it" in told.out


def test_stopped_by_hand_it_says_where_it_stands_and_goes_on_next_time(run, folder, monkeypatch):
    def press(_: object) -> bool:
        raise KeyboardInterrupt

    with monkeypatch.context() as pressed:
        pressed.setattr(tables, "_tell", press)
        told = run("tables", REED)
    assert told.status == 0
    assert told.out.startswith("reed-130 in air: ")
    assert run("tables", REED, "--json").json["quality"] == "final"


def test_what_cannot_be_is_refused_in_a_sentence(run, folder):
    refused = run("tables", REED, "--in", "soup")
    assert refused.status == 2
    assert "air, lake, sea" in refused.err
    assert run("tables", folder / "none.toml").status == 2
