"""What surrounds a stack of layers, and the directions in which its light is followed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import eval_legendre

from partline.errors import OutOfRange
from partline.numerics.quadrature import hemisphere
from partline.physics.fresnel import critical_cosine, fresnel_reflectance

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """Surroundings of a stack of layers, and how finely directions are told apart.

    Parameters
    ----------
    nodes : int
        Directions in a hemisphere, 2 to 64: 4 to search, 8 for a picture, 16 to verify. [-]
    index : float
        Refractive index of the layers, one for all. [-]
    outside : float
        Refractive index of what the skin meets above: 1 for air, 1.33 for water. [-]
    below : float
        Refractive index of what lies between the lowest layer and the backing. [-]

    Raises
    ------
    OutOfRange
        If the nodes are not 2 to 64, or an outer index is below 1 or above that of the layers.
    """

    nodes: int = 8
    index: float = 1.494
    outside: float = 1.0
    below: float = 1.0

    def __post_init__(self) -> None:
        if not 2 <= self.nodes <= 64:
            raise OutOfRange(
                f"{self.nodes} directions were asked for; 2 to 64 can be followed.",
                low=2, high=64, field="nodes", given=str(self.nodes),
            )  # fmt: skip
        for name, value in (("outside", self.outside), ("below", self.below)):
            if not 1.0 <= value <= self.index:
                raise OutOfRange(
                    f"The refractive index {name} is {value:g}; it must lie between 1 and that "
                    f"of the layers, {self.index:g}.",
                    low=1.0, high=self.index, field=name, given=f"{value:g}",
                )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """One surface of the body, for each direction.

    Parameters
    ----------
    reflectance : ndarray, shape (nodes,)
        Fresnel reflectance from inside. [-]
    share : ndarray, shape (nodes,)
        Share of diffuse light from outside that arrives along each direction; sums to 1. [-]
    gain : float
        The shares over μw: 2n² where refraction has squeezed a hemisphere into a cone. [-]
    gloss : float
        Share of diffuse light from outside that the bare surface reflects. [-]
    admittance : ndarray, shape (nodes,)
        (1 − r)/(1 + r) with the surface's reflectance r. [-]
    pattern : ndarray, shape (nodes,)
        How the field s at the surface counts in the power that leaves: (1 − r)√(μw)/(1 + r). [-]
    """

    reflectance: Floats
    share: Floats
    gain: float
    gloss: float
    admittance: Floats
    pattern: Floats

    @classmethod
    def between(cls, index: float, directions: Directions) -> Surface:
        """Surface with this relative index (inside over outside) for these directions."""
        mu, weight = directions.cosine, directions.weight
        reflectance = fresnel_reflectance(mu, index)
        open_ = np.where(reflectance < 1, mu * weight, 0.0)
        share = open_ / open_.sum()
        return cls(
            reflectance=reflectance,
            share=share,
            gain=float(1 / open_.sum()),
            gloss=float(np.sum(reflectance * share)),
            admittance=(1 - reflectance) / (1 + reflectance),
            pattern=(1 - reflectance) * directions.root / (1 + reflectance),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Directions:
    """The nodes of a hemisphere and the scattering functions on them.

    Parameters
    ----------
    cosine, weight : ndarray, shape (nodes,)
        Cosines inside the layers in rising order, the last one 1, and their weights. [-]
    root : ndarray, shape (nodes,)
        √(μw), which turns radiance into the symmetric unknown u. [-]
    legendre : ndarray, shape (nodes, nodes)
        √(2k+1)·P_k(μ)·√(w/μ), order k first. [-]
    """

    cosine: Floats
    weight: Floats
    root: Floats
    legendre: Floats

    @classmethod
    def of(cls, scene: Scene) -> Directions:
        """Directions that split at the critical angle of the scene's stronger surface."""
        split = critical_cosine(scene.index / min(scene.outside, scene.below))
        cosine, weight = hemisphere(scene.nodes, split)
        orders = np.arange(scene.nodes)[:, None]
        legendre = np.sqrt(2 * orders + 1) * eval_legendre(orders, cosine)
        return cls(
            cosine=cosine,
            weight=weight,
            root=np.sqrt(cosine * weight),
            legendre=np.ascontiguousarray(legendre * np.sqrt(weight / cosine)),
        )
