"""A mould's table: made pass by pass, kept, gone on from, and made by one process alone."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from partline.materials.mould import Mould
from partline.physics.response import Grid, ResponseTable
from partline.physics.response.making import Making
from partline.process.bait_body import bait_body
from partline.process.rendering import Quality, Setting
from partline.process.traced import TracedRenderer
from partline.records.response_files import ResponseCache
from partline.services.tables import (
    ERRORS,
    Medium,
    Progress,
    Stage,
    TableKeeper,
    keeper,
    making,
    table_as_json,
)
from tests.process.shed import demo, mould_of, optics_of, station

#: Long enough for a busy machine. [s]
PATIENCE = 60.0
QUICK = Grid(scattering=5, absorption=5)
ANGLES = (0.0, np.pi / 2, np.pi)
BODY = mould_of(station(8, 4, 4), length=0.03)
OTHER = mould_of(station(8, 3, 5), length=0.03)


def quick(medium: Medium) -> Making:
    """Three passes of hardly any paths: enough to see that the work is joined up."""
    return Making(index=medium.relative_index, along=4, passes=(8, 8, 8), rank=12, grid=QUICK)


@pytest.fixture
def cache(tmp_path: Path) -> ResponseCache:
    """A cache of its own."""
    return ResponseCache(folder=tmp_path / "tables")


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> ResponseCache:
    """A cache in which one table is finished; only looked at and copied."""
    folder = tmp_path_factory.mktemp("whole") / "tables"
    fresh(ResponseCache(folder=folder)).build(BODY)
    return ResponseCache(folder=folder)


@pytest.fixture
def done(cache: ResponseCache, whole: ResponseCache) -> ResponseCache:
    """A copy of it."""
    shutil.copytree(whole.folder, cache.folder)
    return cache


def fresh(cache: ResponseCache) -> TableKeeper:
    """A keeper as another start of the program has it."""
    return TableKeeper(cache, workers=2, making=quick)


def key(mould: Mould = BODY, medium: Medium = Medium.AIR) -> str:
    """Name of a mould's table."""
    return quick(medium).key(bait_body(mould))


def kept(cache: ResponseCache, mould: Mould = BODY) -> ResponseTable:
    """What lies in the cache."""
    table = cache.find(key(mould), bait_body(mould))
    assert table is not None
    return table


def listed(told: list[Progress]) -> Callable[[Progress], bool]:
    """Note all that is told."""

    def note(known: Progress) -> bool:
        told.append(known)
        return True

    return note


def after(passes: int) -> Callable[[Progress], bool]:
    """Stop in the middle of the pass that follows so many."""
    return lambda known: known.share < (passes + 0.5) / 3


def test_a_mould_that_nobody_traced_has_whatever_is_at_hand(cache):
    found = fresh(cache).progress(BODY)
    assert (found.stage, found.share) == (Stage.NOT_ASKED, 0.0)
    assert found.quality in (Quality.SLAB, Quality.SECTIONS)
    assert not cache.folder.exists()  # looking makes nothing


def test_a_table_is_first_a_preview_and_then_final(cache):
    one = fresh(cache)
    first = one.build(BODY, passes=1)
    assert (first.quality, first.is_kept) == (Quality.PREVIEW, True)
    assert first.stage is Stage.STOPPED
    assert first.share == pytest.approx(1 / 3)
    last = one.build(BODY)
    assert (last.stage, last.share, last.quality) == (Stage.DONE, 1.0, Quality.FINAL)
    renderer = one.renderer(BODY)
    assert isinstance(renderer, TracedRenderer)
    assert renderer.error.median >= ERRORS[Quality.FINAL].median
    assert not renderer.is_provisional
    assert kept(cache).paths == 2 * 3 * 8


def test_the_next_start_finds_what_was_made(cache, whole):
    fresh(cache).build(BODY, passes=1)
    assert fresh(cache).renderer(BODY).quality is Quality.PREVIEW
    again = fresh(whole)
    assert again.renderer(BODY).quality is Quality.FINAL
    assert again.progress(BODY).stage is Stage.DONE
    asked: list[Progress] = []
    again.build(BODY, step=listed(asked))
    assert asked == []  # nothing is made twice


def test_every_pass_shows_a_picture(cache):
    one = fresh(cache)
    sides = optics_of(demo(3))
    for passes in (1, 2, 3):
        one.build(BODY, passes=passes)
        picture = one.renderer(BODY).picture(sides, BODY, Setting())
        assert np.all((picture >= 0) & (picture <= 1))


@pytest.mark.parametrize("passes", [0, 1, 2])
def test_stopped_and_gone_on_with_it_is_the_same_table(cache, whole, passes):
    stopped = fresh(cache).build(BODY, step=after(passes))
    assert stopped.stage is Stage.STOPPED
    assert stopped.share == pytest.approx(passes / 3)
    fresh(cache).build(BODY)
    for name in ("mean", "base", "scores"):
        np.testing.assert_array_equal(getattr(kept(cache), name), getattr(kept(whole), name))
    assert (cache.folder / f"{key()}.npz").read_bytes() == (
        whole.folder / f"{key()}.npz"
    ).read_bytes()


def test_when_it_is_done_only_the_table_is_left(whole):
    assert [path.name for path in whole.folder.iterdir()] == [f"{key()}.npz"]


def test_progress_is_told_and_only_rises(cache):
    told: list[Progress] = []
    fresh(cache).build(BODY, step=listed(told))
    shares = [known.share for known in told]
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)
    assert [known.stage for known in told] == sorted(
        (known.stage for known in told), key=[Stage.PREVIEW, Stage.FINAL].index
    )


