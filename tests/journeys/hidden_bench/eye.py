"""What a maker sees of spoiled baits: amounts seen with an eye's error, and a slip now and then.

No chance of the tool's table is used: an answer follows from the state of one or two baits that
the hand happens to take, how wide, how thin, how far round, against where this eye says yes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.journeys.hidden_bench.outcome import NARROWEST, Baits
from tests.journeys.hidden_bench.truth import Truth

#: Share of answers that are simply wrong: taken off the wrong bait, ticked in the wrong row. [-]
SLIPS = 0.03


@dataclass(slots=True)
class Eye:
    """One maker's eye on one run.

    Parameters
    ----------
    truth : Truth
        Of the bench.
    baits : Baits
        Of the run.
    rng : numpy.random.Generator
        Of its errors.
    day : float
        Since the pour. [d]
    bait : int
        That is taken to be cut: one that looks spoiled.
    """

    truth: Truth
    baits: Baits
    rng: np.random.Generator
    day: float
    bait: int = 0

    def __post_init__(self) -> None:
        """Take one bait that looks spoiled, and keep it for every look."""
        shown = [each for cause, each in self.baits.harm.items()
                 if self.day >= 1 or cause.value != "creep later"]  # fmt: skip
        worst = np.max(shown, axis=0)
        self.bait = int(np.argmax(worst + 0.05 * self.rng.random(worst.size)))

    def sees(self, key: str) -> bool:
        """Answer a look."""
        answer = bool(getattr(self, f"_{key}")())
        return answer if self.rng.random() > SLIPS else not answer

    def _error(self, size: float) -> float:
        return float(size * self.rng.standard_normal())

    @property
    def _halo(self) -> float:
        return self.baits.halo * min(self.day / 7.0, 1.0)

    def _sprue_crisp(self) -> bool:
        b, i = self.baits, self.bait
        # The sprue is met before the gate: it shows less of the jet, all of the block.
        width = NARROWEST + 5e-3 * b.near[i] * 0.8 + 4e-3 * b.stale[i] + 1.5e-3 * b.wrapped[i]
        return width * np.exp(self._error(0.2)) < 1.5e-3

    def _belly_crisp(self) -> bool:
        b, i = self.baits, self.bait
        mixed = 0.5 * (b.near[i] + b.far[i])
        width = NARROWEST + 6e-3 * mixed + 3e-3 * b.folded[i] + 3e-3 * b.stale[i]
        width += 2.5e-3 * b.wrapped[i] + self._halo
        return width * np.exp(self._error(0.2)) < 1.6e-3

    def _purged(self) -> bool:
        return self.baits.purged

    def _dark_down(self) -> bool:
        return self.baits.swapped

    def _ring(self) -> bool:
        b, i = self.baits, self.bait
        return b.wrapped[i] + 0.25 * b.folded[i] + self._error(0.12) > 0.4

    def _changes(self) -> bool:
        shows = self.baits.light.belly - 0.05 * self.baits.near[self.bait]
        return shows + self._error(0.03) < 0.83

    def _tail_worse(self) -> bool:
        b, i = self.baits, self.bait
        eye = self.truth.eye
        thin = max(eye - b.light.tail, 0.0) - max(eye - b.light.belly, 0.0)
        crept = 0.3 * self._halo / 3e-3
        gate = 0.3 * (b.near[i] - b.far[i])
        return thin + crept - gate + self._error(0.05) > 0.08

    def _gate_worse(self) -> bool:
        b, i = self.baits, self.bait
        less = 0.4 if b.folded[i] else 1.0
        return less * (b.near[i] - b.far[i]) + 0.3 * b.stale[i] + self._error(0.07) > 0.16

    def _first_only(self) -> bool:
        worst = np.max(list(self.baits.harm.values()), axis=0)
        first, others = worst[self.baits.shot == 0].mean(), worst[self.baits.shot > 0].mean()
        return first - others + self._error(0.15) > 0.45

    def _worse_later(self) -> bool:
        return self._halo / 1.5e-3 + self._error(0.2) > 0.7

    def _no_step(self) -> bool:
        b, i = self.baits, self.bait
        smeared = max(0.5 * (b.near[i] + b.far[i]), 0.5 * b.folded[i], 0.5 * b.stale[i])
        return b.light.step * (1 - 0.8 * smeared) + self._error(2.5) < 14.0
