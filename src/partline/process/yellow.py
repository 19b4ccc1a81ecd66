"""How yellow a plastisol is after the heat that it has been given."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.physics.yellowing import yellowing_absorption
from partline.process.composition import Composition
from partline.quantities.estimate import Estimate, Origin, propagate

Floats = NDArray[np.floating]

#: What a second at 450 K adds to the absorption at 440 nm: 10 min at 177 °C make 10 mm of clear
#: plastic faintly yellow. Nobody has published it for a soft plastisol. [1/(m·s)]
YELLOWING = Estimate(
    value=0.01, low=0.001, high=0.1, origin=Origin.DEFAULT,
    source="yellowing of a stabilised soft plastisol: a guess",
    narrows="a chip of fresh and one of often heated plastic over white, side by side",
)  # fmt: skip
#: How fast the yellow falls with the wavelength. [m]
YELLOW_DECAY = Estimate(
    value=60e-9, low=40e-9, high=90e-9, origin=Origin.DEFAULT,
    source="tail of the absorption of degraded PVC: a guess", narrows="a spectrum of such a chip",
)  # fmt: skip


def yellowing_of(plastic: Composition) -> Estimate:
    """Return the yellowing scale of a side's plastisol. [1/(m·s)]

    Parameters
    ----------
    plastic : Composition
        Of one side. Grades that chips were made of tell their own, by their shares; one that
        nobody has looked at brings in the default with its range.
    """
    total = plastic.plastisol_share
    parts = [((grade.yellowing or YELLOWING), share / total) for grade, share in plastic.grades]
    if all(scale is YELLOWING for scale, _ in parts):
        return YELLOWING
    if len(parts) == 1:
        return parts[0][0]
    mixed = propagate(
        lambda *scales: sum(s * share for s, (_, share) in zip(scales, parts, strict=True)),
        [scale for scale, _ in parts], source="yellowing of the grades, by their shares",
    )  # fmt: skip
    return replace(mixed, low=max(mixed.low, min(scale.low for scale, _ in parts)))


def yellowed(
    dose: float, scale: float = YELLOWING.value, decay: float = YELLOW_DECAY.value
) -> Floats:
    """Return what heat has added to a plastisol's absorption.

    Parameters
    ----------
    dose : float
        Time at 450 K that would do the same; see `partline.physics.yellowing`. [s]
    scale : float
        Learned for a jug, or the default. [1/(m·s)]
    decay : float
        [m]

    Returns
    -------
    absorption : ndarray, shape (wavelengths,)
        [1/m]

    Raises
    ------
    OutOfRange
        If the dose or the scale is below 0.
    """
    return yellowing_absorption(dose, WAVELENGTHS, scale, decay)
