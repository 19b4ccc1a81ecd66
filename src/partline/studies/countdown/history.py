"""What happened to a cup: its readings, draws, additions and heats, as the bench logged them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from partline.errors import InputError, OutOfRange
from partline.process.cup import PLASTIC_HEAT, Cup
from partline.quantities.estimate import Estimate, Origin
from partline.studies.countdown.course import REFERENCE_LEAD, Course
from partline.studies.countdown.events import Addition, Draw, Reading

#: How far two readings may be apart by a thermometer's fault, where nobody has said. [K]
BETWEEN_READINGS = 1.0
#: Temperature that time constants are compared at: the usual lead above a room of 23 °C. [K]
TYPICAL = 436.0
#: Power of the lead that the loss for each degree grows with: from a 500 mL cup's natural
#: convection (a quarter) and radiation, less the base. [-]
BEND = 0.25
#: Time constant falls with this power of the mass where the vessel is unknown: the slope of a
#: 500 mL cup from 160 to 57 g, a default. [-]
EMPTYING_POWER = 0.7
#: Plastic that a draw leaves at least, for the law of the time constant. [kg]
LEAST_MASS = 0.008
#: What a cup of unknown mass is taken to hold where something cold goes in, a default. [kg]
TYPICAL_MASS = 0.150
#: Time constant of a cup nobody has described. [s]
ANY_CUP = Estimate(
    value=1000.0,
    low=500.0,
    high=2000.0,
    origin=Origin.DEFAULT,
    source="100 to 250 g in an open cup",
    narrows="two readings 40 s apart, stirred",
)


#: Pace after the last reading, over that between readings: the glass warms through, a draught
#: comes. A standard deviation of 6 % for a cup that is stirred as often as it was. [-]
STIRRED_ON = Estimate.within(
    1.0, 0.08, Origin.DEFAULT, source="stirred as often as before", narrows="a further reading"
)
#: The same where nobody is going to stir before the draw: the skin stays, cools, and keeps the
#: heat in. A fifth slower on a simulated bench whose melt is left alone; a default. [-]
LEFT_ALONE = Estimate(
    value=0.87, low=0.77, high=0.99, origin=Origin.DEFAULT, source="left standing under its skin",
    narrows="a further reading",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class CupHistory:
    """Everything that a cup's countdown rests on; times on one clock, in any order.

    Parameters
    ----------
    room : float
        [K]
    readings : tuple of Reading
        All, those of earlier heats included: they still tell the time constant.
    time_constant : Estimate
        Before any reading, at `mass`. [s]
    mass : float or None
        Of the plastic before any of `draws` and `additions`; None where unknown. [kg]
    cup : Cup or None
        The vessel in terms of heat; None where unknown.
    draws : tuple of Draw
        Done, and planned ones later than now.
    additions : tuple of Addition
        Colourant, flake, salt.
    heats : tuple of float
        Moments at which the cup came off a source of heat: each begins a new cooling. [s]
    expected : Estimate or None
        Temperature forecast for the last of `heats`, for want of a reading. [K]
    between : float
        How far two readings of one thermometer may be apart by its fault, 80 %. [K]
    pace : Estimate
        How fast the cup cools after its last reading, over the time before. [-]
    bend : float
        Power of the lead that the loss for each degree grows with, above 0. [-]
    """

    room: float
    readings: tuple[Reading, ...]
    time_constant: Estimate = ANY_CUP
    mass: float | None = None
    cup: Cup | None = None
    draws: tuple[Draw, ...] = ()
    additions: tuple[Addition, ...] = ()
    heats: tuple[float, ...] = ()
    expected: Estimate | None = None
    between: float = BETWEEN_READINGS
    pace: Estimate = STIRRED_ON
    bend: float = BEND

    def __post_init__(self) -> None:
        """Refuse what no cup can have."""
        if not self.time_constant.low > 0:
            raise OutOfRange("A time constant must be above 0 s.", low=0.0, unit="s")
        if not self.between > 0:
            raise OutOfRange(
                "Two readings never agree to the last digit: the thermometer's ± between cups "
                "must be above 0.",
                low=0.0,
                unit="K",
            )

    @cached_property
    def coolings(self) -> tuple[Cooling, ...]:
        """Each stretch without heat that has a reading or a forecast, in order of time."""
        edges = [-np.inf, *sorted(self.heats), np.inf]
        found = []
        for start, end in pairwise(edges):
            inside = sorted(
                (each for each in self.readings if start <= each.at < end),
                key=lambda each: each.at,
            )
            is_last = end == np.inf
            expected = self.expected if is_last and np.isfinite(start) else None
            if inside or expected is not None:
                found.append(self._cooling(start, tuple(inside), expected))
        if not found or (self.heats and found[-1].start < max(self.heats)):
            raise InputError(
                "This cup has no reading since it was last heated, so that nothing can be counted "
                "down.",
                remedy="Stir it and read it once.",
            )
        return tuple(found)

    def _cooling(
        self, start: float, readings: tuple[Reading, ...], expected: Estimate | None
    ) -> Cooling:
        anchor = start if expected is not None else readings[0].at
        return Cooling(
            start=start,
            anchor=anchor,
            readings=readings,
            expected=expected,
            course=course_of(self, anchor),
        )

    def mass_at(self, time: float) -> float | None:
        """Return the plastic in the cup at a time [s], that moment's draw taken. [kg]"""
        if self.mass is None:
            return None
        drawn = sum(each.mass for each in self.draws if each.at <= time)
        return self.mass - drawn + sum(each.mass for each in self.additions if each.at <= time)

    def slowness(self, mass: float | None) -> float:
        """Return the time constant at a mass [kg] over that at the history's mass. [-]"""
        if mass is None or self.mass is None:
            return 1.0
        if self.cup is None:
            return float((mass / self.mass) ** EMPTYING_POWER)
        both = self.cup.time_constant(np.array([mass, self.mass]), TYPICAL, self.room)
        return float(both[0] / both[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Cooling:
    """A stretch of time in which a cup had no heat.

    Parameters
    ----------
    start : float
        -inf for the first. [s]
    anchor : float
        Moment whose temperature is fitted. [s]
    readings : tuple of Reading
        In order of time.
    expected : Estimate or None
        Temperature at the anchor before any reading. [K]
    course : Course
        How a lead on the room falls from the anchor on.
    """

    start: float
    anchor: float
    readings: tuple[Reading, ...]
    expected: Estimate | None
    course: Course

    @property
    def last(self) -> float:
        """Moment of the last reading, or of the forecast. [s]"""
        return self.readings[-1].at if self.readings else self.anchor


def course_of(history: CupHistory, anchor: float) -> Course:
    """Return the course of a history, with its clock at 0 at the anchor [s]."""
    events: tuple[Draw | Addition, ...] = (*history.draws, *history.additions)
    moments = sorted({each.at for each in events})
    times, speeds, losses = [-np.inf], [1.0], [0.0]
    for moment in moments:
        mass = history.mass_at(moment)
        left = None if mass is None else max(mass, LEAST_MASS)
        times.append(moment)
        speeds.append(1 / history.slowness(left))
        losses.append(
            sum(
                cooled_by(each, history) for each in history.additions if each.at == moment
            )
        )  # fmt: skip
    plain = Course(
        times=np.array(times),
        speeds=np.array(speeds),
        losses=np.array(losses),
        anchor=anchor,
        bend=history.bend,
    )
    # Losses taken after the anchor make what is left of the lead fall more slowly.
    return replace(plain, speeds=plain.speeds * np.exp(history.bend * plain.loss(plain.times)))


def cooled_by(addition: Addition, history: CupHistory) -> float:
    r"""Return the logarithm of what an addition leaves of the cup's lead on the room.

    Parameters
    ----------
    addition : Addition
        Taken to be as cold as the room where its own temperature is not far from it.
    history : CupHistory
        With the mass it goes into; without one it is taken to be 150 g.

    Returns
    -------
    loss : float
        :math:`\ln[C/(C + c\,m)]` for cold matter, less for warm. [-]
    """
    before = history.mass_at(addition.at)
    mass = TYPICAL_MASS if before is None else max(before - addition.mass, LEAST_MASS)
    heat = PLASTIC_HEAT.value if addition.heat is None else addition.heat
    held = PLASTIC_HEAT.value * mass
    if history.cup is not None:
        held = float(history.cup.heat_capacity(mass))
    brought = heat * addition.mass
    if addition.temperature is None:
        return float(np.log(held / (held + brought)))
    share = (addition.temperature - history.room) / REFERENCE_LEAD
    return float(np.log((held + brought * share) / (held + brought)))
