"""One step of a change: what is moved, from where to where, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from partline.process.bench import Bench
from partline.quantities.constants import ZERO_CELSIUS


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What is moved.

    Parameters
    ----------
    what : str
        start, cups apart, push, purge, mark, colourant or loading.
    now : float or None
        As it was; None where the record does not tell. [unit]
    then : float
        As it should be. [unit]
    low, high : float
        Range that it should lie in. [unit]
    unit : str
        °C or °F, K, s, g or drops; empty for what is done or not.
    half, supply : str
        Of a loading.
    """

    what: str
    now: float | None
    then: float
    low: float
    high: float
    unit: str
    half: str = ""
    supply: str = ""

    @classmethod
    def of_warmth(
        cls, bench: Bench, *, now: float | None, then: float, low: float, high: float
    ) -> Step:
        """Return a start [K], told as the bench's thermometer shows it."""

        def shown(kelvin: float) -> float:
            celsius = kelvin - ZERO_CELSIUS
            return round(celsius * 1.8 + 32.0 if bench.reads_fahrenheit else celsius, 1)

        return cls(
            what="start", now=None if now is None else shown(now), then=shown(then),
            low=shown(low), high=shown(high), unit="°F" if bench.reads_fahrenheit else "°C",
        )  # fmt: skip
