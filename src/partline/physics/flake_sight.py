r"""What a line of sight brings when it ends on a flake, or on none.

Along a line of sight into plastic with flakes, let :math:`c` be the plastic's own extinction,
:math:`\kappa_j` what the flakes of kind j shade, :math:`\rho_j` how much of the light a face
throws back, :math:`I(s)` the light that travels to the eye at depth s and :math:`\varphi(s)` the
mean light there, both from the solve in which flakes are an even scatterer. The depth of the
first flake has the density :math:`\kappa e^{-\kappa z}`; what is seen with it there is

.. math::
    L_j(z) = \int_0^z e^{-cs}\,j(s)\,ds + e^{-cz}\rho_j\varphi(z),

the plastic's own light :math:`j` up to it, and its face. The equation of transfer,
:math:`j = (c+\kappa)I - I' - \sum\kappa_j\rho_j\varphi`, turns that into

.. math::
    L_j(z) = I(0) + \int_0^z\sum_i\kappa_i g_i\,ds - g_j(z),\qquad
    g_j(s) = e^{-cs}\,(I(s)-\rho_j\varphi(s)),

and without a flake up to D into the first two terms with z = D. Weighted with the chances of each
depth, the last two terms cancel, **whatever** g is: the mean over all flakes is the solve, by
construction, even where g is only interpolated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import InputError, OutOfRange
from partline.physics.layered_media import InternalField

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlakeSight:
    """Lines of sight along the normal of stacks that hold flakes, dimmed to what is left above.

    Parameters
    ----------
    mean : ndarray, shape (stacks, wavelengths)
        I(0): what comes to the skin from inside in the mean. [-]
    behind : ndarray, shape (stacks, layers, depths, wavelengths)
        exp(−∫c) I: what comes from there and beyond in the mean, seen through plastic alone. [-]
    mirrored : ndarray, shape (stacks, layers, depths, directions, wavelengths)
        exp(−∫c) times the light there, by the direction that a flake may mirror. [-]
    edges : ndarray, shape (directions + 1,)
        Where one direction ends and the next begins, in `mirrored_cosine`, falling from 1 to −1;
        the differences halved are the directions' shares. [-]
    fractions : ndarray, shape (depths,)
        Depths in each layer, as shares of its thickness. [-]
    thickness : ndarray, shape (stacks, layers)
        Of each layer. [m]
    """

    mean: Floats
    behind: Floats
    mirrored: Floats
    edges: Floats
    fractions: Floats
    thickness: Floats

    @property
    def lit(self) -> Floats:
        """exp(−∫c) φ, the mean over directions, shape (stacks, layers, depths, wavelengths)."""
        share = -np.diff(self.edges) / 2
        return np.einsum("d,slzdw->slzw", share, self.mirrored, optimize=True)


def flake_sight(field: InternalField, extinction: ArrayLike) -> FlakeSight:
    """Return what lines of sight bring from each depth, seen through plastic alone.

    Parameters
    ----------
    field : InternalField
        Of stacks whose media hold their flakes as even scatterers; depths rise from 0 to 1.
    extinction : ndarray, shape (stacks, layers)
        Of all flakes of each layer together, κ. [1/m]

    Returns
    -------
    sight : FlakeSight
        For `first_flake_light`.

    Raises
    ------
    InputError
        If the depths do not run from 0 to 1.
    OutOfRange
        If the flakes shade more than the medium that is said to hold them.
    """
    where = field.fractions
    if where[0] != 0 or where[-1] != 1 or np.any(np.diff(where) <= 0):
        raise InputError("Depths along a line of sight rise from 0 to 1.", field="fractions")
    flakes = np.broadcast_to(np.asarray(extinction, dtype=float), field.thickness.shape)
    plastic = field.extinction - flakes[..., None]
    if not (np.all(flakes >= 0) and np.all(plastic >= -1e-9 * field.extinction)):
        raise OutOfRange(
            "Flakes shade more than the plastic that holds them: they must be part of it.",
            low=0.0, unit="1/m", field="extinction",
        )  # fmt: skip
    passed = np.maximum(plastic, 0.0) * field.thickness[..., None]
    before = np.cumsum(passed, axis=1) - passed
    fading = np.exp(-before[:, :, None] - where[:, None] * passed[:, :, None])
    # From straight ahead, by way of the flanks, to straight behind: see mirrored_cosine.
    around = np.concatenate([field.down[..., ::-1, :], field.up], axis=3)
    share = np.concatenate([field.weight[::-1], field.weight])
    return FlakeSight(
        mean=field.up[:, 0, 0, -1],
        behind=fading * field.up[..., -1, :],
        mirrored=fading[..., None, :] * around,
        edges=np.concatenate([[1.0], 1.0 - np.cumsum(share)]),
        fractions=where,
        thickness=field.thickness,
    )


def gathered(gap: ArrayLike, fractions: ArrayLike) -> Floats:
    """Integrals of what is linear between depths, from the first depth to each.

    Parameters
    ----------
    gap : ndarray, shape (..., depths, wavelengths)
        Σκg at each depth. [1/m]
    fractions : ndarray, shape (depths,)
        The depths, as shares of the layer's thickness. [-]

    Returns
    -------
    integral : ndarray, shape (..., depths, wavelengths)
        To be multiplied with the thickness. [1/m]
    """
    g, where = np.asarray(gap, dtype=float), np.asarray(fractions, dtype=float)
    steps = 0.5 * (g[..., 1:, :] + g[..., :-1, :]) * np.diff(where)[:, None]
    return np.concatenate([np.zeros_like(g[..., :1, :]), np.cumsum(steps, axis=-2)], axis=-2)


def first_flake_light(
    sight: FlakeSight, extinction: ArrayLike, reflectance: ArrayLike
) -> tuple[Floats, Floats]:
    """Light of lines of sight by the first flake that they meet, and without one.

    Parameters
    ----------
    sight : FlakeSight
        From `flake_sight`.
    extinction : ndarray, shape (stacks, layers, kinds)
        κ of each kind of flake in each layer. [1/m]
    reflectance : ndarray, shape (kinds, wavelengths)
        Of their faces. [-]

    Returns
    -------
    met : ndarray, shape (stacks, layers, depths, kinds, wavelengths)
        With the first flake at that depth, its face lit by the mean light. [-]
    missed : ndarray, shape (stacks, wavelengths)
        With none before the last layer's end. [-]

    Notes
    -----
    Flakes in random places, small against the distances over which light changes; a flake does
    not shade the plastic before it more than the mean flake does.
    """
    kappa = np.asarray(extinction, dtype=float)
    face = np.asarray(reflectance, dtype=float)
    gap = sight.behind[..., None, :] - face * sight.lit[..., None, :]
    loaded = np.einsum("slk,slzkw->slzw", kappa, gap)
    along = gathered(loaded, sight.fractions) * sight.thickness[..., None, None]
    through = along[:, :, -1]
    before = np.cumsum(through, axis=1) - through
    up_to = sight.mean[:, None, None] + before[:, :, None] + along
    return up_to[..., None, :] - gap, sight.mean + through.sum(axis=1)
