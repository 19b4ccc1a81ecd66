"""What chips and a timed flow say of a plastisol: how fast it yellows, how thick it runs hot."""

from __future__ import annotations

from math import exp, log

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from partline.data.cie import WAVELENGTHS
from partline.errors import InputError, OutOfRange
from partline.materials.supply import Grade
from partline.physics.colorimetry import reflectance_to_xyz, xyz_to_lab
from partline.physics.draining import drained_viscosity
from partline.physics.gelation import LINE_DOUBT, gel_temperature
from partline.physics.layered_media import Scene, slab_solver
from partline.physics.rheology import gel_viscosity, melt_scale_from, plasticiser_viscosity
from partline.process.card import CARD_WHITE
from partline.process.melt_viscosity import LATE
from partline.process.yellow import YELLOW_DECAY, yellowed
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate, Origin, propagate

Floats = NDArray[np.floating]

#: Scales between which a chip's is looked for. [1/(m·s)]
LEAST, MOST = 1e-6, 10.0
#: Least that heated chips must be yellower than fresh ones before they tell a scale. [b*]
SEEN = 1.0


def chip_yellow(grade: Grade, thickness: float, dose: float, scale: float, decay: float) -> float:
    """Return b* over white of a chip of plain plastic after heat.

    Parameters
    ----------
    grade : Grade
        Its own light as it is fresh.
    thickness : float
        [m]
    dose : float
        Time at 450 K. [s]
    scale : float
        What a second adds at 440 nm. [1/(m·s)]
    decay : float
        How fast that falls with the wavelength. [m]
    """
    optics = grade.optics
    solver = slab_solver(Scene(nodes=8))
    absorption = optics.absorption.at(WAVELENGTHS) + yellowed(dose, scale, decay)
    media = solver.media(
        absorption[None], optics.scattering.at(WAVELENGTHS)[None], anisotropy=optics.anisotropy
    )
    seen = solver.reflectance(media, [[0]], [[thickness]], CARD_WHITE)
    return float(xyz_to_lab(reflectance_to_xyz(seen.normal))[0, 2])


def yellowing_from_chips(
    grade: Grade, yellower: Estimate, thickness: Estimate, dose: Estimate
) -> Estimate:
    """Return a grade's yellowing scale from a heated chip beside a fresh one. [1/(m·s)]

    Parameters
    ----------
    grade : Grade
        Of both chips, without colour.
    yellower : Estimate
        By how much b* of the heated chip is above that of the fresh one, over white, both in one
        photo or read one after the other. [-]
    thickness : Estimate
        Of both. [m]
    dose : Estimate
        Heat of the one above the other, as time at 450 K. [s]

    Raises
    ------
    OutOfRange
        If the heated chip is hardly yellower, or yellower than a thin light yellow can be.
    """
    if yellower.value < SEEN:
        raise OutOfRange(
            f"The heated chip is {yellower.value:.1f} in b* above the fresh one; {SEEN:g} at "
            "least can be told from nothing.",
            low=SEEN, field="yellower", given=f"{yellower.value:g}",
            remedy="Heat it longer, or pour both chips thicker.",
        )  # fmt: skip
    scales = [
        _scale(grade, b, t, d, decay)
        for b, t, d, decay in _one_at_a_time(yellower, thickness, dose)
    ]
    middle, moved = log(scales[0]), np.log(scales[1:]).reshape(-1, 2)
    below = float(np.sqrt(np.sum(np.minimum(moved - middle, 0.0).min(axis=1) ** 2)))
    above = float(np.sqrt(np.sum(np.maximum(moved - middle, 0.0).max(axis=1) ** 2)))
    return Estimate(
        value=exp(middle), low=exp(middle - below), high=exp(middle + above),
        origin=Origin.MEASURED, count=1,
        source=f"a chip of {thickness.value * 1e3:.2g} mm, {yellower.value:.1f} in b* yellower "
        f"after {dose.value / 60:.0f} min at 177 °C or alike",
        narrows="a longer heat, or thicker chips",
    )  # fmt: skip


def _one_at_a_time(*known: Estimate) -> list[tuple[float, float, float, float]]:
    every = [*known, YELLOW_DECAY]
    values = [each.value for each in every]
    found = [tuple(values)]
    for place, each in enumerate(every):
        for end in (each.low, each.high):
            found.append((*values[:place], end, *values[place + 1 :]))
    return found  # type: ignore[return-value]


