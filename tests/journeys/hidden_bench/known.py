"""What a hidden bench's constants truly are, against what the tool says it has learned of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from partline.process.cup import cup_of
from partline.process.practice_bench import Hidden, advanced, filled, stirred
from tests.journeys.hidden_bench.loop import BenchTold, Json
from tests.process.shed import bench as shed_bench

#: Filling and warmth at which a loss is compared, and how long the glass is given. [kg], [K], [s]
FILLING, WARM, SETTLES = 0.080, 443.15, 40.0
#: Stirs, and from one to the next. [s]
TURNS, STIRRED_EVERY = 3, 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One constant of one bench after some runs."""

    what: str
    runs: int
    true: float
    value: float
    is_held: bool
    width: float
    width_before: float


def true_loss(heat: Hidden, place: int) -> float:
    """Return what an open cup loses as it is handled, over the law's of a still room. [-]

    Handled means stirred before every reading, as a cup that is waited for is.
    """
    melt = advanced(heat, filled(heat, np.full(2, FILLING), WARM), SETTLES)
    begun, warmth = melt, []
    for _ in range(TURNS):
        melt = advanced(heat, stirred(heat, melt), STIRRED_EVERY)
        warmth.append(float(melt.bulk[place]))
    watts = float((melt.lost - begun.lost)[place]) / (TURNS * STIRRED_EVERY)
    warm = float(np.mean([begun.bulk[place], *warmth]))
    room = float(heat.room[place])
    cup = cup_of(shed_bench().vessel)
    return watts / (float(cup.conductance(FILLING, warm, room)) * (warm - room))


def truths(bench: BenchTold) -> dict[str, float]:
    """Return the true constants, by the tool's own keys."""
    assert bench.truth is not None
    heat = bench.truth.heat
    return {
        "oven_power": float(heat.oven[0] * (1 - heat.oven_glass[0])),
        "cup_loss_a": true_loss(heat, 0),
        "cup_loss_b": true_loss(heat, 1),
        "reading_scatter": hypot(float(heat.noise[0]), 1.0 / sqrt(12.0)),
    }


def held(bench: BenchTold) -> Iterator[Held]:
    """Yield every constant that runs have told of, after one, three and all runs."""
    true = truths(bench)
    told: list[tuple[int, Json]] = [*zip((1, 3), bench.known_each, strict=False)]
    for runs, known in [*told, (len(bench.runs), bench.known)]:
        for constant in known["constants"]:
            if constant["key"] not in true or not constant["evidence"]:
                continue
            after, before = constant["after"], constant["before"]
            yield Held(
                what=constant["key"], runs=runs, true=true[constant["key"]],
                value=after["value"],
                is_held=after["low"] <= true[constant["key"]] <= after["high"],
                width=after["high"] / after["low"], width_before=before["high"] / before["low"],
            )  # fmt: skip
