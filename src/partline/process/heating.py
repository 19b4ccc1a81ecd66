"""A cup in the microwave oven: melt and glass, what is put in, what is stored and what is lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from partline.errors import OutOfRange
from partline.materials.published import published
from partline.materials.supply import Additive, AdditiveKind
from partline.process.composition import Composition
from partline.process.cup import Cup

Floats = NDArray[np.floating]

#: Specific heat of fused plastic: from the published 25 to 170 °C, a straight line. [J/(kg·K)]
COLD_HEAT, HOT_HEAT, COLD_AT, HOT_AT = 1650.0, 2150.0, 298.15, 443.15
#: Where the resin's crystals melt. [K]
FUSION_LOW, FUSION_HIGH = 403.15, 473.15
#: Longest step in time. [s]
STEP = 5.0
#: Temperatures that a cup's loss is tabled at. [K]
TABLED = np.linspace(250.0, 500.0, 51)


@dataclass(frozen=True, slots=True, kw_only=True)
class CupState:
    """How warm a cup is.

    Parameters
    ----------
    melt : float
        Its plastic, evened out by stirring. [K]
    glass : float
        The wetted glass. [K]
    """

    melt: float
    glass: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heated:
    """A cup after a while, and where the heat went.

    Parameters
    ----------
    state : CupState
        At the end.
    given, lost : float
        Into the melt by the oven, and out into the room. [J]
    times : ndarray, shape (steps + 1,)
        Since the beginning. [s]
    melt : ndarray, shape (steps + 1,)
        Temperature of the plastic then. [K]
    """

    state: CupState
    given: float
    lost: float
    times: Floats
    melt: Floats


@dataclass(frozen=True, kw_only=True)
class HeatedCup:
    """One side's cup as it is heated.

    Parameters
    ----------
    cup : Cup
        The vessel.
    plastic : float
        Plastisol and colour in it. [kg]
    salt : float
        Salt in it. [kg]
    resin : float
        Mass share of resin in the plastic. [-]
    room : float
        [K]

    Notes
    -----
    Specific heat rises in a straight line with the temperature; the crystals' 6.3 J for a gram
    of resin are spread evenly from 130 to 200 °C, under 1 % of the rest.
    """

    cup: Cup
    plastic: float
    salt: float
    resin: float
    room: float

    @property
    def mass(self) -> float:
        """Everything in the cup. [kg]"""
        return self.plastic + self.salt

    @property
    def rise(self) -> float:
        """How the plastic's heat capacity grows with its temperature. [J/K²]"""
        return self.plastic * (HOT_HEAT - COLD_HEAT) / (HOT_AT - COLD_AT)

    @cached_property
    def fusion(self) -> float:
        """What the crystals add to the heat capacity while they melt. [J/K]"""
        taken = published("pvc-resin", "heat of fusion").value * self.resin * self.plastic
        return taken / (FUSION_HIGH - FUSION_LOW)

    @cached_property
    def base(self) -> float:
        """Heat capacity of plastic and salt at 25 °C. [J/K]"""
        salt = published("salt", "specific heat").value
        return self.plastic * COLD_HEAT + self.salt * salt

    @cached_property
    def glass_capacity(self) -> float:
        """Of the wetted glass. [J/K]"""
        return float(self.cup.glass_capacity(self.mass))

    @cached_property
    def exchange(self) -> float:
        """What passes from melt to glass. [W/K]"""
        return float(self.cup.exchange(self.mass))

    @cached_property
    def _losses(self) -> tuple[Floats, Floats]:
        away = TABLED - self.room
        top = self.cup.top_loss(TABLED, self.room) * away
        glass = self.cup.glass_loss(self.mass, TABLED, self.room) * away
        return np.asarray(top), np.asarray(glass)

    def heat(self, melt: float) -> float:
        """Return what plastic and salt hold above 25 °C. [J]"""
        above = melt - COLD_AT
        fused = min(max(melt, FUSION_LOW), FUSION_HIGH) - FUSION_LOW
        return self.base * above + self.rise * above**2 / 2 + self.fusion * fused

    def temperature(self, heat: float) -> float:
        """Return how warm plastic and salt are that hold so much [J] above 25 °C. [K]"""
        low, high = self.heat(FUSION_LOW), self.heat(FUSION_HIGH)
        if heat <= low:
            return COLD_AT + _above(self.base, self.rise, heat)
        if heat >= high:
            extra = self.fusion * (FUSION_HIGH - FUSION_LOW)
            return COLD_AT + _above(self.base, self.rise, heat - extra)
        slope = self.base + self.rise * (FUSION_LOW - COLD_AT) + self.fusion
        return FUSION_LOW + _above(slope, self.rise, heat - low)

    def stored(self, state: CupState) -> float:
        """Return what melt and glass hold above 25 °C. [J]"""
        return self.heat(state.melt) + self.glass_capacity * (state.glass - COLD_AT)

    def losses(self, state: CupState) -> tuple[float, float]:
        """Return what open top and glass lose to the room. [W]"""
        top, glass = self._losses
        return (
            float(np.interp(state.melt, TABLED, top)),
            float(np.interp(state.glass, TABLED, glass)),
        )

    def after(self, state: CupState, seconds: float, power: float = 0.0) -> Heated:
        """Return the cup after a while, in the oven or out of it.

        Parameters
        ----------
        state : CupState
            At the beginning.
        seconds : float
            Not below 0. [s]
        power : float
            Into the melt. [W]

        Raises
        ------
        OutOfRange
            If the time is below 0, or the melt leaves -23 to 227 °C.

        Notes
        -----
        Runge and Kutta's fourth order on the heat held, so that what is given is stored or lost
        to the last digit.
        """
        if seconds < 0:
            raise OutOfRange("A time in the oven cannot be below 0 s.", low=0.0, unit="s")

        def rates(held: Floats) -> Floats:
            now = CupState(
                melt=self.temperature(float(held[0])),
                glass=COLD_AT + float(held[1]) / self.glass_capacity,
            )
            top, glass = self.losses(now)
            over = self.exchange * (now.melt - now.glass)
            return np.array([power - over - top, over - glass, top + glass])

        start = np.array(
            [self.heat(state.melt), self.glass_capacity * (state.glass - COLD_AT), 0.0]
        )
        count = max(int(np.ceil(seconds / STEP)), 1)
        held = runge_kutta(rates, start, seconds, count)
        melt = np.array([self.temperature(float(each)) for each in held[:, 0]])
        if not TABLED[0] <= melt.min() <= melt.max() <= TABLED[-1]:
            raise OutOfRange(
                f"{seconds:.0f} s in the oven would take this cup to "
                f"{melt.max() - 273.15:.0f} °C; nothing is known above 227 °C, and every label's "
                "ceiling lies far below.",
                high=float(TABLED[-1]), unit="K", remedy="Heat it in shorter bursts.",
            )  # fmt: skip
        return Heated(
            state=CupState(
                melt=float(melt[-1]), glass=COLD_AT + float(held[-1, 1]) / self.glass_capacity
            ),
            given=power * seconds,
            lost=float(held[-1, 2]),
            times=np.linspace(0.0, seconds, count + 1),
            melt=melt,
        )

    def resting(self, melt: float) -> CupState:
        """Return a cup that has stood hot for a while: glass between melt and room. [K]"""
        low, high = self.room, melt
        for _ in range(40):
            middle = (low + high) / 2
            _, away = self.losses(CupState(melt=melt, glass=middle))
            warmer = self.exchange * (melt - middle) > away
            low, high = (middle, high) if warmer else (low, middle)
        return CupState(melt=melt, glass=(low + high) / 2)

    def with_added(
        self, state: CupState, *, plastic: float = 0.0, salt: float = 0.0, warm: float
    ) -> tuple[HeatedCup, CupState]:
        """Stir something of another temperature [K] in; return the fuller cup and its state.

        Parameters
        ----------
        state : CupState
            Before.
        plastic, salt : float
            What goes in: anything that holds heat like plastic, and salt. [kg]
        warm : float
            Its temperature. [K]

        Returns
        -------
        cup, state
            The heat of melt and addition is shared; the glass that it now wets besides is
            taken to be as warm as the rest.
        """
        fuller = replace(self, plastic=self.plastic + plastic, salt=self.salt + salt)
        added = replace(self, plastic=plastic, salt=salt)
        held = self.heat(state.melt) + added.heat(warm)
        return fuller, CupState(melt=fuller.temperature(held), glass=state.glass)


