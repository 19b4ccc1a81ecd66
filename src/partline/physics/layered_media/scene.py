"""What surrounds a stack of layers, and the directions in which its light is followed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import eval_legendre

from partline.errors import OutOfRange
from partline.numerics.quadrature import flux_radau, gauss, gauss_radau
from partline.physics.fresnel import critical_cosine, fresnel_reflectance

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """Surroundings of a stack of layers, and how finely directions are told apart.

    Parameters
    ----------
    nodes : int
        Directions in a hemisphere, 2 to 64: 4 to search and for a picture, 8 for numbers, 16 to
        verify. One alone is two-flux theory, and only without surfaces. [-]
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
        fewest = 1 if self.index == self.outside == self.below else 2
        if not fewest <= self.nodes <= 64:
            raise OutOfRange(
                f"{self.nodes} directions were asked for; {fewest} to 64 can be followed.",
                low=fewest, high=64, field="nodes", given=str(self.nodes),
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
        """Lay out the directions of a scene; see `inner_cosines`."""
        weaker, stronger = sorted((scene.index / scene.outside, scene.index / scene.below))
        cosine, weight = inner_cosines(scene.nodes, stronger, weaker)
        orders = np.arange(scene.nodes)[:, None]
        functions = eval_legendre(orders, cosine)
        # Light is kept only if even orders have no mean over the nodes, as over the sphere.
        functions[2::2] -= (functions[2::2] @ weight)[:, None]
        return cls(
            cosine=cosine,
            weight=weight,
            root=np.sqrt(cosine * weight),
            legendre=np.sqrt(2 * orders + 1) * functions * np.sqrt(weight / cosine),
        )


def inner_cosines(count: int, stronger: float, weaker: float) -> tuple[Floats, Floats]:
    """Cosines inside the layers and their weights, the last one the normal.

    Half the nodes lie beyond the critical angle, where light is caught (Gauss). The other half
    are laid out by where they leave: a Gauss–Radau rule over the *outer* cosine, weighted with
    the flux. The field inside has a square-root kink at the critical angle that the outer cosine
    irons out: at 8 nodes the colour error is a third of that of a rule split at the same place
    in the inner cosine, and diffuse light outside is summed exactly.

    Parameters
    ----------
    count : int
        Number of nodes. [-]
    stronger, weaker : float
        Refractive indices of the inside over the outside at the two surfaces, the larger one
        first; 1 means no surface. Another critical angle of the weaker one splits what is caught
        once more. [-]

    Returns
    -------
    cosine, weight : ndarray, shape (count,)
        Rising cosines; weights sum to 1. [-]
    """
    if stronger == 1:
        return gauss_radau(count)
    outer, flux = flux_radau(count - count // 2)
    leaving = np.sqrt(1 - (1 - outer**2) / stronger**2)
    weight = flux / (stronger**2 * leaving)  # μ dμ = ν dν / n²
    caught, caught_weight = _caught(count // 2, critical_cosine(weaker), critical_cosine(stronger))
    caught_weight *= (1 - weight.sum()) / caught_weight.sum()
    return np.concatenate([caught, leaving]), np.concatenate([caught_weight, weight])


def _caught(count: int, between: float, high: float) -> tuple[Floats, Floats]:
    """Gauss rule on the cosines from 0 to `high`, in two parts if another one lies between."""
    if count < 2 or not 0 < between < high:
        return gauss(count, 0.0, high)
    lower, lower_weight = gauss(count // 2, 0.0, between)
    upper, upper_weight = gauss(count - count // 2, between, high)
    return np.concatenate([lower, upper]), np.concatenate([lower_weight, upper_weight])
