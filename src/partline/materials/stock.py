"""What stands on the shelf of a supply: its price, and what is left by the scale."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from partline.quantities.estimate import Estimate, propagate


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What was paid, and for how much; money has no currency here.

    Parameters
    ----------
    paid : float
        [¤]
    mass, volume : float or None
        Of what was paid for; one of the two. [kg], [m³]
    """

    paid: float
    mass: float | None = None
    volume: float | None = None

    def per_mass(self, density: float) -> float:
        """Return the price of a kilogram. [¤/kg]

        Parameters
        ----------
        density : float
            Of the supply; used where it was paid for by volume. [kg/m³]
        """
        mass = self.mass if self.mass is not None else (self.volume or 0.0) * density
        return self.paid / mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """One jar, bottle or bag in use.

    Parameters
    ----------
    price : Price or None
        None when unknown.
    gross : Estimate or None
        As it stands on the scale, jar and all. [kg]
    tare : Estimate or None
        The empty jar. [kg]
    received, opened : date or None
        When it came, and when it was opened.
    """

    price: Price | None = None
    gross: Estimate | None = None
    tare: Estimate | None = None
    received: date | None = None
    opened: date | None = None

    @property
    def mass_now(self) -> Estimate | None:
        """What is left by the scale; None until both the full and the empty jar are known. [kg]"""
        if self.gross is None or self.tare is None:
            return None
        left = propagate(lambda gross, tare: gross - tare, (self.gross, self.tare))
        return Estimate(
            value=left.value,
            low=max(left.low, 0.0),
            high=left.high,
            origin=left.origin,
            source="on the scale, less the empty jar",
        )
