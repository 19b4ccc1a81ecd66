"""The working band of one pour: from where to where the cups may be drawn from, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from scipy.optimize import brentq

from partline.errors import Impossible
from partline.materials.mould import Mould
from partline.physics.channel_flow import tube_flow
from partline.process.bench import Bench
from partline.process.composition import Composition
from partline.process.melt_viscosity import HotMelt, hot_melt
from partline.quantities.estimate import Estimate, Origin

#: How far above setting a melt must still be at the gate: it goes on cooling on its way into the
#: tail. A default. [K]
SETTING_MARGIN = 10.0
#: Pressure that a pair of hands keeps up on a coupled pair through a push. [Pa]
HAND = Estimate(
    value=80e3, low=40e3, high=160e3, origin=Origin.DEFAULT,
    source="about 70 N on each of two plungers of 33 mm",
    narrows="a kitchen scale under the plungers",
)  # fmt: skip
#: Length of the gate at its narrowest; runner and cavity are wider. A guess. [m]
WAY = 0.010
#: What a thermometer without a say is taken to be off by. [K]
USUAL_DOUBT = 5.0


class Limit(StrEnum):
    """What binds an end of the band."""

    LABEL = "label"
    CEILING = "ceiling less the thermometer's doubt"
    SETTING = "setting, with a margin"
    FLOW = "flow through the gate"
    LEARNED = "learned from good runs"


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """One limit of an end of the band.

    Parameters
    ----------
    limit : Limit
        Which.
    temperature : Estimate
        [K]
    """

    limit: Limit
    temperature: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingBand:
    """Start and stop, each with every limit that was looked at.

    Parameters
    ----------
    starts, stops : tuple of End
        The one that binds first: the lowest start, the highest stop. A stop that is guessed to
        lie above the start stands last: it may narrow a band, but not close it.
    """

    starts: tuple[End, ...]
    stops: tuple[End, ...]

    @property
    def start(self) -> End:
        """The lowest of the upper limits."""
        return self.starts[0]

    @property
    def stop(self) -> End:
        """The highest of the lower limits."""
        return self.stops[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What good and bad runs have taught of this mould and grade.

    Parameters
    ----------
    start, stop : Estimate or None
        Where mixing began, and where tails came out short. [K]
    """

    start: Estimate | None = None
    stop: Estimate | None = None


def working_band(
    plastics: Sequence[Composition],
    mould: Mould,
    bench: Bench,
    *,
    shot: float,
    push: float,
    learned: Learned | None = None,
) -> WorkingBand:
    """Return the working band of one or two sides in a mould.

    Parameters
    ----------
    plastics : sequence of Composition
        One a side: the band is the one that all allow.
    mould : Mould
        Its gate is what a shot is pushed through; without one the flow is not looked at.
    bench : Bench
        Its thermometer's doubt keeps the start off the ceiling.
    shot : float
        Volume of one shot, hot, all sides together. [m³]
    push : float
        Of the hand's stroke. [s]
    learned : Learned, optional
        From earlier runs.

    Returns
    -------
    band : WorkingBand
        With the limit that binds first at each end.

    Raises
    ------
    Impossible
        If no temperature is left between the two.

    Notes
    -----
    The label's band is for a reading of the cup. Flow is that through a round way as wide as
    the gate and some centimetres long at one viscosity; mixing at the line, which grows the
    hotter and faster a shot is, sets no limit until good and bad runs have.
    """
    melts = [hot_melt(plastic) for plastic in plastics]
    doubt = bench.thermometer.doubt if bench.thermometer else USUAL_DOUBT
    known = learned or Learned()
    lowest = min(plastic.ceiling for plastic in plastics)
    starts = [
        _exact(Limit.LABEL, bench.as_read(min(p.band[1] for p in plastics)), Origin.LABEL),
        _exact(Limit.CEILING, bench.limit(lowest) - doubt, Origin.LABEL),
    ]
    stops = [
        _exact(Limit.LABEL, bench.as_read(max(p.band[0] for p in plastics)), Origin.LABEL),
        End(
            limit=Limit.SETTING,
            temperature=max((melt.sets for melt in melts), key=lambda each: each.value).map(
                lambda kelvin: bench.as_read(kelvin) + SETTING_MARGIN
            ),
        ),
    ]
    if mould.gate is not None:
        flows = [_flow_limit(melt, mould.gate, shot / push) for melt in melts]
        coldest = max(flows, key=lambda each: each.value).map(bench.as_read)
        stops.append(End(limit=Limit.FLOW, temperature=coldest))
    if known.start is not None:
        starts.append(End(limit=Limit.LEARNED, temperature=known.start))
    if known.stop is not None:
        stops.append(End(limit=Limit.LEARNED, temperature=known.stop))
    starts.sort(key=lambda end: end.temperature.value)
    stops.sort(key=lambda end: -end.temperature.value)
    top = starts[0].temperature.value
    # What is only guessed may narrow a band, but not close it.
    shaky = [end for end in stops if end.temperature.low < top <= end.temperature.value]
    stops = [end for end in stops if end not in shaky] + shaky
    band = WorkingBand(starts=tuple(starts), stops=tuple(stops))
    if band.start.temperature.value <= band.stop.temperature.value:
        raise Impossible(
            f"No temperature is left to work in: the start is held to "
            f"{bench.reading(band.start.temperature.value)} by the {band.start.limit.value}, the "
            f"stop to {bench.reading(band.stop.temperature.value)} by the "
            f"{band.stop.limit.value}.",
            nearest="A softer grade, less salt, a wider gate or a slower push would open it.",
        )
    return band


def _exact(limit: Limit, temperature: float, origin: Origin) -> End:
    return End(limit=limit, temperature=Estimate.exact(temperature, origin, "the grade's label"))


def flow_viscosity(gate: float, flow: float, pressure: float) -> float:
    """Return the thickest melt that a pressure pushes through the gate's way in time.

    Parameters
    ----------
    gate : float
        Bore. [m]
    flow : float
        Volume in time. [m³/s]
    pressure : float
        Of the hand. [Pa]

    Returns
    -------
    viscosity : float
        [Pa·s]
    """
    return float(tube_flow(gate, 1.0, pressure / WAY)) / flow


def _flow_limit(melt: HotMelt, gate: float, flow: float) -> Estimate:
    """Temperature below which a hand no longer fills the mould in its stroke. [K]"""

    def coldest(scale: float, pressure: float) -> float:
        most = flow_viscosity(gate, flow, pressure)

        def over(kelvin: float) -> float:
            return min(float(melt.viscosity(kelvin, scale)), 1e9) - most

        low, high = melt.sets.value + 1e-6, 500.0
        if over(low) <= 0:
            return low
        return high if over(high) >= 0 else float(brentq(over, low, high, xtol=1e-3))

    values = [
        coldest(scale, pressure)
        for scale, pressure in (
            (melt.scale.value, HAND.value),
            (melt.scale.low, HAND.high),
            (melt.scale.high, HAND.low),
        )
    ]  # fmt: skip
    return Estimate(
        value=values[0], low=min(values), high=max(values), origin=Origin.COMPUTED,
        source="flow through the gate in one push, by hand",
        narrows="one timed flow of the hot melt",
    )  # fmt: skip
