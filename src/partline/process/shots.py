"""Shots per heat with so many moulds ready: which mould when, how many heats, what limits each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from partline.errors import Impossible, OutOfRange
from partline.process.emptying import fallen
from partline.process.shooting import Heat, Limit, Pace, Rotation, Shooting, Shot
from partline.process.shot_heat import Filled, ShotHeat, metal_heat, slowest_station
from partline.quantities.estimate import Estimate, Origin

__all__ = [
    "Heat",
    "Limit",
    "Pace",
    "Rotation",
    "Shooting",
    "Shot",
    "fewest_heats",
    "openings",
    "rotation",
    "shots_in_band",
    "shots_per_heat",
]

#: Moulds and shots that one answer follows.
MOST_MOULDS, MOST_SHOTS = 12, 2500


@dataclass(slots=True)
class _InHand:
    """A mould while the run goes on: free from a moment on, at a temperature."""

    number: int
    wall: float
    free: float = 0.0
    emptied: float = 0.0


def rotation(shooting: Shooting, melts: Sequence[int], moulds: int) -> Rotation:
    """Follow a run shot by shot.

    Parameters
    ----------
    shooting : Shooting
        With what.
    melts : sequence of int
        Shots of each melt.
    moulds : int
        Alike and ready.

    Returns
    -------
    rotation : Rotation
        A heat takes every shot that finds a free mould while the cup is in the band; the cups
        are brought up again only once the moulds that the heat needs will be free in turn.

    Raises
    ------
    OutOfRange
        If there are no moulds, no shots, or too many of either.
    Impossible
        If the band is empty, or a mould is too warm to cool within three hours.
    """
    _check(shooting, melts, moulds)
    plastic = metal_heat(shooting.mould, shooting.metal, shooting.shot_mass, shooting.room)
    ready = [_InHand(number=each + 1, wall=shooting.wall) for each in range(moulds)]
    heats: list[Heat] = []
    shots: list[Shot] = []
    ready_at = 0.0
    for melt, count in enumerate(melts, start=1):
        left = count
        while left:
            begin = _begin(shooting, ready, ready_at, left)
            fresh = _heat(shooting, plastic, ready, begin=begin, left=left)
            fired, limit = fresh
            first = len(shots) + 1
            for place, (hand, moment, opens, cup, wall) in enumerate(fired):
                shots.append(
                    Shot(number=first + place, melt=melt, heat=len(heats) + 1, mould=hand,
                         at=moment, opens_at=opens, cup=cup, wall=wall)
                )  # fmt: skip
            last = shots[-1].at
            heats.append(
                Heat(number=len(heats) + 1, melt=melt, shots=len(fired), at=begin,
                     lasts=last - begin, limit=limit)
            )  # fmt: skip
            left -= len(fired)
            ready_at = last + (shooting.pace.top_up if left else shooting.pace.fresh_melt)
    return Rotation(moulds=moulds, melts=tuple(melts), heats=tuple(heats), shots=tuple(shots))


def _begin(shooting: Shooting, ready: Sequence[_InHand], earliest: float, left: int) -> float:
    """When a heat's first shot is worth taking: every mould it needs is free in its turn."""
    free = sorted(hand.free for hand in ready)
    needed = min(len(free), left, shots_in_band(shooting, left))
    waits = (free[turn] - turn * shooting.pace.shot for turn in range(max(needed, 1)))
    return max(earliest, *waits)


_Fired = tuple[int, float, float, float, float]


def _heat(
    shooting: Shooting, plastic: ShotHeat, ready: list[_InHand], *, begin: float, left: int
) -> tuple[list[_Fired], Limit]:
    fired: list[_Fired] = []
    moment, cup = begin, shooting.start
    while True:
        hand = min(ready, key=lambda each: (each.free, each.number))
        wall = shooting.metal.cooled(
            hand.wall, shooting.room, max(moment - hand.emptied, 0.0), shooting.metal.mass.value
        )
        filled = Filled(
            pour=cup - shooting.barrel_loss, wall=wall, room=shooting.room,
            open_at=shooting.open_at,
        )  # fmt: skip
        station = slowest_station(shooting.mould)
        time = plastic.opens(station, filled)
        hand.wall = plastic.metal(filled, time)
        hand.emptied = moment + shooting.pace.push + time
        hand.free = hand.emptied + shooting.pace.unloading
        fired.append((hand.number, moment, hand.emptied, cup, wall))
        still = left - len(fired)
        if not still:
            return fired, Limit.MELT
        soonest = moment + shooting.pace.shot
        following = max(soonest, min(each.free for each in ready))
        colder = fallen(shooting.cups, still, cup, following - moment)
        if colder < shooting.stop:
            by_hand = fallen(shooting.cups, still, cup, soonest - moment)
            return fired, Limit.BAND if by_hand < shooting.stop else Limit.MOULDS
        moment, cup = following, colder