def _scale(grade: Grade, yellower: float, thickness: float, dose: float, decay: float) -> float:
    fresh = chip_yellow(grade, thickness, dose, 0.0, decay)

    def off(ln_scale: float) -> float:
        seen = chip_yellow(grade, thickness, dose, exp(ln_scale), decay)
        return seen - fresh - max(yellower, 1e-3)

    low, high = log(LEAST), log(MOST)
    # b* turns back where the plastic is brown: beyond there the law does not hold.
    tried = np.linspace(low, high, 25)
    values = np.array([off(each) for each in tried])
    top = int(values.argmax())
    if values[top] <= 0:
        raise OutOfRange(
            f"No light yellow of {thickness * 1e3:.2g} mm is {yellower:.0f} in b* above the fresh "
            "plastic; brown plastic is outside this law.",
            low=0.0, field="yellower", given=f"{yellower:g}",
            remedy="Heat a chip for less, or pour it thinner.",
        )  # fmt: skip
    if values[0] >= 0:
        return LEAST
    return exp(brentq(off, tried[0], tried[top], xtol=1e-4))


def _late(grade: Grade) -> Estimate:
    """Return how far below the gel line a grade sets, as its hot viscosity has it. [K]"""
    if grade.gel_line is None:
        return LATE
    value = max(float(gel_temperature(grade.resin_share.value)) - grade.gel_line, 0.0)
    return Estimate(value=value, low=max(value - LINE_DOUBT, 0.0), high=value + LINE_DOUBT,
                    origin=Origin.LABEL)  # fmt: skip


def hot_viscosity(grade: Grade, temperature: float, scale: Estimate) -> Estimate:
    """Return how thick a plain grade runs hot, by what is known of its scale K. [Pa·s]

    Parameters
    ----------
    grade : Grade
        Plain: salt and flake thicken it.
    temperature : float
        Of the melt, above where it sets. [K]
    scale : Estimate
        K of its viscosity. [-]

    Returns
    -------
    viscosity : Estimate
        With the origin and the source of K; infinite where the grade has set. [Pa·s]

    References
    ----------
    .. [1] The law is `partline.physics.rheology.gel_viscosity`.
    """
    solvent = float(plasticiser_viscosity(temperature))
    late = _late(grade).value

    def law(known: float) -> float:
        return float(gel_viscosity(grade.resin_share.value, temperature, solvent, known, late))

    return scale.map(law)


def melt_scale_from_flow(
    grade: Grade,
    *,
    seconds: Estimate,
    volume: Estimate,
    bore: Estimate,
    tube_length: Estimate,
    head_before: Estimate,
    head_after: Estimate,
    temperature: Estimate,
) -> tuple[Estimate, Estimate]:
    """Return a grade's viscosity and its scale K from a timed drain of the hot melt.

    Parameters
    ----------
    grade : Grade
        Plain: salt and flake thicken it.
    seconds : Estimate
        Of the drain. [s]
    volume : Estimate
        That ran out, hot. [m³]
    bore, tube_length : Estimate
        Of the tube. [m]
    head_before, head_after : Estimate
        Of the surface over the tube's lower end. [m]
    temperature : Estimate
        Of the melt, the thermometer's offset added. [K]

    Returns
    -------
    viscosity : Estimate
        [Pa·s]
    scale : Estimate
        [-]

    Raises
    ------
    OutOfRange
        If it ran so fast that its weight went into speed.
    InputError
        If by its gel line the melt could not have flowed.
    """
    density = grade.density.value / (1 + grade.expansion.value * (temperature.value - 296.15))

    def viscosity(t: float, v: float, d: float, length: float, h1: float, h2: float) -> float:
        return log(
            float(
                drained_viscosity(t, v, d, length, head_before=h1, head_after=h2, density=density)
            )
        )

    sizes = [seconds, volume, bore, tube_length, head_before, head_after]
    thick = propagate(viscosity, sizes).map(exp)
    late = _late(grade)

    def scale(ln_viscosity: float, kelvin: float, undercooling: float) -> float:
        solvent = float(plasticiser_viscosity(kelvin))
        resin = grade.resin_share.value
        return log(float(melt_scale_from(exp(ln_viscosity), resin, kelvin, solvent, undercooling)))

    try:
        found = propagate(scale, [thick.map(log), temperature, late]).map(exp)
    except InputError as refusal:
        refusal.field = "temperature"
        raise
    celsius = temperature.value - ZERO_CELSIUS
    words = f"{volume.value * 1e6:.0f} mL in {seconds.value:.0f} s at {celsius:.0f} °C"
    measured = [
        Estimate(value=each.value, low=each.low, high=each.high, origin=Origin.MEASURED, count=1,
                 source=f"a timed flow: {words}", narrows="a flow at a second temperature")
        for each in (thick, found)
    ]  # fmt: skip
    return measured[0], measured[1]
