"""How a practice run is asked for: a seed, a speed, and the mistakes that are hidden in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from partline.errors import InputError, OutOfRange
from partline.process.run import RunPlan

Json = dict[str, object]
#: How many times faster than a clock a practice run may go.
SPEEDS = (1.0, 4.0, 10.0)
#: Largest seed that is typed by hand.
MOST_SEED = 999_999
#: Mistakes that a seed hides where nobody chose them.
HIDDEN = 2


class Slip(StrEnum):
    """A mistake that can be hidden in a practice run, for the learner to catch."""

    UPSIDE_DOWN = "mould_upside_down"
    SWAPPED = "cups_swapped"
    TARE = "tare_in_scale"
    WRONG_UNIT = "wrong_unit"
    EMISSIVITY = "thermometer_low_emissivity"
    DOORBELL = "doorbell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """A practice run as it was asked for.

    Parameters
    ----------
    seed : int
        Of the pretended bench, its readings and its mistakes.
    speed : float
        Of its clock: 1, 4 or 10. [-]
    slips : tuple of Slip or None
        What is hidden in it; None leaves it to the seed.
    """

    seed: int
    speed: float = 1.0
    slips: tuple[Slip, ...] | None = None


def read_practice(given: Mapping[str, object]) -> Practice:
    """Return a practice run from how it was asked for.

    Parameters
    ----------
    given : mapping
        ``seed``, and where wanted ``speed`` and ``slips``.

    Raises
    ------
    InputError
        If one of them cannot be meant.
    """
    unknown = sorted(set(given) - {"seed", "speed", "slips"})
    if unknown:
        message = f"A practice run has a seed, a speed and slips; “{unknown[0]}” is none of these."
        raise InputError(message, field=unknown[0])
    return Practice(
        seed=_seed(given.get("seed")),
        speed=_speed(given.get("speed", 1.0)),
        slips=_slips(given.get("slips")),
    )


def checked(given: Mapping[str, object]) -> Json:
    """Return a practice run as it is kept.

    Raises
    ------
    InputError
        As `read_practice`.
    """
    practice = read_practice(given)
    kept: Json = {"seed": practice.seed, "speed": practice.speed}
    if practice.slips is not None:
        kept["slips"] = [slip.value for slip in practice.slips]
    return kept


def _seed(given: object) -> int:
    if isinstance(given, int) and not isinstance(given, bool) and 0 <= given <= MOST_SEED:
        return given
    raise OutOfRange(
        f"The seed is {given!r}; it is a whole number from 0 to {MOST_SEED}: the same one draws "
        "the same bench again.",
        low=0, high=MOST_SEED, field="seed", given=str(given)[:80],
    )  # fmt: skip


def _speed(given: object) -> float:
    if isinstance(given, int | float) and not isinstance(given, bool) and given in SPEEDS:
        return float(given)
    raise OutOfRange(
        f"The speed is {given!r}; a practice run goes 1, 4 or 10 times as fast as a clock.",
        low=SPEEDS[0], high=SPEEDS[-1], field="speed", given=str(given)[:80],
    )  # fmt: skip


def _slips(given: object) -> tuple[Slip, ...] | None:
    if given is None:
        return None
    known = ", ".join(Slip)
    if not isinstance(given, list | tuple):
        raise InputError(f"Slips are a list of {known}.", field="slips", given=repr(given)[:80])
    try:
        return tuple(dict.fromkeys(Slip(str(each)) for each in given))
    except ValueError as error:
        message = f"There is no such slip to hide: {error}. Known are {known}."
        raise InputError(message, field="slips", given=repr(given)[:80]) from None


def possible(plan: RunPlan) -> tuple[Slip, ...]:
    """Return the mistakes that can be made in a plan: with one cup nothing can be swapped."""
    of_two = (Slip.UPSIDE_DOWN, Slip.SWAPPED)
    without = () if plan.bench.vessel.mass is not None else (Slip.TARE,)
    return tuple(
        slip
        for slip in Slip
        if slip not in without and (len(plan.letters) > 1 or slip not in of_two)
    )


def hidden_slips(practice: Practice, plan: RunPlan) -> tuple[Slip, ...]:
    """Return what is hidden in a run: what was chosen, or what the seed draws.

    Upside down and swapped show alike on a first bait, and both at once would show nothing:
    of a plan with one melt only the first of them is kept.
    """
    can = possible(plan)
    if practice.slips is None:
        rng = np.random.default_rng([practice.seed, 1])
        drawn = rng.permutation(len(can))[:HIDDEN]
        found = [can[place] for place in sorted(drawn)]
    else:
        found = [slip for slip in practice.slips if slip in can]
    if len(plan.melts) == 1 and Slip.UPSIDE_DOWN in found and Slip.SWAPPED in found:
        found.remove(Slip.SWAPPED)
    return tuple(found)
