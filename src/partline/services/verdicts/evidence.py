"""What a run tells of its own fault: looks that were answered, and what the record shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partline.process.run import Event, Kind, as_it_stands
from partline.services.runs.draws import DrawFacts, draw_facts, starts, usual_push
from partline.services.runs.heating import Kit
from partline.services.runs.standing import Followed

#: Cups further apart than this at a draw wrap one colour round the other, common practice. [K]
FAR_APART = 5.0
#: A start so far above the wanted one counts as hot. [K]
HOT = 3.0
#: Stroke of a calm hand, common practice; a recipe that asks for less asks for trouble. [s]
USUAL_PUSH = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What is known of a run's fault.

    Parameters
    ----------
    seen : dict of str to bool
        Looks, by key; those of the record among them.
    days : float
        From the first shot to the latest look, or to the day of the photo it came from. [d]
    is_looked : bool
        Whether anybody looked at a bait; the record alone tells of no fault.
    start, apart : float or None
        Of the first draw: the warmer cup; cup A less cup B, the largest of all draws. [K]
    push : float or None
        Middle of the strokes told. [s]
    wanted_push : float
        The usual one, or the recipe's where that is calmer. [s]
    fall : float
        From a heat's first draw to its last, the largest: how much calmer its last shot was. [K]
    """

    seen: dict[str, bool]
    days: float
    is_looked: bool
    start: float | None
    apart: float | None
    push: float | None
    wanted_push: float
    fall: float = 0.0


def evidence(run: Followed, events: Sequence[Event]) -> Evidence:
    """Return what a run tells of its own fault.

    Parameters
    ----------
    run : Followed
        With what it follows.
    events : sequence of Event
        All that was told.
    """
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    looks = [event for event in told if event.kind is Kind.LOOK]
    seen = {event.text("look"): event.data.get("seen") is True for event in looks}
    turned = [event.data.get("dark_side_up") for event in told if event.kind is Kind.FIRST_SHOT]
    if any(isinstance(up, bool) for up in turned):
        seen.setdefault("dark_down", False in turned)
    draws = _draws(run, events)
    start, apart, push = _start(draws), _apart(draws), usual_push(draws)
    wanted = max(run.recipe.handling.push or USUAL_PUSH, USUAL_PUSH)
    if start is not None or push is not None:
        hot = start is not None and start > run.plan.band[1] + HOT
        seen["hot_or_fast"] = hot or (push is not None and push < wanted / 2)
    if apart is not None:
        seen["cups_apart"] = abs(apart) > FAR_APART
    return Evidence(
        seen=seen,
        days=_days(told, looks),
        is_looked=bool(looks),
        start=start,
        apart=apart,
        push=push,
        wanted_push=wanted,
        fall=_fall(draws),
    )


def _days(told: Sequence[Event], looks: Sequence[Event]) -> float:
    """Return how old the baits were at the latest look; a photo's own day counts for its look."""
    shots = [event.at for event in told if event.kind is Kind.SHOT]
    taken = {event.text("photo"): event.number("day") for event in told
             if event.kind is Kind.PHOTO_MEASURE}  # fmt: skip
    if not shots:
        return 0.0
    ages = []
    for look in looks:
        day = taken.get(look.text("photo"))
        ages.append((look.at - shots[0]).total_seconds() / 86_400 if day is None else day)
    return max(max(ages, default=0.0), 0.0)


def good_run(events: Sequence[Event], reject_share: float, seen: dict[str, bool]) -> str:
    """Return in a sentence that a run came out well; empty where it did not, or nobody counted.

    Parameters
    ----------
    events : sequence of Event
        All that was told.
    reject_share : float
        Of the bench; twice as many may fail before a run counts as spoiled. [-]
    seen : dict of str to bool
        Looks: what was fine at first and is worse now came out well no longer.
    """
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    judged = [event for event in told if event.kind is Kind.JUDGE]
    if not judged or seen.get("worse_later"):
        return ""
    good, moulded = (judged[-1].number(key) or 0.0 for key in ("good", "moulded"))
    if not moulded or good < (1 - 2 * reject_share) * moulded:
        return ""
    return f"A good run: {good:.0f} of {moulded:.0f} good. Nothing is to be changed."


#: Kinds that say nothing of a draw: a verdict tells many of them after its last shot.
TOLD_AFTER = (
    Kind.LOOK, Kind.ADVICE, Kind.CAUSE, Kind.JUDGE, Kind.CLOSE, Kind.NOTE, Kind.PHOTO, Kind.PIN,
    Kind.SET_ASIDE, Kind.PHOTO_MEASURE,
)  # fmt: skip
#: Draws by run, kit and the events that tell of them.
_DRAWS: dict[tuple[str, Kit, tuple[str, ...]], tuple[DrawFacts, ...]] = {}
MOST = 64


def _draws(run: Followed, events: Sequence[Event]) -> tuple[DrawFacts, ...]:
    bench = tuple(event.id for event in events if event.kind not in TOLD_AFTER)
    key = (run.run.code, run.kit, bench)
    if key not in _DRAWS:
        while len(_DRAWS) >= MOST:
            _DRAWS.pop(next(iter(_DRAWS)))
        _DRAWS[key] = draw_facts(run, events)
    return _DRAWS[key]


def _start(draws: Sequence[DrawFacts]) -> float | None:
    found = [
        max(row[1] for row in draw.temperatures.values())
        for draw in starts(draws)
        if draw.temperatures
    ]
    return max(found) if found else None


def _fall(draws: Sequence[DrawFacts]) -> float:
    warmth: dict[tuple[int, int], list[float]] = {}
    for draw in draws:
        if draw.temperatures:
            warm = max(row[1] for row in draw.temperatures.values())
            warmth.setdefault((draw.melt, draw.heat), []).append(warm)
    return max((each[0] - each[-1] for each in warmth.values()), default=0.0)


def _apart(draws: Sequence[DrawFacts]) -> float | None:
    found = [draw.apart for draw in draws if draw.apart is not None]
    return max(found, key=abs) if found else None