def _above(slope: float, rise: float, heat: float) -> float:
    """Temperature above a place where the capacity is `slope` and grows by `rise`. [K]"""
    return 2 * heat / (slope + sqrt(max(slope**2 + 2 * rise * heat, 0.0)))


def runge_kutta(
    rates: Callable[[Floats], Floats], start: Floats, time: float, count: int
) -> Floats:
    """Follow rates that depend on the state alone, by Runge and Kutta's fourth order.

    Parameters
    ----------
    rates : callable
        From a state to its rates, shape (states,).
    start : ndarray, shape (states,)
        At the beginning.
    time : float
        [s]
    count : int
        Of even steps.

    Returns
    -------
    states : ndarray, shape (count + 1, states)
        The start among them.
    """
    step = time / count
    found = np.empty((count + 1, len(start)))
    found[0] = now = start
    for place in range(count):
        first = rates(now)
        second = rates(now + step / 2 * first)
        third = rates(now + step / 2 * second)
        fourth = rates(now + step * third)
        now = now + step / 6 * (first + 2 * second + 2 * third + fourth)
        found[place + 1] = now
    return found


def salt_share(plastic: Composition) -> float:
    """Return the mass share of salt in a side's plastic. [-]"""
    return sum(
        part.share
        for part in plastic.loadings
        if isinstance(part.supply, Additive) and part.supply.kind is AdditiveKind.SALT
    )


def heated_cup(cup: Cup, plastic: Composition, mass: float, room: float) -> HeatedCup:
    """Return one side's cup with everything in it.

    Parameters
    ----------
    cup : Cup
        The vessel.
    plastic : Composition
        What it holds.
    mass : float
        Of it. [kg]
    room : float
        [K]
    """
    resin = sum(grade.resin_share.value * share for grade, share in plastic.grades)
    salt = salt_share(plastic)
    return HeatedCup(
        cup=cup, plastic=mass * (1 - salt), salt=mass * salt, resin=resin / (1 - salt), room=room
    )
