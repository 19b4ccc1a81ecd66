"""A poured run that is photographed: shots so many days ago, and what its photos say."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from partline.records.models import new_code
from partline.records.workshop import Workshop
from partline.services.runs import begin
from partline.services.runs.log import moment
from partline.services.runs.wire import read_event
from partline.services.workshop import open_at
from tests.services.kept_plan import planned

Json = dict[str, Any]


@dataclass
class PhotoHand:
    """One workshop, one run."""

    workshop: Workshop
    plan: str
    code: str

    def tell(self, kind: str, *, ago_days: float = 0.0, **data: Any) -> str:
        """Tell an event of so many days ago and return its id."""
        now = datetime.now(UTC)
        at = moment(now - timedelta(days=ago_days))
        event = read_event({"id": new_code(20), "kind": kind, "at": at, "data": data})
        (told,) = self.workshop.runs.add(self.code, [event], device="test", now=now)
        return told

    def says(
        self,
        subject: str,
        day: int,
        photo: str = "",
        *,
        shot: int | None = None,
        refused: str = "",
        **figures: tuple[float, float, float],
    ) -> str:
        """Tell what a photo says, figures as low, value and high; return the photo's code."""
        code = photo or new_code(12)
        named = {
            key: {"low": low, "value": value, "high": high}
            for key, (low, value, high) in figures.items()
        }
        said: Json = (
            {"refused": {"reason": refused, "text": refused}} if refused else {"figures": named}
        )
        self.tell("photo_measure", photo=code, subject=subject, day=day, shot=shot, **said)
        return code

    def pour(self, ago_days: float, *, shots: int = 2) -> None:
        """Tell shots of so many days ago, and that these were all."""
        for shot in range(shots):
            self.tell("shot", ago_days=ago_days - shot * 1e-3, mould=1)
        self.tell("finish", ago_days=ago_days - 0.01)

    def another(self) -> PhotoHand:
        """Begin another run of the same plan."""
        return PhotoHand(self.workshop, self.plan, begin(self.workshop, self.plan))


@contextmanager
def with_photos(folder: Path) -> Iterator[PhotoHand]:
    """Begin a run of the demo's plan."""
    plan = planned(folder / "shed")
    with open_at(folder / "shed") as workshop:
        yield PhotoHand(workshop, plan, begin(workshop, plan))
