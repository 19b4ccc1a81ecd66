"""What the bench logs about a cup that a countdown can use."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One temperature off the thermometer.

    Parameters
    ----------
    at : float
        [s]
    temperature : float
        As shown. [K]
    since_stir : float or None
        Time since the cup was stirred, up to 6 for just stirred, None where nobody knows. [s]
    """

    at: float
    temperature: float
    since_stir: float | None = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """Plastic taken out of a cup: the mass. [kg]"""

    at: float
    mass: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Addition:
    """Something put into a cup.

    Parameters
    ----------
    at : float
        [s]
    mass : float
        [kg]
    temperature : float or None
        None for the room's. [K]
    heat : float or None
        Specific heat; None for that of the plastic. [J/(kg·K)]
    """

    at: float
    mass: float
    temperature: float | None = None
    heat: float | None = None