def shots_in_band(shooting: Shooting, left: int) -> int:
    """Return how many shots a heat allows with moulds to spare and so many still in the cup."""
    cup, fired = shooting.start, 1
    while fired < left:
        cup = fallen(shooting.cups, left - fired, cup, shooting.pace.shot)
        if cup < shooting.stop:
            break
        fired += 1
    return fired


def fewest_heats(
    shooting: Shooting, shots: int, melts: int, largest: int, moulds: int
) -> tuple[int, ...]:
    """Return how to share shots over melts so that the heats are fewest.

    Parameters
    ----------
    shooting : Shooting
        With what.
    shots, melts : int
        All of them, over so many melts.
    largest : int
        Most shots that a cup holds.
    moulds : int
        Ready in rotation.

    Returns
    -------
    shares : tuple of int
        The fullest melt first; among equals, the most even.
    """

    @cache
    def heats(count: int) -> int:
        left, times = count, 0
        while left:
            left -= min(left, moulds, shots_in_band(shooting, left))
            times += 1
        return times

    @cache
    def best(left: int, over: int) -> tuple[int, int, tuple[int, ...]]:
        if over == 1:
            return heats(left), left * left, (left,)
        fewest = max(1, left - largest * (over - 1))
        most = min(largest, left - over + 1)
        found = []
        for here in range(fewest, most + 1):
            times, uneven, rest = best(left - here, over - 1)
            found.append((heats(here) + times, here * here + uneven, (here, *rest)))
        return min(found)

    return tuple(sorted(best(shots, melts)[2], reverse=True))


def shots_per_heat(shooting: Shooting, moulds: int, left: int) -> Estimate:
    """Return how many shots a heat gives with a cup for so many, and a range of hands and cups.

    Parameters
    ----------
    shooting : Shooting
        With what.
    moulds : int
        Ready in rotation.
    left : int
        Shots that the cup holds plastic for.
    """

    def count(seconds: float, exposure: float) -> int:
        moved = replace(
            shooting,
            cups=tuple(cup.exposed(exposure) for cup in shooting.cups),
            pace=replace(shooting.pace, handling=Estimate.exact(seconds)),
        )
        plastic = metal_heat(moved.mould, moved.metal, moved.shot_mass, moved.room)
        ready = [_InHand(number=each + 1, wall=moved.wall) for each in range(moulds)]
        return len(_heat(moved, plastic, ready, begin=0.0, left=left)[0])

    hands, exposure = shooting.pace.handling, shooting.cups[0].cup.exposure
    found = [count(seconds, exposure.value) for seconds in (hands.value, hands.low, hands.high)]
    found += [count(hands.value, share) for share in (exposure.low, exposure.high)]
    return Estimate(
        value=found[0], low=min(found), high=max(found), origin=Origin.COMPUTED,
        source="shots that find a free mould while the cup is in the band",
        narrows="two readings 40 s apart, and times of your own shots",
    )  # fmt: skip


def openings(rotated: Rotation, mould: int) -> tuple[float, ...]:
    """Return how long each shot into one mould stayed closed, in order. [s]"""
    return tuple(shot.opens_at - shot.at for shot in rotated.shots if shot.mould == mould)


def _check(shooting: Shooting, melts: Sequence[int], moulds: int) -> None:
    shots = sum(melts)
    if not 1 <= moulds <= MOST_MOULDS:
        raise OutOfRange(
            f"{moulds} moulds were given; one rotation takes 1 to {MOST_MOULDS}.",
            low=1, high=MOST_MOULDS, field="moulds", given=str(moulds),
        )  # fmt: skip
    if not melts or min(melts) < 1 or shots > MOST_SHOTS:
        raise OutOfRange(f"A rotation is for 1 to {MOST_SHOTS} shots.", low=1, high=MOST_SHOTS)
    if shooting.start <= shooting.stop:
        raise Impossible(
            "The start is not above the stop: there is no band to shoot in.",
            nearest="Start higher in the label's band.",
        )
