"""What every screen is made of: what it is drawn from, its clocks and its presses."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from partline.process.ingredients import Ingredient
from partline.process.run import Kind, PlannedCup, RunPlan, RunState
from partline.services.plan import scale_reading
from partline.services.runs.forecast import CupForecast, Moments
from partline.services.runs.heating import NextBurst
from partline.services.runs.log import moment
from partline.services.runs.matching import Matched
from partline.services.runs.moulds import MouldTimer

Json = dict[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """All that a screen is drawn from.

    Parameters
    ----------
    plan : RunPlan
        That the run follows.
    state : RunState
        Where it stands.
    cups : dict of str to CupForecast
        What is known of each cup, by letter.
    match : Matched or None
        How the cups stand to each other.
    moulds : tuple of MouldTimer
        Those in rotation.
    now : datetime
        In UTC.
    both_in : NextBurst or None
        The next time in the oven with both cups in it.
    is_practice : bool
        Whether nothing is heated, and so nothing learned.
    """

    plan: RunPlan
    state: RunState
    cups: dict[str, CupForecast]
    match: Matched | None
    moulds: tuple[MouldTimer, ...]
    now: datetime
    both_in: NextBurst | None = None
    is_practice: bool = False

    def planned(self, letter: str) -> PlannedCup:
        """Return what was planned for a cup of the melt in hand."""
        return self.plan.melts[self.state.melt - 1].cups[letter]

    @property
    def shots_to_come(self) -> int:
        """Shots that the melt in hand is still for."""
        return self.plan.melts[self.state.melt - 1].shots - self.state.melt_shots()

    @property
    def shot_words(self) -> str:
        """Which shot comes next."""
        melt = self.plan.melts[self.state.melt - 1]
        return f"shot {self.state.melt_shots() + 1} of {melt.shots}"

    @property
    def stop(self) -> Moments | None:
        """When the first cup is at its stop."""
        return earliest([known.stop for known in self.cups.values()])

    @property
    def shots_left(self) -> tuple[int, int, int] | None:
        """Middle, low and high of the shots before the stop; None while a cup wants heat.

        As many as the cups stay warm for, and as there are moulds to push them into.
        """
        known = [cup.shots_left for cup in self.cups.values() if cup.shots_left is not None]
        is_hot = not any(cup.wants_heat for cup in self.cups.values())
        stop = self.stop
        if not is_hot or stop is None or len(known) < len(self.cups):
            return None
        ends = (stop.mid, stop.low, stop.high)
        room = [self._moulds_until(end) for end in ends]
        mid, low, high = (
            min(*(cup[place] for cup in known), room[place], self.shots_to_come)
            for place in range(3)
        )
        return mid, low, high

    def _moulds_until(self, end: datetime) -> int:
        """Return the moulds that are free now, or are opened before a moment."""
        free = [
            not timer.is_shut or (timer.opens is not None and timer.opens.mid < end)
            for timer in self.moulds
        ]
        return sum(free)

    @property
    def is_last_heat(self) -> bool:
        """Whether this heat may well make every shot that the melt is still for."""
        left = self.shots_left
        return self.shots_to_come <= 1 or (left is not None and left[0] >= self.shots_to_come)

    @property
    def is_past_stop(self) -> bool:
        """Whether the next draw would come too late."""
        return self.stop is not None and self.stop.mid <= self.now


def control(
    label: str, kind: Kind, cup: str | None = None, *, tone: str = "plain", **data: object
) -> Json:
    """Return something to press that tells an event."""
    event = {"kind": kind.value, "cup": cup, "data": data}
    return {"label": label, "event": event, "tone": tone}


def opens(
    label: str, what: str, cup: str | None = None, *, tone: str = "plain", **data: object
) -> Json:
    """Return something to press that opens a pad to enter more; its event brings the data too."""
    pad: Json = {"label": label, "opens": what, "cup": cup, "tone": tone}
    return {**pad, "data": data} if data else pad


def end_of_melt(seen: Seen, *, tone: str = "plain") -> Json:
    """Return the press that leaves the melt in hand as it is: for the next, or as the last."""
    if seen.state.melt == len(seen.plan.melts):
        return control("Last shot made", Kind.FINISH, tone=tone)
    following = seen.state.melt + 1
    return control(f"On to melt {following}", Kind.HEAT, tone=tone, melt=following)


def rest_to_weigh(seen: Seen) -> tuple[list[str], list[Json]]:
    """Return a word and a press to weigh what a melt's shots have left: one cup after the other.

    It is offered where it teaches: every cup was weighed full, and shots were made from them.
    """
    cups = seen.state.cups.values()
    wanted = [cup.letter for cup in cups if not cup.is_rest_weighed]
    teaches = all(cup.is_weighed for cup in cups) and seen.state.melt_shots() > 0
    if not wanted or not teaches or seen.is_practice:
        return [], []
    empty = seen.plan.bench.vessel.mass
    own = "weight" if empty is None else f"{scale_reading(empty.value):.0f} g"
    says = f"A cup weighed again (gloves), less its own {own}, tells what a shot takes."
    letter = wanted[0]
    return [says], [opens(f"What is left in {letter}", "weigh", letter, left=True)]


def until(at: Moments, then: str) -> Json:
    """Return a clock that runs down, with its range."""
    return {
        "kind": "until", "at": moment(at.mid), "low": moment(at.low), "high": moment(at.high),
        "then": then,
    }  # fmt: skip


def since(at: datetime) -> Json:
    """Return a clock that runs up."""
    return {"kind": "since", "at": moment(at)}


def left_words(seen: Seen) -> list[str]:
    """Return the shots before the stop, in a line of their own."""
    left = seen.shots_left
    if left is None or left[2] == 0:
        return []
    mid, low, high = left
    doubt = f" ({low} to {high})" if low != high else ""
    return [f"{mid} shot{'' if mid == 1 else 's'} left in this heat{doubt}."]


def words(text: str) -> Json:
    """Return a few large words or a figure."""
    return {"kind": "text", "text": text}


def thing(
    key: str, title: str, big: Json, says: list[str], controls: list[Json],
    *, cup: str | None = None, picture: str | None = None,
) -> Json:  # fmt: skip
    """Return the one large thing of now."""
    return {
        "key": key, "title": title, "cup": cup, "big": big, "says": says[:3],
        "picture": picture, "controls": controls[:3],
    }  # fmt: skip


def amount(each: Ingredient) -> str:
    """Return how much of an ingredient, as it is counted out."""
    if each.drops is not None:
        return f"{each.drops} drop{'' if each.drops == 1 else 's'}"
    return f"{scale_reading(each.mass, 2):.2f} g"


def earliest(moments: list[Moments | None]) -> Moments | None:
    """Return the first of the moments that are known."""
    known = [each for each in moments if each is not None]
    return min(known, key=lambda each: each.mid) if known else None