def test_a_folder_that_cannot_be_written_still_gives_pictures(tmp_path):
    (tmp_path / "file").write_text("in the way")
    one = fresh(ResponseCache(folder=tmp_path / "file" / "tables"))
    found = one.build(BODY)
    assert (found.stage, found.quality, found.is_kept) == (Stage.DONE, Quality.FINAL, False)
    assert one.renderer(BODY).quality is Quality.FINAL
    assert table_as_json(one.progress(BODY))["is_kept"] is False


def test_a_damaged_file_is_made_again(done):
    path = done.folder / f"{key()}.npz"
    good = path.read_bytes()
    path.write_bytes(good[:1000])
    one = fresh(done)
    assert one.renderer(BODY).quality not in (Quality.PREVIEW, Quality.FINAL)
    assert one.build(BODY).quality is Quality.FINAL
    assert path.read_bytes() == good


def test_damaged_passes_are_made_again(cache):
    fresh(cache).build(BODY, passes=1)
    passes = cache.folder / f"{key()}.passes.npz"
    passes.write_bytes(passes.read_bytes()[:500])
    assert fresh(cache).build(BODY).quality is Quality.FINAL


def test_what_another_process_makes_is_left_to_it(cache):
    with cache.claimed(key()) as is_mine:
        assert is_mine
        found = fresh(cache).build(BODY)
        assert found.stage is Stage.ELSEWHERE
        assert not (cache.folder / f"{key()}.npz").exists()
        assert fresh(cache).build(OTHER, passes=1).quality is Quality.PREVIEW
    assert fresh(cache).build(BODY, passes=1).quality is Quality.PREVIEW


def test_a_dead_process_claim_is_taken_over(cache):
    with subprocess.Popen([sys.executable, "-c", ""]) as process:
        process.wait()
    cache.folder.mkdir()
    (cache.folder / f"{key()}.claim").write_text(str(process.pid))
    assert fresh(cache).build(BODY, passes=1).quality is Quality.PREVIEW
    assert not (cache.folder / f"{key()}.claim").exists()


def test_air_and_water_have_tables_of_their_own(cache):
    one = fresh(cache)
    one.build(BODY, Medium.WATER, passes=1)
    assert one.renderer(BODY, Medium.WATER).quality is Quality.PREVIEW
    assert one.renderer(BODY, Medium.AIR).quality is not Quality.PREVIEW


def test_a_bait_twice_as_large_has_the_same_table(whole):
    large = mould_of(station(16, 8, 8), length=0.06)
    renderer = fresh(whole).renderer(large)
    assert renderer.quality is Quality.FINAL
    assert isinstance(renderer, TracedRenderer)
    assert renderer.body.length == 0.06


def until(is_so: Callable[[], bool]) -> None:
    """Wait, on any machine long enough."""
    end = time.monotonic() + PATIENCE
    while not is_so():
        assert time.monotonic() < end, "it takes too long"
        time.sleep(0.02)


def test_asked_for_it_is_made_in_the_background(cache):
    one = fresh(cache)
    one.ask(BODY)
    assert one.progress(BODY).stage is not Stage.NOT_ASKED
    shares = []

    def is_done() -> bool:
        shares.append(one.progress(BODY).share)
        return one.progress(BODY).stage is Stage.DONE

    until(is_done)
    assert shares == sorted(shares)
    assert one.renderer(BODY).quality is Quality.FINAL
    assert kept(cache).paths == 2 * 3 * 8
    one.ask(BODY)  # once more is no work
    assert one.progress(BODY).stage is Stage.DONE


def test_moulds_are_made_one_after_the_other(cache):
    one = fresh(cache)
    for mould in (BODY, OTHER):
        one.ask(mould)
    until(lambda: one.progress(OTHER).stage is Stage.DONE)
    assert one.progress(BODY).stage is Stage.DONE


def test_the_background_can_be_stopped_and_asked_again(cache):
    one = TableKeeper(
        cache, workers=1,
        making=lambda medium: Making(
            index=medium.relative_index, along=4, passes=(8, 400, 400), rank=12, grid=QUICK
        ),
    )  # fmt: skip
    one.ask(BODY)
    until(lambda: one.renderer(BODY).quality is Quality.PREVIEW)
    one.stop(BODY)
    until(lambda: one.progress(BODY).stage is Stage.STOPPED)
    until(lambda: not list(cache.folder.glob("*.claim")))
    share = one.progress(BODY).share
    assert share < 0.5
    time.sleep(0.2)
    assert one.progress(BODY).stage is Stage.STOPPED
    one.ask(BODY)
    assert one.progress(BODY).stage is not Stage.STOPPED
    one.stop(BODY)
    until(lambda: not list(cache.folder.glob("*.claim")))


def test_a_stage_is_told_in_words_and_percent():
    told = table_as_json(Progress(stage=Stage.FINAL, share=0.437, quality=Quality.PREVIEW))
    assert told == {
        "stage": "making it fine", "percent": 44, "quality": "preview", "is_busy": True,
        "is_kept": True,
    }  # fmt: skip
    for stage in (Stage.NOT_ASKED, Stage.DONE, Stage.STOPPED, Stage.ELSEWHERE):
        known = Progress(stage=stage, share=1.0, quality=Quality.FINAL)
        assert table_as_json(known)["is_busy"] is False


def test_the_program_has_one_keeper_and_every_better_picture_a_smaller_error():
    assert keeper() is keeper()
    errors = [ERRORS[each] for each in (Quality.SECTIONS, Quality.PREVIEW, Quality.FINAL)]
    highs = [each.high for each in errors]
    assert highs == sorted(highs, reverse=True)
    assert making(Medium.AIR).index > making(Medium.WATER).index > 1
