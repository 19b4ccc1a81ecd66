"""Which renderer a mould has by now, and the work in the background that makes it better."""

from __future__ import annotations

import logging
import os
import queue
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache

import numpy as np

from partline.materials.mould import Mould
from partline.physics.response import Body, ResponseTable
from partline.physics.response.making import ANGLES, Making
from partline.physics.response.places import places_of
from partline.process.bait_body import bait_body
from partline.process.rendering import PictureError, Quality, Renderer
from partline.process.slab_renderer import SlabRenderer
from partline.process.traced import TracedRenderer
from partline.records.ready_tables import IN_AIR, IN_WATER, ready_response
from partline.records.response_files import ResponseCache

_MEASURED = "five bodies against path tracing: benchmarks/bench_look.py"
#: How far pictures lie from path-traced ones. [ΔE00]
ERRORS = {
    Quality.SECTIONS: PictureError(median=0.6, high=2.4, source=_MEASURED),
    Quality.PREVIEW: PictureError(median=0.48, high=1.54, source=_MEASURED),
    Quality.FINAL: PictureError(median=0.24, high=0.97, source=_MEASURED),
}
#: Standard error of a cube root in the tables that this was measured with. [-]
USUAL_NOISE = {Quality.SECTIONS: 0.007, Quality.PREVIEW: 0.015, Quality.FINAL: 0.003}


log = logging.getLogger("partline.tables")
#: Moulds, in air or water, whose renderers are kept ready.
MOST_RENDERERS = 8


class Medium(StrEnum):
    """What is around the bait."""

    AIR = "air"
    WATER = "water"

    @property
    def relative_index(self) -> float:
        """Of fused plastic against it, as the tables take it. [-]"""
        return IN_AIR if self is Medium.AIR else IN_WATER


class Stage(StrEnum):
    """How far a mould's own table has come."""

    NOT_ASKED = "not asked"
    WAITING = "waiting"
    PREVIEW = "making the preview"
    FINAL = "making it fine"
    ELSEWHERE = "being made by another process"
    DONE = "done"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """Where a mould's table stands.

    Parameters
    ----------
    stage : Stage
        What is being done.
    share : float
        Of the whole work. [-]
    quality : Quality
        Best that is at hand by now.
    is_kept : bool
        False when the cache folder cannot be written: the table is lost when the program ends.
    """

    stage: Stage
    share: float
    quality: Quality
    is_kept: bool = True


def making(medium: Medium) -> Making:
    """Return how a mould's own table is made."""
    return Making(index=medium.relative_index)


