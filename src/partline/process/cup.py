"""A filled cup on the bench in terms of heat: what it holds, and what it loses to the room."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, log, pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.physics.heat_transfer import FREE, UPRIGHT, surface_conductance
from partline.process.bench import Vessel
from partline.quantities.estimate import Estimate, Origin, propagate

Floats = NDArray[np.floating]

#: Of fused plastic near 170 °C. [J/(kg·K)]
PLASTIC_HEAT = Estimate(
    value=2150.0,
    low=1900.0,
    high=2300.0,
    origin=Origin.MEMORY,
    source="mass-weighted from resin and plasticiser near 170 °C",
    narrows="a cooling run with a weighed cup",
)
#: Of borosilicate glass. [J/(kg·K)]
GLASS_HEAT = Estimate(
    value=830.0, low=750.0, high=900.0, origin=Origin.MEMORY, source="borosilicate, handbooks"
)
#: Of fused plastic at the hot end of a band, for a side whose recipe is not at hand. [kg/m³]
HOT_DENSITY = 925.0
#: Of borosilicate glass, from memory. [W/(m·K)], [kg/m³]
GLASS_CONDUCTIVITY, GLASS_DENSITY = 1.2, 2230.0
#: Of plastic and of glass in the infrared. [-]
EMISSIVITY = 0.94
#: From a stirred melt to the glass, a default. [W/(m²·K)]
INSIDE_CONDUCTANCE = 100.0
#: From the base into a wooden or cork-topped bench, a default. [W/(m²·K)]
BASE_CONDUCTANCE = 10.0
#: Least height that the law of upright plates is asked about. [m]
SHALLOWEST = 1e-3
#: Glass for a litre of capacity: measuring glass of 2 to 4 mm, a default. [kg/m³]
GLASS_PER_CAPACITY = 400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cup:
    """A vessel with one side's plastic, standing open on a bench in a still room.

    Parameters
    ----------
    capacity : float
        To the brim. [m³]
    slenderness : Estimate
        Height over bore. [-]
    glass_mass : Estimate
        Of the empty vessel. [kg]
    glass_heat : Estimate
        Specific heat of the vessel. [J/(kg·K)]
    plastic_heat : Estimate
        Specific heat of the hot plastic. [J/(kg·K)]
    density : float
        Of the hot plastic. [kg/m³]
    exposure : Estimate
        True loss over that of a still room and a wooden bench: draught, lid, mat, hand. [-]

    Notes
    -----
    The glass below the melt's surface goes along with the melt; that above it is a fin which
    the melt warms. So an emptying cup sheds glass as well as plastic.
    """

    capacity: float
    slenderness: Estimate
    glass_mass: Estimate
    glass_heat: Estimate
    plastic_heat: Estimate
    density: float
    exposure: Estimate

    @property
    def bore(self) -> float:
        """Inside diameter of an upright cylinder of this capacity. [m]"""
        return float((4 * self.capacity / (pi * self.slenderness.value)) ** (1 / 3))

    @property
    def height(self) -> float:
        """Inside height. [m]"""
        return self.bore * self.slenderness.value

    @property
    def top_area(self) -> float:
        """Of the melt's open surface, and of the base. [m²]"""
        return pi / 4 * self.bore**2

    @property
    def wall_area(self) -> float:
        """Of the whole wall, without the base. [m²]"""
        return pi * self.bore * self.height

    @property
    def glass_thickness(self) -> float:
        """Of wall and base alike. [m]"""
        return self.glass_mass.value / (GLASS_DENSITY * (self.wall_area + self.top_area))

    def depth(self, mass: ArrayLike) -> Floats:
        """Return how deep the plastic stands.

        Parameters
        ----------
        mass : float or ndarray, shape (...)
            Of the plastic. [kg]

        Returns
        -------
        depth : ndarray, shape (...)
            [m]

        Raises
        ------
        OutOfRange
            If there is no plastic, or more than the cup holds.
        """
        kilograms = np.asarray(mass, dtype=float)
        most = self.capacity * self.density
        if not np.all((kilograms > 0) & (kilograms <= most)):
            given = float(np.ravel(kilograms)[np.argmax(np.abs(np.ravel(kilograms) - most / 2))])
            raise OutOfRange(
                f"The cup has {given * 1e3:.1f} g of plastic; this vessel holds up to "
                f"{most * 1e3:.0f} g hot.",
                low=0.0,
                high=most,
                unit="kg",
                remedy="Weigh the cup again, less the empty vessel.",
            )
        return np.asarray(kilograms / (self.density * self.top_area))

    def wetted_area(self, mass: ArrayLike) -> Floats:
        """Return the area of glass that the plastic touches: base and lower wall. [m²]"""
        return np.asarray(self.top_area + pi * self.bore * self.depth(mass))

    def wetted_glass(self, mass: ArrayLike) -> Floats:
        """Return the mass of glass that goes along with the plastic. [kg]"""
        share = self.wetted_area(mass) / (self.wall_area + self.top_area)
        return np.asarray(self.glass_mass.value * share)

    def plastic_capacity(self, mass: ArrayLike) -> Floats:
        """Return the heat that a degree takes in the plastic alone. [J/K]"""
        return np.asarray(self.plastic_heat.value * np.asarray(mass, dtype=float))

    def glass_capacity(self, mass: ArrayLike) -> Floats:
        """Return the heat that a degree takes in the wetted glass. [J/K]"""
        return np.asarray(self.glass_heat.value * self.wetted_glass(mass))

    def heat_capacity(self, mass: ArrayLike) -> Floats:
        """Return the heat that a degree takes in plastic and wetted glass. [J/K]"""
        return np.asarray(self.plastic_capacity(mass) + self.glass_capacity(mass))

    def exchange(self, mass: ArrayLike) -> Floats:
        """Return what passes from a stirred melt to the wetted glass, to its middle. [W/K]"""
        resistance = 1 / INSIDE_CONDUCTANCE + self.glass_thickness / (2 * GLASS_CONDUCTIVITY)
        return np.asarray(self.wetted_area(mass) / resistance)

    def top_loss(self, temperature: ArrayLike, room: ArrayLike) -> Floats:
        """Return what the open surface loses to the room. [W/K]"""
        open_top = surface_conductance(FREE, temperature, room, self.bore / 4, EMISSIVITY)
        return np.asarray(self.exposure.value * self.top_area * open_top)

    def glass_loss(self, mass: ArrayLike, temperature: ArrayLike, room: ArrayLike) -> Floats:
        """Return what wetted wall, base and the dry wall above lose to the room. [W/K]"""
        tall = np.maximum(self.depth(mass), SHALLOWEST)
        wall = surface_conductance(UPRIGHT, temperature, room, tall, EMISSIVITY)
        across = wall_lag(self.glass_thickness)
        side = pi * self.bore * tall / (1 / wall + across)
        base = self.top_area / (1 / BASE_CONDUCTANCE + across)
        return np.asarray(self.exposure.value * (side + base + self._fin(tall, wall)))

    def _fin(self, depth: Floats, wall: Floats) -> Floats:
        """Return what the dry wall sheds as a straight fin with an idle tip. [W/K]"""
        dry = np.maximum(self.height - depth, 0.0)
        along = GLASS_CONDUCTIVITY * self.glass_thickness
        reach = np.sqrt(2 * wall / along)
        return np.asarray(pi * self.bore * np.sqrt(2 * wall * along) * np.tanh(reach * dry))

    def conductance(self, mass: ArrayLike, temperature: ArrayLike, room: ArrayLike) -> Floats:
        """Return what the cup loses to the room per degree of difference.

        Parameters
        ----------
        mass : float or ndarray, shape (...)
            Of the plastic. [kg]
        temperature, room : float or ndarray, shape (...)
            Of the plastic and of the room. [K]

        Returns
        -------
        conductance : ndarray, shape (...)
            Open top, wetted wall, base and the warm part of the dry wall. [W/K]

        Raises
        ------
        OutOfRange
            As for `depth`, or if the mean of the temperatures is outside 250 to 500 K.

        Notes
        -----
        Natural convection and radiation; the wall above the melt neither shades its surface nor
        keeps the air off it, which is in the range of `exposure`. A base on wood takes
        10 W/(m²·K), a default: stone takes several times as much for the first minutes.

        References
        ----------
        .. [1] `partline.physics.heat_transfer`; the straight fin of F. P. Incropera and D. P.
           DeWitt, Fundamentals of Heat and Mass Transfer, table 3.4 (from memory).
        """
        loss = self.top_loss(temperature, room) + self.glass_loss(mass, temperature, room)
        return np.asarray(loss)

    def time_constant(self, mass: ArrayLike, temperature: ArrayLike, room: ArrayLike) -> Floats:
        """Return how long the cup takes to lose 63 % of its lead on the room, going on as now.

        Parameters
        ----------
        mass : float or ndarray, shape (...)
            Of the plastic. [kg]
        temperature, room : float or ndarray, shape (...)
            Of the plastic and of the room. [K]

        Returns
        -------
        time_constant : ndarray, shape (...)
            [s]

        Raises
        ------
        OutOfRange
            As for `conductance`.
        """
        return np.asarray(self.heat_capacity(mass) / self.conductance(mass, temperature, room))

    def likely_time_constant(self, mass: float, temperature: float, room: float) -> Estimate:
        """Return the time constant [s] as it is known before any reading, with its range.

        Parameters
        ----------
        mass : float
            Of the plastic. [kg]
        temperature, room : float
            Of the plastic and of the room. [K]

        Returns
        -------
        time_constant : Estimate
            Ratios above and below the figure, as for a log-normal doubt. [s]
        """
        parts = ("slenderness", "glass_mass", "glass_heat", "plastic_heat", "exposure")

        def logarithm(*values: float) -> float:
            exact = [Estimate.exact(value) for value in values]
            moved = replace(self, **dict(zip(parts, exact, strict=True)))  # type: ignore[arg-type]
            return log(float(moved.time_constant(mass, temperature, room)))

        known = propagate(
            logarithm,
            [getattr(self, part) for part in parts],
            source="heat held over heat lost, for this vessel and mass",
        ).map(exp)
        return replace(known, origin=Origin.DEFAULT, narrows="two readings 40 s apart, stirred")


