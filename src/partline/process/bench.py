"""The bench: what the plastic is heated, drawn and pushed with, and what stays behind in it."""

from __future__ import annotations

from dataclasses import dataclass

from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """The cup that a side is heated in.

    Parameters
    ----------
    capacity : float
        To the brim. [m³]
    fill_limit : float
        Share of the capacity that hot plastic may fill. [-]
    mass : Estimate or None
        Empty. [kg]
    film : Estimate
        Plastic that stays on the wall, a side a melt. [kg]
    """

    capacity: float
    fill_limit: float
    film: Estimate
    mass: Estimate | None = None

    @property
    def limit(self) -> float:
        """Largest hot volume. [m³]"""
        return self.capacity * self.fill_limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Syringes:
    """The coupled pair.

    Parameters
    ----------
    capacity : float
        Of each. [m³]
    usable_share : float
        Share of the capacity that can be drawn. [-]
    heel : Estimate
        Left in each after a draw is pushed out. [kg]
    barrel_mass : Estimate or None
        Of each. [kg]
    preheat : float or None
        Temperature they are warmed to. [K]
    shots_per_draw : int
        Shots pushed from one filling; 1 keeps every shot at the cup's temperature.
    """

    capacity: float
    usable_share: float
    heel: Estimate
    barrel_mass: Estimate | None = None
    preheat: float | None = None
    shots_per_draw: int = 1

    @property
    def usable(self) -> float:
        """Volume that one draw may take into each. [m³]"""
        return self.capacity * self.usable_share


@dataclass(frozen=True, slots=True, kw_only=True)
class Oven:
    """The microwave oven, kept for plastic alone.

    Parameters
    ----------
    power : Estimate
        Into a water load. [W]
    share : Estimate
        Of that power which reaches the melt. [-]
    """

    power: Estimate
    share: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Thermometer:
    """What the cups are read with.

    Parameters
    ----------
    emissivity : float
        As set on it. [-]
    between_cups : float
        How far two readings taken one after the other may be apart by its fault. [K]
    absolute : float
        How far every reading may be off, where nobody has checked it. [K]
    offset : Estimate or None
        What is to be added to a reading, as checked; None where nobody has. [K]
    """

    emissivity: float
    between_cups: float
    absolute: float
    offset: Estimate | None = None

    @property
    def doubt(self) -> float:
        """How much hotter than it reads a cup may be: kept off every ceiling. [K]"""
        if self.offset is None:
            return self.absolute
        return max(self.offset.high, self.between_cups)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """What masses are weighed with, as checked.

    Parameters
    ----------
    factor : Estimate
        What a reading is to be multiplied by. [-]
    """

    factor: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """Everything a pour is done with.

    Parameters
    ----------
    name : str
        The maker's own name for it.
    room : float
        Room temperature. [K]
    vessel : Vessel
        Both cups alike.
    syringes : Syringes
        Both alike.
    block_loss : Estimate
        Plastic lost in the joining block a shot, both sides together. [kg]
    reject_share : float
        Share of the baits moulded that will not be good. [-]
    oven : Oven or None
        None when another heat source is used.
    thermometer : Thermometer or None
        None when unknown.
    scale : Scale or None
        None where nobody has checked it.
    reads_fahrenheit : bool
        Whether the maker's thermometer shows °F; answers then do too.
    ceiling : float or None
        Nothing is heated past it here, whatever a label allows; None where the label alone
        rules. [K]
    is_ceiling_locked : bool
        Whether it stays until whoever keeps the bench unlocks it at the computer.
    guesses : tuple of str
        Fields, by their path in the bench's file, that nobody has read or measured yet.
    """

    name: str
    room: float
    vessel: Vessel
    syringes: Syringes
    block_loss: Estimate
    reject_share: float
    oven: Oven | None = None
    thermometer: Thermometer | None = None
    scale: Scale | None = None
    reads_fahrenheit: bool = False
    ceiling: float | None = None
    is_ceiling_locked: bool = False
    guesses: tuple[str, ...] = ()

    def as_read(self, temperature: float) -> float:
        """Return what the thermometer shows of a cup at a temperature, by its check. [K]

        A ceiling is never turned so: there `Thermometer.doubt` is taken off instead.
        """
        offset = self.thermometer.offset if self.thermometer else None
        return temperature if offset is None else temperature - offset.value

    def limit(self, label: float) -> float:
        """Return what plastic of a label's ceiling may be heated to here at most. [K]"""
        return label if self.ceiling is None else min(label, self.ceiling)

    def whose_limit(self, limit: float) -> str:
        """Return whose rule a limit from `limit` is, in words."""
        return "this bench's ceiling" if limit == self.ceiling else "the label's ceiling"

    def reading(self, temperature: float) -> str:
        """Return a temperature [K] in whole degrees as the maker's thermometer shows it."""
        celsius = temperature - ZERO_CELSIUS
        if self.reads_fahrenheit:
            return f"{celsius * 1.8 + 32:.0f} °F"
        return f"{celsius:.0f} °C"