class TableKeeper:
    """Renderers of moulds, the best at hand, made better in the background.

    Parameters
    ----------
    cache : ResponseCache, optional
        Where tables are kept; the user's own when left out.
    workers : int, optional
        Threads that a table is made with; one less than the machine has when left out.
    making : callable, optional
        How a medium's tables are made.
    """

    def __init__(
        self,
        cache: ResponseCache | None = None,
        workers: int | None = None,
        making: Callable[[Medium], Making] = making,
    ) -> None:
        self._cache = cache or ResponseCache.usual()
        self._making = making
        self._workers = workers or max((os.cpu_count() or 2) - 1, 1)
        self._lock = threading.Lock()
        self._renderers: dict[tuple[Mould, Medium], Renderer] = {}
        self._progress: dict[str, Progress] = {}
        self._stopped: set[str] = set()
        self._waiting: queue.Queue[tuple[Mould, Medium]] = queue.Queue()
        self._thread: threading.Thread | None = None

    def renderer(self, mould: Mould, medium: Medium = Medium.AIR) -> Renderer:
        """Return the best renderer at hand: own table, ready sections, or slabs.

        Parameters
        ----------
        mould : Mould
            With at least one station.
        medium : Medium
            What is around the bait.
        """
        with self._lock:
            kept = self._renderers.get((mould, medium))
        if kept is not None:
            return kept
        body = bait_body(mould)
        found = self._own(body, medium) or _sectioned(body, medium) or SlabRenderer()
        with self._lock:
            return self._remembered((mould, medium), found)

    def _remembered(self, key: tuple[Mould, Medium], renderer: Renderer) -> Renderer:
        """Keep a renderer, with its views some ten megabytes, in place of the oldest."""
        self._renderers.pop(key, None)
        while len(self._renderers) >= MOST_RENDERERS:
            self._renderers.pop(next(iter(self._renderers)))
        self._renderers[key] = renderer
        return renderer

    def _own(self, body: Body, medium: Medium) -> Renderer | None:
        key = self._making(medium).key(body)
        table = self._cache.find(key, body)
        if table is None:
            return None
        is_final = table.paths >= 2 * sum(self._making(medium).passes)
        return _traced(body, table, Quality.FINAL if is_final else Quality.PREVIEW)

    def progress(self, mould: Mould, medium: Medium = Medium.AIR) -> Progress:
        """Return where a mould's table stands."""
        quality = self.renderer(mould, medium).quality
        key = self._making(medium).key(bait_body(mould))
        with self._lock:
            known = self._progress.get(key)
        if quality is Quality.FINAL:
            return Progress(
                stage=Stage.DONE, share=1.0, quality=quality,
                is_kept=known.is_kept if known else True,
            )  # fmt: skip
        if known is None:
            return Progress(stage=Stage.NOT_ASKED, share=0.0, quality=quality)
        return replace(known, quality=quality)

    def ask(self, mould: Mould, medium: Medium = Medium.AIR) -> None:
        """Have a mould's table made in the background, after those asked for before."""
        if self.renderer(mould, medium).quality is Quality.FINAL:
            return
        key = self._making(medium).key(bait_body(mould))
        with self._lock:
            known = self._progress.get(key)
            if known is not None and known.stage not in (Stage.STOPPED, Stage.ELSEWHERE):
                return
            self._stopped.discard(key)
            self._progress[key] = Progress(stage=Stage.WAITING, share=0.0, quality=Quality.SLAB)
            self._waiting.put((mould, medium))
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="tables", daemon=True)
                self._thread.start()

    def stop(self, mould: Mould, medium: Medium = Medium.AIR) -> None:
        """Stop making a mould's table; passes that are done are kept and gone on from."""
        key = self._making(medium).key(bait_body(mould))
        with self._lock:
            self._stopped.add(key)
            if (known := self._progress.get(key)) is not None and known.stage is not Stage.DONE:
                self._progress[key] = replace(known, stage=Stage.STOPPED)

    def build(
        self,
        mould: Mould,
        medium: Medium = Medium.AIR,
        *,
        passes: int | None = None,
        step: Callable[[Progress], bool] | None = None,
    ) -> Progress:
        """Make a mould's table here and now, from wherever it was left.

        Parameters
        ----------
        mould : Mould
            With at least one station.
        medium : Medium
            What is around the bait.
        passes : int, optional
            How many of the passes; all of them when left out, 1 for the preview.
        step : callable, optional
            Told the progress; the work stops when it returns False.

        Returns
        -------
        Progress
            As it stands at the end.
        """
        body, how = bait_body(mould), self._making(medium)
        key = how.key(body)
        if self.renderer(mould, medium).quality is Quality.FINAL:
            return self.progress(mould, medium)
        with self._cache.claimed(key) as is_mine:
            if is_mine:
                self._passes(mould, medium, body, how, passes or len(how.passes), step)
            else:
                self._note(key, Stage.ELSEWHERE, 0.0)
        return self.progress(mould, medium)

    def _passes(
        self,
        mould: Mould,
        medium: Medium,
        body: Body,
        how: Making,
        wanted: int,
        step: Callable[[Progress], bool] | None,
    ) -> Progress:
        key = how.key(body)
        places = how.places(body)
        work = np.cumsum([0, *how.passes]) / sum(how.passes)
        done, traced = self._cache.find_passes(key) or (0, None)
        is_kept = True
        if traced is not None and self._cache.find(key, body) is None:
            # The table was lost or damaged, what it was made of was not.
            table = how.table(body, places, traced)
            is_kept = self._cache.keep(key, table)
            with self._lock:
                self._remembered((mould, medium), _traced(body, table, Quality.PREVIEW))
        for number in range(done, wanted):
            stage = Stage.PREVIEW if number == 0 else Stage.FINAL
            low, high = float(work[number]), float(work[number + 1])

            def tell(share: float, low: float = low, high: float = high, stage: Stage = stage,
                     is_kept: bool = is_kept) -> bool:  # fmt: skip
                done = low + share * (high - low)
                known = Progress(stage=stage, share=done, quality=Quality.SLAB, is_kept=is_kept)
                with self._lock:
                    if key in self._stopped:  # already told so; it must not look busy again
                        return False
                    self._progress[key] = known
                return step is None or step(known)

            new = how.one_pass(body, places, number, workers=self._workers, step=tell)
            if new is None:
                return self._note(key, Stage.STOPPED, low, is_kept=is_kept)
            traced = new if traced is None else traced.joined(new)
            is_last = number + 1 == len(how.passes)
            table = how.table(body, places, traced)
            is_kept = self._cache.keep(key, table) and (
                is_last or self._cache.keep_passes(key, number + 1, traced)
            )
            quality = Quality.FINAL if is_last else Quality.PREVIEW
            with self._lock:
                self._remembered((mould, medium), _traced(body, table, quality))
            if is_last:
                self._cache.forget_passes(key)
        finished = self.renderer(mould, medium).quality is Quality.FINAL
        return self._note(
            key, Stage.DONE if finished else Stage.STOPPED, float(work[wanted]), is_kept=is_kept
        )

    def _note(self, key: str, stage: Stage, share: float, *, is_kept: bool = True) -> Progress:
        with self._lock:
            known = Progress(stage=stage, share=share, quality=Quality.SLAB, is_kept=is_kept)
            self._progress[key] = known
            return known

    def _work(self) -> None:
        # Nobody waits for this work; who draws a picture or types an amount comes first.
        with suppress(OSError, AttributeError):
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), 15)
        while True:
            mould, medium = self._waiting.get()
            try:
                self.build(mould, medium)
            except Exception:  # the next mould's table must not wait for this bug
                log.exception("The table of %s was not made: a fault of ours.", mould.name)
                key = self._making(medium).key(bait_body(mould))
                self._note(key, Stage.STOPPED, 0.0)


def _traced(body: Body, table: ResponseTable, quality: Quality) -> Renderer:
    error = ERRORS[quality].noisier(table.error, USUAL_NOISE[quality])
    return TracedRenderer(body=body, response=table, quality=quality, error=error)


def _sectioned(body: Body, medium: Medium) -> Renderer | None:
    places = places_of(body, ANGLES, making(medium).along)
    response = ready_response(body, places, medium.relative_index)
    if response is None:
        return None
    error = ERRORS[Quality.SECTIONS].noisier(response.error, USUAL_NOISE[Quality.SECTIONS])
    return TracedRenderer(body=body, response=response, quality=Quality.SECTIONS, error=error)


def table_as_json(progress: Progress) -> dict[str, object]:
    """Return where a table stands, for page and command line."""
    return {
        "stage": progress.stage.value,
        "percent": round(100 * progress.share),
        "quality": progress.quality.value,
        "is_busy": progress.stage in (Stage.WAITING, Stage.PREVIEW, Stage.FINAL),
        "is_kept": progress.is_kept,
    }


@cache
def keeper() -> TableKeeper:
    """Return the one of this process."""
    return TableKeeper()