def wall_lag(thickness: float) -> float:
    """Return the resistance [m²·K/W] from a stirred melt through glass this thick [m]."""
    return 1 / INSIDE_CONDUCTANCE + thickness / GLASS_CONDUCTIVITY


def glass_mass_of(vessel: Vessel) -> Estimate:
    """Return the empty vessel's mass [kg], guessed from its capacity where nobody weighed it."""
    if vessel.mass is not None:
        return vessel.mass
    return Estimate.within(
        vessel.capacity * GLASS_PER_CAPACITY,
        0.6,
        Origin.DEFAULT,
        source="400 g of glass a litre",
        narrows="the empty vessel on the scale",
    )


def cup_of(
    vessel: Vessel, *, density: float = HOT_DENSITY, plastic_heat: Estimate = PLASTIC_HEAT
) -> Cup:
    """Return a vessel of the bench in terms of heat.

    Parameters
    ----------
    vessel : Vessel
        The bench's cup.
    density : float
        Of the side's hot plastic, such as `Composition.hot_density` gives. [kg/m³]
    plastic_heat : Estimate
        Specific heat of the side's hot plastic. [J/(kg·K)]

    Returns
    -------
    cup : Cup
        Height and bore guessed from the capacity; origin `default`.
    """
    return Cup(
        capacity=vessel.capacity,
        slenderness=Estimate.within(
            1.2,
            0.4,
            Origin.DEFAULT,
            source="a measuring vessel a little taller than wide",
            narrows="the vessel's inside height and width",
        ),
        glass_mass=glass_mass_of(vessel),
        glass_heat=GLASS_HEAT,
        plastic_heat=plastic_heat,
        density=density,
        exposure=Estimate.within(
            1.0,
            0.33,
            Origin.DEFAULT,
            source="a still room and a wooden bench",
            narrows="two readings 40 s apart, stirred",
        ),
    )
