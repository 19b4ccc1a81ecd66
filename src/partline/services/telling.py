"""Numbers for page and command line: rounded for reading, each with its range and origin."""

from __future__ import annotations

from partline.quantities.estimate import Estimate


def figure(estimate: Estimate, digits: int) -> dict[str, object]:
    """Return a value with its range and origin, rounded for reading."""
    return {
        "value": round(estimate.value, digits),
        "low": round(estimate.low, digits),
        "high": round(estimate.high, digits),
        "origin": estimate.origin.value,
        "source": estimate.source,
        "narrows": estimate.narrows,
    }
