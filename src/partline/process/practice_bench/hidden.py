"""What a practice bench does not tell: drawn at random, once for each cup."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hidden:
    """The true bench; all figures are invented within what benches do, origin `default`.

    Parameters
    ----------
    bore, height : ndarray, shape (cups,)
        Inside the vessel. [m]
    glass : ndarray, shape (cups,)
        Its mass. [kg]
    plastic_heat, glass_heat : ndarray, shape (cups,)
        Specific heats. [J/(kg·K)]
    density : ndarray, shape (cups,)
        Of the hot plastic. [kg/m³]
    churn : ndarray, shape (cups,)
        Conductivity of the melt, its own sluggish convection included. [W/(m·K)]
    grip : ndarray, shape (cups,)
        From melt to glass. [W/(m²·K)]
    breeze : ndarray, shape (cups,)
        Convection at a difference of 1 K; it grows with the quarter power. [W/(m²·K^1.25)]
    emissivity : ndarray, shape (cups,)
        Of surface and glass for all infrared. [-]
    bench : ndarray, shape (cups,)
        From base to bench. [W/(m²·K)]
    stirrer : ndarray, shape (cups,)
        Heat that a degree takes in the stirrer. [J/K]
    stirrer_time : ndarray, shape (cups,)
        In which a stirrer laid down cools. [s]
    oven : ndarray, shape (cups,)
        Power that arrives in the cup. [W]
    oven_glass : ndarray, shape (cups,)
        Share of it that the glass takes. [-]
    seen : ndarray, shape (cups,)
        Emissivity of this colour in the thermometer's band. [-]
    setting : ndarray, shape (cups,)
        Emissivity that the thermometer is set to. [-]
    drift : ndarray, shape (cups,)
        Loss of what its fogging lens lets through. [1/s]
    delay : ndarray, shape (cups,)
        By which a reading is old when it is noted. [s]
    noise : ndarray, shape (cups,)
        Standard deviation of a reading. [K]
    step : ndarray, shape (cups,)
        Of the display. [K]
    room : ndarray, shape (cups,)
        [K]
    """

    bore: Floats
    height: Floats
    glass: Floats
    plastic_heat: Floats
    glass_heat: Floats
    density: Floats
    churn: Floats
    grip: Floats
    breeze: Floats
    emissivity: Floats
    bench: Floats
    stirrer: Floats
    stirrer_time: Floats
    oven: Floats
    oven_glass: Floats
    seen: Floats
    setting: Floats
    drift: Floats
    delay: Floats
    noise: Floats
    step: Floats
    room: Floats


def drawn(
    rng: np.random.Generator,
    cups: int = 2,
    *,
    is_one_bench: bool = True,
    capacity: float = 5e-4,
    glass: float = 0.180,
    power: float = 900.0,
    room: float = 295.15,
    step: float = 1.0,
) -> Hidden:
    """Draw what a bench hides.

    Parameters
    ----------
    rng : numpy.random.Generator
        Of which all chance is taken.
    cups : int
        How many.
    is_one_bench : bool
        Whether the cups share vessel, room, oven and thermometer, as cup A and cup B do.
    capacity : float
        Of each vessel. [m³]
    glass : float
        About what one weighs. [kg]
    power : float
        Of the oven into a water load. [W]
    room : float
        [K]
    step : float
        Of the thermometer's display. [K]
    """

    def spread(middle: float, share: float, *, is_shared: bool = True) -> Floats:
        """Return a positive figure with a log-normal doubt: one for the bench, or one a cup."""
        count = 1 if is_one_bench and is_shared else cups
        return np.resize(middle * np.exp(share * rng.standard_normal(count)), cups)

    def even(low: float, high: float, *, is_shared: bool = True) -> Floats:
        count = 1 if is_one_bench and is_shared else cups
        return np.resize(rng.uniform(low, high, count), cups)

    slenderness = spread(1.2, 0.2)
    bore = (4 * capacity / (np.pi * slenderness)) ** (1 / 3)
    return Hidden(
        bore=bore,
        height=bore * slenderness,
        glass=spread(glass, 0.08),
        plastic_heat=spread(2130.0, 0.05, is_shared=False),
        glass_heat=spread(830.0, 0.05),
        density=spread(925.0, 0.01, is_shared=False),
        churn=spread(0.17 * 6, 0.4, is_shared=False),
        grip=spread(90.0, 0.3, is_shared=False),
        breeze=spread(2.6, 0.2),
        emissivity=even(0.86, 0.96),
        bench=spread(9.0, 0.4),
        stirrer=even(0.5, 4.0),
        stirrer_time=spread(60.0, 0.3),
        oven=spread(0.4 * power, 0.15),
        oven_glass=even(0.03, 0.12),
        seen=even(0.91, 0.95, is_shared=False),
        setting=np.full(cups, 0.95),
        drift=even(0.0, 2.5e-5),
        delay=even(0.5, 3.0),
        noise=spread(0.35, 0.3),
        step=np.full(cups, step),
        room=np.full(cups, room) + (0.0 if is_one_bench else rng.normal(0.0, 2.0, cups)),
    )
