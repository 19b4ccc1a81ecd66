"""What the solver answers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StackReflectance:
    """What stacks send back under diffuse light.

    Parameters
    ----------
    normal : ndarray, shape (stacks, wavelengths)
        Radiance factor seen along the normal, the skin's own gloss left out; equally the
        hemispherical reflectance for light along the normal. [-]
    diffuse : ndarray, shape (stacks, wavelengths)
        Hemispherical reflectance, gloss included. [-]
    diffuse_without_gloss : ndarray, shape (stacks, wavelengths)
        Hemispherical reflectance of the light that has been inside. [-]
    """

    normal: Floats
    diffuse: Floats
    diffuse_without_gloss: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SlabLight:
    """Hemispherical reflectance and transmittance of single layers, gloss included.

    Parameters
    ----------
    normal_reflectance, normal_transmittance : ndarray, shape (media, wavelengths)
        For a narrow beam along the normal. [-]
    diffuse_reflectance, diffuse_transmittance : ndarray, shape (media, wavelengths)
        For diffuse light. [-]
    """

    normal_reflectance: Floats
    normal_transmittance: Floats
    diffuse_reflectance: Floats
    diffuse_transmittance: Floats
