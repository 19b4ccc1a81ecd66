"""Light inside a stack of layers: how bright it is at each depth, along each direction."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import InputError, OutOfRange
from partline.physics.layered_media import checks
from partline.physics.layered_media.solver import Media, SlabSolver

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

# Least fading of a mode across a layer: below it the field between the faces is a straight line.
_LEAST = 1e-150


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InternalField:
    """Radiance inside stacks under diffuse light, over the square of the refractive index.

    Parameters
    ----------
    up, down : ndarray, shape (stacks, layers, depths, nodes, wavelengths)
        Light on its way to the upper skin and away from it, at each node; the diffuse light
        outside is 1. The last node is the normal. [-]
    mean : ndarray, shape (stacks, layers, depths, wavelengths)
        Mean over all directions. [-]
    weight : ndarray, shape (nodes,)
        Weights of the nodes in a hemisphere; sum to 1. [-]
    extinction : ndarray, shape (stacks, layers, wavelengths)
        Of each layer, without the forward peak of its scattering. [1/m]
    thickness : ndarray, shape (stacks, layers)
        Of each layer. [m]
    fractions : ndarray, shape (depths,)
        Depths in each layer, as shares of its thickness. [-]
    """

    up: Floats
    down: Floats
    mean: Floats
    weight: Floats
    extinction: Floats
    thickness: Floats
    fractions: Floats

    def turned(self) -> InternalField:
        """Return the same light with the stack seen from below.

        Returns
        -------
        field : InternalField
            Its layers in reverse, and what was up is down.
        """
        back = (slice(None), slice(None, None, -1), slice(None, None, -1))
        return InternalField(
            up=self.down[back],
            down=self.up[back],
            mean=self.mean[back],
            weight=self.weight,
            extinction=self.extinction[:, ::-1],
            thickness=self.thickness[:, ::-1],
            fractions=1 - self.fractions[::-1],
        )

    def plus(self, other: InternalField, strength: ArrayLike) -> InternalField:
        """Return this light and another one in the same stacks, for light adds up.

        Parameters
        ----------
        other : InternalField
            At the same depths of the same layers.
        strength : float or ndarray, shape (wavelengths,)
            What the other light is multiplied by. [-]

        Returns
        -------
        field : InternalField
            The sum.

        Raises
        ------
        InputError
            If the other one is of other layers or depths.
        """
        pairs = ((self.thickness, other.thickness), (self.extinction, other.extinction),
                 (self.fractions, other.fractions))  # fmt: skip
        if not all(a.shape == b.shape and np.allclose(a, b) for a, b in pairs):
            raise InputError("Light adds up in the same layers, at the same depths, only.")
        share = np.asarray(strength, dtype=float)
        return replace(
            self,
            up=self.up + share * other.up,
            down=self.down + share * other.down,
            mean=self.mean + share * other.mean,
        )


class _Body(NamedTuple):
    """What a layer and all below it do, in the layer's modes.

    `passed` takes s from its upper to its lower face; the admittances turn s into d there.
    """

    passed: Floats
    upper: Floats
    lower: Floats


class _Layers(NamedTuple):
    """Layers of every stack in their modes: (layers, stacks, wavelengths, ...)."""

    rate: Floats
    to_space: Floats
    from_sum: Floats
    depth: Floats


def internal_field(
    solver: SlabSolver,
    media: Media,
    layers: ArrayLike,
    thickness: ArrayLike,
    backing: ArrayLike = 0.0,
    *,
    fractions: ArrayLike,
) -> InternalField:
    r"""Light at several depths of stacks of layers on a Lambertian backing.

    In the modes of a layer :math:`\hat s''=\Lambda^2\hat s,\ \hat d=-\hat s'`, so that the field
    between its faces follows from what it is on them:

    .. math::
        \hat s(x) = \frac{\hat s_0\sinh\Lambda(\tau-x) + \hat s_1\sinh\Lambda x}
        {\sinh\Lambda\tau}

    Parameters
    ----------
    solver : SlabSolver
        Made the media.
    media : Media
        Decomposed media.
    layers : ndarray of int, shape (stacks, layers)
        Medium of each layer, the uppermost first.
    thickness : ndarray, shape (stacks, layers)
        Thickness of each layer. [m]
    backing : float or ndarray, shape (stacks,) or (stacks, wavelengths)
        Reflectance of the backing under the lowest surface. [-]
    fractions : ndarray, shape (depths,)
        Where to look in each layer, as shares of its thickness, 0 to 1. [-]

    Returns
    -------
    field : InternalField
        Its `up` at depth 0 of the first layer along the normal, less what the skin turns back,
        is the solver's `normal` reflectance.

    Raises
    ------
    InputError
        If shapes do not agree, a medium does not exist, or the media are another scene's.
    OutOfRange
        If a fraction lies outside 0 to 1, or as `SlabSolver.reflectance`.

    Notes
    -----
    Valid as `SlabSolver` is; a layer of no thickness is a plane. In a stack of no thickness at
    all, light beyond the critical angle is not determined: look at one of 10 µm instead.

    References
    ----------
    .. [1] K. Stamnes, S.-C. Tsay, W. Wiscombe, K. Jayaweera, Appl. Opt. 27 (1988) 2502: fields
       inside from the modes (from memory).
    """
    checks.same_scene(media.scene, solver.scene)
    order, thick = checks.stacks(layers, thickness, media.count)
    card = checks.backing(backing, order.shape[0], media.wavelengths)
    where = np.atleast_1d(np.asarray(fractions, dtype=float))
    if not (np.all(where >= 0) and np.all(where <= 1)):
        raise OutOfRange(
            "A depth inside a layer is a share of its thickness, 0 to 1.",
            low=0.0, high=1.0, field="fractions",
        )  # fmt: skip
    extinction = _by_wavelength(media.modes.extinction, media.wavelengths)[order]
    stack = _layers(media, order, extinction * thick[..., None])
    upper, bodies = _faces(solver, stack, _under(solver, card))
    up, down = _between(solver, stack, upper, bodies, where)
    weight = solver.directions.weight
    return InternalField(
        up=up,
        down=down,
        mean=0.5 * np.einsum("n,slznw->slzw", weight, up + down, optimize=True),
        weight=weight,
        extinction=extinction,
        thickness=thick,
        fractions=where,
    )


def _by_wavelength(array: Floats, wavelengths: int) -> Floats:
    """Bring (media, blocks, ..., lanes) to (media, wavelengths, ...)."""
    moved = np.moveaxis(array, -1, 2)
    return moved.reshape(moved.shape[0], -1, *moved.shape[3:])[:, :wavelengths]


def _layers(media: Media, order: Integers, depth: Floats) -> _Layers:
    modes, by_layer = media.modes, order.T
    return _Layers(
        rate=_by_wavelength(modes.rate, media.wavelengths)[by_layer],
        to_space=_by_wavelength(modes.to_space, media.wavelengths)[by_layer],
        from_sum=_by_wavelength(modes.from_sum, media.wavelengths)[by_layer],
        depth=np.moveaxis(depth, 1, 0)[..., None],
    )


def _under(solver: SlabSolver, card: Floats) -> Floats:
    """Admittance of what lies under the lowest layer, (stacks, wavelengths, nodes, nodes)."""
    leak = solver.under.pattern
    returned = solver._returned_below(card)[..., None, None] * np.outer(leak, leak)
    return np.asarray(np.diag(solver.under.admittance) - returned)


def _faces(solver: SlabSolver, stack: _Layers, under: Floats) -> tuple[Floats, list[_Body]]:
    """Field s on the upper skin, and each layer with what lies below it."""
    admittance, bodies = under, []
    for rate, z, x, depth in zip(*(part[::-1] for part in stack), strict=True):
        fade = rate * depth
        secant, tangent = 1 / np.cosh(np.minimum(fade, 300.0)), np.tanh(fade)
        lower = z.swapaxes(-1, -2) @ admittance @ z
        share = np.linalg.inv(np.eye(rate.shape[-1]) + (tangent / rate)[..., None] * lower)
        upper = secant[..., :, None] * (lower @ share) * secant[..., None, :]
        upper += np.eye(rate.shape[-1]) * (rate * tangent)[..., None]
        bodies.append(_Body(share * secant[..., None, :], upper, lower))
        admittance = x @ upper @ x.swapaxes(-1, -2)
    # Light beyond the critical angle cannot leave; see SlabSolver for the floor.
    skin = np.diag(np.maximum(solver.above.admittance, 1e-13))
    light = np.broadcast_to(2 * solver.above.pattern, admittance.shape[:-1])
    return np.linalg.solve(skin + admittance, light[..., None]), bodies[::-1]


def _between(
    solver: SlabSolver, stack: _Layers, field: Floats, bodies: list[_Body], where: Floats
) -> tuple[Floats, Floats]:
    """Light up and down at each depth, (stacks, layers, depths, nodes, wavelengths)."""
    root = 2 * solver.directions.root[:, None]
    ups, downs = [], []
    for rate, z, x, depth, body in zip(*stack, bodies, strict=True):
        first = x.swapaxes(-1, -2) @ field
        last = body.passed @ first
        field = z @ last
        fade = np.maximum(rate * depth, _LEAST)[..., None]
        # sinh Λ(τ − x) and sinh Λx over sinh Λτ, written so that nothing overflows and, with
        # expm1(−2a) = q(2 + q), nothing is lost where a layer is thin.
        first_part, last_part = np.expm1(-where * fade), np.expm1((where - 1) * fade)
        whole = np.expm1(-fade)
        whole *= 2 + whole
        near = (1 + first_part) * last_part * (2 + last_part) / whole
        far = (1 + last_part) * first_part * (2 + first_part) / whole
        both = z @ (first * near + last * far)
        # d̂ obeys the same equation; its own end values keep it clear of a difference of s.
        net = x @ (body.upper @ first * near + body.lower @ last * far)
        ups.append((both - net) / root)
        downs.append((both + net) / root)
    axes = (1, 0, 4, 3, 2)  # from (layers, stacks, wavelengths, nodes, depths)
    return np.stack(ups).transpose(axes), np.stack(downs).transpose(axes)
