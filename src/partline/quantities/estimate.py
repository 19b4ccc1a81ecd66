"""A number with its range and its origin: what every public answer is made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from partline.errors import OutOfRange

#: Half of a central 80 % range in standard deviations: the normal law's 0.9 quantile. [-]
HALF_RANGE: Final = 1.2815515655446004


class Origin(StrEnum):
    """Where a number comes from; the words are those a maker reads beside it."""

    MEASURED = "measured"  # on this bench, n given
    ENTERED = "entered"
    LABEL = "label"  # the supply's
    PUBLISHED = "published"
    COMPUTED = "computed"  # from the others
    PRACTICE = "practice"  # common practice, no source
    MEMORY = "memory"  # published, not seen by us
    DEFAULT = "default"  # a guess that waits for a measurement

    @property
    def is_guess(self) -> bool:
        """Whether a measurement on the bench should replace it."""
        return self in (Origin.DEFAULT, Origin.PRACTICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A value with its central 80 % range and its origin.

    Parameters
    ----------
    value : float
        The figure shown. [the quantity's SI unit]
    low, high : float
        Ends of the central 80 % range; equal to `value` where it is exact. [same unit]
    origin : Origin
        Where the number comes from.
    source : str
        Citation, label, or a few words on how it was got.
    narrows : str
        The measurement that would narrow the range most; empty where none would.
    count : int
        Number of measurements behind it; 0 where none.

    Raises
    ------
    OutOfRange
        If the value lies outside its own range.
    """

    value: float
    low: float
    high: float
    origin: Origin
    source: str = ""
    narrows: str = ""
    count: int = 0

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            message = f"{self.value:g} lies outside its own range {self.low:g} to {self.high:g}."
            raise OutOfRange(message, low=self.low, high=self.high)

    @classmethod
    def exact(cls, value: float, origin: Origin = Origin.ENTERED, source: str = "") -> Estimate:
        """Return a value whose range is too narrow to matter."""
        return cls(value=value, low=value, high=value, origin=origin, source=source)

    @classmethod
    def within(
        cls, value: float, share: float, origin: Origin, *, source: str = "", narrows: str = ""
    ) -> Estimate:
        """Return a positive value known to a factor ``1 ± share``, such as 0.2 for ±20 %."""
        low, high = value / (1 + share), value * (1 + share)
        return cls(value=value, low=low, high=high, origin=origin, source=source, narrows=narrows)

    @property
    def is_exact(self) -> bool:
        """Whether the range has no width."""
        return self.low == self.high

    def map(self, change: Callable[[float], float]) -> Estimate:
        """Return the same knowledge in another unit; `change` must rise with its argument."""
        return replace(
            self, value=change(self.value), low=change(self.low), high=change(self.high)
        )


def moving_together(parts: Sequence[Estimate], *, source: str = "") -> Estimate:
    """Add up estimates that rest on one and the same measurement: their doubts add up too.

    Parameters
    ----------
    parts : sequence of Estimate
        At least one.
    source : str
        What is added up, in a few words.
    """
    return replace(
        parts[0],
        value=sum(part.value for part in parts),
        low=sum(part.low for part in parts),
        high=sum(part.high for part in parts),
        origin=Origin.COMPUTED,
        source=source,
        count=0,
    )


def propagate(
    law: Callable[..., float], inputs: Sequence[Estimate], *, source: str = ""
) -> Estimate:
    """Carry the ranges of independent inputs through a law, one at a time.

    The deviations that each input causes by itself are added in quadrature, which is right to
    first order; the range keeps the law's own lopsidedness.

    Parameters
    ----------
    law : callable
        Takes the values of `inputs` in order and returns the figure.
    inputs : sequence of Estimate
        Independent of each other.
    source : str
        The law in a few words.

    Returns
    -------
    Estimate
        Computed; `narrows` is that of the input which widens the range most.

    References
    ----------
    .. [1] JCGM 100:2008, "Guide to the expression of uncertainty in measurement," 5.1.2
       (from memory).
    """
    values = [estimate.value for estimate in inputs]
    centre = law(*values)
    below = above = widest = 0.0
    narrows = ""
    for place, estimate in enumerate(inputs):
        moved = [
            law(*values[:place], end, *values[place + 1 :]) - centre
            for end in (estimate.low, estimate.high)
        ]
        below += min(0.0, *moved) ** 2
        above += max(0.0, *moved) ** 2
        width = max(moved) - min(moved)
        if width > widest:
            widest, narrows = width, estimate.narrows
    return Estimate(
        value=centre,
        low=centre - below**0.5,
        high=centre + above**0.5,
        origin=Origin.COMPUTED,
        source=source,
        narrows=narrows,
    )
