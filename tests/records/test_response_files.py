"""Response tables on disk: what goes in comes out, and nothing half written is ever read."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from partline.physics.response import Traced
from partline.records import response_files
from partline.records.response_files import ResponseCache, from_bytes, to_bytes
from tests.physics.response.bodies import quick_table, spindle

MEDIA = np.array([[8.0, 0.4], [0.0, 60.0]]), np.array([[0.3, 2.0], [0.0, 9.0]])


@pytest.fixture
def cache(tmp_path: Path) -> ResponseCache:
    """A cache of its own."""
    return ResponseCache(folder=tmp_path / "tables")


def traced() -> Traced:
    """A few numbers in place of a trace."""
    light = np.random.default_rng(3).random((2, 4, 2, 9, 9), dtype=np.float32)
    return Traced(light=light, paths=42, lost=1)


def finished_process() -> int:
    """Number of a process that is over."""
    with subprocess.Popen([sys.executable, "-c", ""]) as process:
        process.wait()
    return process.pid


def test_a_table_comes_back_from_its_file_as_it_went_in():
    table = quick_table()
    back = from_bytes(to_bytes(table), spindle())
    assert back is not None
    assert (back.index, back.grid, back.paths, back.error) == (
        table.index, table.grid, table.paths, table.error,
    )  # fmt: skip
    np.testing.assert_array_equal(back.places.columns, table.places.columns)
    np.testing.assert_array_equal(back.places.starts, table.places.starts)
    # Scores are kept in steps far finer than the table's own error.
    roots = [np.cbrt(each.light(*MEDIA) + 0.002) for each in (table, back)]
    assert roots[0] == pytest.approx(roots[1], abs=table.error / 4)


def test_a_table_kept_twice_is_the_same_file():
    assert to_bytes(quick_table()) == to_bytes(quick_table())


def test_what_was_kept_is_found(cache):
    assert cache.find("one", spindle()) is None
    assert cache.keep("one", quick_table())
    found = cache.find("one", spindle())
    assert found is not None
    assert found.paths == quick_table().paths
    assert cache.find("another", spindle()) is None


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04", b"no table", None])
def test_a_damaged_file_counts_as_none_and_is_taken_away(cache, content):
    cache.keep("one", quick_table())
    path = cache.folder / "one.npz"
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2] if content is None else content)
    assert cache.find("one", spindle()) is None
    assert not path.exists()
    assert cache.keep("one", quick_table())
    assert cache.find("one", spindle()) is not None


def test_a_file_of_another_layout_counts_as_none(monkeypatch):
    content = to_bytes(quick_table())
    monkeypatch.setattr(response_files, "LAYOUT", response_files.LAYOUT + 1)
    assert from_bytes(content, spindle()) is None


def test_a_write_that_is_cut_off_leaves_what_was_there(cache, monkeypatch):
    cache.keep("one", quick_table())
    before = (cache.folder / "one.npz").read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "no space left")

    monkeypatch.setattr(Path, "replace", full)
    assert not cache.keep("one", quick_table())
    assert (cache.folder / "one.npz").read_bytes() == before


def test_a_folder_that_cannot_be_made_keeps_nothing_and_says_so(tmp_path):
    (tmp_path / "file").write_text("in the way")
    cache = ResponseCache(folder=tmp_path / "file" / "tables")
    assert not cache.keep("one", quick_table())
    assert not cache.keep_passes("one", 1, traced())
    assert cache.find("one", spindle()) is None
    assert cache.find_passes("one") is None
    with cache.claimed("one") as is_mine:
        assert is_mine  # nobody else can write there either


def test_passes_come_back_exactly_and_go_when_they_are_done(cache):
    assert cache.keep_passes("one", 3, traced())
    found = cache.find_passes("one")
    assert found is not None
    passes, back = found
    assert (passes, back.paths, back.lost) == (3, 42, 1)
    np.testing.assert_array_equal(back.light, traced().light)
    cache.forget_passes("one")
    assert cache.find_passes("one") is None
    cache.forget_passes("one")  # twice is no harm


def test_damaged_passes_count_as_none(cache):
    cache.keep_passes("one", 3, traced())
    path = cache.folder / "one.passes.npz"
    path.write_bytes(path.read_bytes()[:200])
    assert cache.find_passes("one") is None


def test_one_process_makes_a_table_and_another_is_told(cache):
    with cache.claimed("one") as first:
        assert first
        with cache.claimed("one") as second:
            assert not second
        with cache.claimed("another") as other:
            assert other
    with cache.claimed("one") as again:
        assert again
    assert not list(cache.folder.glob("*.claim"))


def test_the_claim_of_a_dead_process_is_taken_over(cache):
    cache.folder.mkdir()
    (cache.folder / "one.claim").write_text(str(finished_process()))
    with cache.claimed("one") as is_mine:
        assert is_mine
        assert (cache.folder / "one.claim").read_text() == str(os.getpid())


def test_tables_lie_where_the_environment_says(monkeypatch, tmp_path):
    monkeypatch.setenv("PARTLINE_TABLES", str(tmp_path / "here"))
    assert ResponseCache.usual().folder == tmp_path / "here"
    monkeypatch.setenv("PARTLINE_TABLES", "")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    assert ResponseCache.usual().folder == tmp_path / "cache" / "partline" / "tables"
