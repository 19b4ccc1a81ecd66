"""The solver itself: media decomposed once, then any number of stacks and thicknesses."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import ConvergenceError
from partline.physics.layered_media import checks, kernel
from partline.physics.layered_media.kernel import LANES, Modes, Nodes, Stacks
from partline.physics.layered_media.lanes import carved, in_lanes, out_of_lanes
from partline.physics.layered_media.results import SlabLight, StackReflectance
from partline.physics.layered_media.scene import Directions, Scene, Surface
from partline.physics.scattering import delta_scaled, henyey_greenstein_moments

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Media:
    """Media decomposed into their modes for one scene: made by `SlabSolver.media`.

    Parameters
    ----------
    scene : Scene
        The scene they were made for.
    count, wavelengths : int
        How many media, at how many wavelengths. [-]
    modes : Modes
        Their modes, wavelengths in blocks of lanes.
    """

    scene: Scene
    count: int
    wavelengths: int
    modes: Modes


@lru_cache(maxsize=32)
def slab_solver(scene: Scene | None = None) -> SlabSolver:
    """Solver for a scene, made once and kept.

    Parameters
    ----------
    scene : Scene, optional
        Surroundings and number of directions; a bait in air at 8 directions when left out.

    Returns
    -------
    solver : SlabSolver
        Safe to share between threads.
    """
    return SlabSolver(scene or Scene())


class SlabSolver:
    r"""Light in stacks of scattering, absorbing layers with smooth outer surfaces.

    The azimuth-averaged equation of radiative transfer on N directions a hemisphere. With
    :math:`u=\sqrt{\mu w}\,I`, the sum s and the difference d of the light going up and down obey
    :math:`s'=-E\,d,\ d'=-F\,s`; one symmetric eigenproblem a medium, :math:`E=LL^T`,
    :math:`L^TFL=Q\Lambda^2Q^T`, gives modes :math:`s=Z\hat s,\ d=Z^{-T}\hat d` with
    :math:`Z=LQ` in which a layer of optical thickness τ over a body of admittance
    :math:`\hat Y` (:math:`\hat d=\hat Y\hat s`) has the admittance

    .. math::
        \Lambda\tanh\Lambda\tau + \operatorname{sech}\Lambda\tau\,
        \left(\hat Y^{-1}+\tfrac{\tanh\Lambda\tau}{\Lambda}\right)^{-1}
        \operatorname{sech}\Lambda\tau .

    Every term is bounded, so that thickness 0, great thickness, albedo 0 and albedo 1 need no
    special case, and :math:`\Lambda, Z` serve every thickness.

    Parameters
    ----------
    scene : Scene
        Surroundings and number of directions. Use `slab_solver`, which keeps solvers.

    Notes
    -----
    Valid for layers wide against their thickness, one refractive index inside, no
    polarisation, and no light that changes its wavelength. The forward peak of scattering is cut
    off (delta-M). Errors against 48 directions are listed by ``benchmarks/bench_slab.py``; a
    stronger surface below than above (a skin in water over a gap of air) converges slowly.

    References
    ----------
    .. [1] W. J. Wiscombe, J. Atmos. Sci. 34 (1977) 1408: delta-M (from memory).
    .. [2] K. Stamnes, S.-C. Tsay, W. Wiscombe, K. Jayaweera, Appl. Opt. 27 (1988) 2502: the
       eigenproblem of half size (from memory).
    .. [3] S. A. Prahl, M. J. C. van Gemert, A. J. Welch, Appl. Opt. 32 (1993) 559: the split at
       the critical angle (from memory).

    Examples
    --------
    A dark dye over white, 3 mm each, on a black card, at one wavelength:

    >>> solver = slab_solver(Scene(nodes=8))
    >>> media = solver.media([[500.0], [2.0]], [[20.0], [5500.0]], anisotropy=[[0.85], [0.62]])
    >>> stacks = solver.reflectance(media, [[0, 1], [1, 0]], [[3e-3, 3e-3]] * 2, 0.0)
    >>> stacks.normal.round(2).tolist()
    [[0.01], [0.6]]
    """

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.directions = Directions.of(scene)
        self.above = Surface.between(scene.index / scene.outside, self.directions)
        self.under = Surface.between(scene.index / scene.below, self.directions)
        self._along_normal = np.eye(scene.nodes)[-1]
        self._nodes = Nodes(
            inverse_cosine=1 / self.directions.cosine,
            legendre=self.directions.legendre,
            # Light beyond the critical angle cannot leave; a loss far below rounding keeps the
            # field of directions that nothing scatters into defined.
            top_admittance=np.maximum(self.above.admittance, 1e-13),
            bottom_admittance=self.under.admittance,
            light=self.above.pattern,
            leak=self.under.pattern,
        )

    def media(
        self,
        absorption: ArrayLike,
        scattering: ArrayLike,
        *,
        anisotropy: ArrayLike | None = None,
        moments: ArrayLike | None = None,
    ) -> Media:
        """Decompose media into their modes; what is returned serves every thickness.

        Parameters
        ----------
        absorption, scattering : ndarray, shape (media, wavelengths)
            Coefficients of each medium. [1/m]
        anisotropy : float or ndarray, shape (media, wavelengths)
            Henyey–Greenstein mean cosine; isotropic when neither this nor `moments` is given. [-]
        moments : ndarray, shape (media, orders, wavelengths)
            Legendre moments of the phase function instead, orders 0 to `nodes` or more. [-]

        Returns
        -------
        media : Media
            About 4·nodes² numbers a medium and wavelength: work through libraries in batches of
            a few hundred.

        Raises
        ------
        InputError
            If shapes do not agree or a number is not finite.
        OutOfRange
            If a coefficient is negative, or a moment is not one of a phase function.
        """
        n = self.scene.nodes
        absorbed, scattered = checks.coefficients(absorption, scattering)
        if moments is None:
            g = np.broadcast_to(0.0 if anisotropy is None else anisotropy, absorbed.shape)
            chi = henyey_greenstein_moments(g, n + 1)
        else:
            chi = checks.moments(moments, absorbed.shape, n + 1)
        extinction, albedo, scaled = delta_scaled(absorbed, scattered, chi[:, : n + 1])
        return self._decomposed(extinction, albedo, scaled)

    def _decomposed(self, extinction: Floats, albedo: Floats, moments: Floats) -> Media:
        n, (count, wavelengths) = self.scene.nodes, extinction.shape
        outer = (count, -(-wavelengths // LANES))
        arrays = carved(outer, *[(n, LANES)] * 3, *[(n, n, LANES)] * 4)
        modes = Modes._make([*arrays, in_lanes(extinction)])
        sweeps = kernel.decompose(in_lanes(albedo), in_lanes(moments), self._nodes, modes)
        if sweeps >= kernel.MOST_SWEEPS:
            raise ConvergenceError("The modes of a medium could not be found.")
        return Media(scene=self.scene, count=count, wavelengths=wavelengths, modes=modes)

    def reflectance(
        self, media: Media, layers: ArrayLike, thickness: ArrayLike, backing: ArrayLike = 0.0
    ) -> StackReflectance:
        """Reflectance of stacks of layers on a Lambertian backing.

        Parameters
        ----------
        media : Media
            Decomposed media of this solver.
        layers : ndarray of int, shape (stacks, layers)
            Medium of each layer, the uppermost first.
        thickness : ndarray, shape (stacks, layers)
            Thickness of each layer. [m]
        backing : float or ndarray, shape (stacks,) or (stacks, wavelengths)
            Reflectance of the backing under the lowest surface; 0 is black. [-]

        Returns
        -------
        reflectance : StackReflectance
            Arrays of shape (stacks, wavelengths).

        Raises
        ------
        InputError
            If shapes do not agree, a medium does not exist, or the media are another scene's.
        OutOfRange
            If a thickness is negative or a backing reflectance lies outside 0 to 1.
        """
        checks.same_scene(media.scene, self.scene)
        order, depth = checks.stacks(layers, thickness, media.count)
        card = checks.backing(backing, order.shape[0], media.wavelengths)
        pairs, coupling = _coupled(media, order)
        stacks = Stacks(order, pairs, depth, in_lanes(self._returned_below(card)))
        out = np.empty((order.shape[0], media.modes.rate.shape[1], 2, LANES))
        kernel.reflect(stacks, media.modes, coupling, out)
        return self._seen(*(out_of_lanes(out[:, :, i], media.wavelengths) for i in (0, 1)))

    def slab(self, media: Media, thickness: ArrayLike) -> SlabLight:
        """Reflectance and transmittance of each medium as one layer with nothing below.

        Parameters
        ----------
        media : Media
            Decomposed media of this solver.
        thickness : float or ndarray, shape (media,)
            Thickness of each layer. [m]

        Returns
        -------
        light : SlabLight
            Arrays of shape (media, wavelengths).

        Raises
        ------
        InputError
            If shapes do not agree, or the media are another scene's.
        OutOfRange
            If a thickness is negative.
        """
        checks.same_scene(media.scene, self.scene)
        depth = checks.thickness(thickness, (media.count,))
        back, through = self._slab(media, depth, self._along_normal)
        diffuse_back, diffuse_through = self._slab(media, depth, self.above.share)
        return SlabLight(
            normal_reflectance=back,
            normal_transmittance=through,
            diffuse_reflectance=diffuse_back,
            diffuse_transmittance=diffuse_through,
        )

    def _slab(self, media: Media, depth: Floats, share: Floats) -> tuple[Floats, Floats]:
        """Power sent back and let through per unit of light shared out like `share`."""
        entered = (1 - self.above.reflectance) * share / self.directions.root
        source = np.empty_like(media.modes.rate)
        kernel.spread(media.modes.to_space, 2 * entered / (1 + self.above.reflectance), source)
        count, blocks, n, lanes = source.shape
        fields = np.empty((count, blocks, 2, n, lanes))
        kernel.pass_through(depth, source, media.modes, fields)
        near, far = (
            out_of_lanes(np.einsum("i,mbil->mbl", pattern, fields[:, :, face]), media.wavelengths)
            for face, pattern in enumerate((self.above.pattern, self.under.pattern))
        )
        outside = float(np.sum(self.above.reflectance * share))
        return outside + near - float(np.sum(self.above.pattern * entered)), far

    def _returned_below(self, card: Floats) -> Floats:
        """Strength of the rank-one term that a Lambertian backing adds under the lowest layer."""
        under = self.under
        between = under.gain * card / (1 - card * under.gloss)
        taken = np.sum(under.pattern * (1 - under.reflectance) * self.directions.root)
        return 2 * between / (1 + between * taken)

    def _seen(self, summed: Floats, at_normal: Floats) -> StackReflectance:
        """Turn the field at the upper surface into what leaves it, per unit of diffuse light."""
        above, root = self.above, self.directions.root
        entered = (1 - above.reflectance) * above.gain * root
        light = 2 * above.gain  # the kernel's source is `pattern`, the light's is `light` times it
        leaving = above.pattern[-1] / above.share[-1]
        without = light * summed - float(np.sum(above.pattern * entered))
        return StackReflectance(
            normal=leaving * (light * at_normal - entered[-1]),
            diffuse=without + above.gloss,
            diffuse_without_gloss=without,
        )


def _coupled(media: Media, order: Integers) -> tuple[Integers, Floats]:
    """Couple each pair of media that touch, once; say which pair lies under each layer."""
    keys, which = np.unique(order[:, :-1] * media.count + order[:, 1:], return_inverse=True)
    upper, lower = np.divmod(keys, media.count)
    coupling = np.empty((keys.size, *media.modes.to_space.shape[1:]))
    kernel.couple(upper, lower, media.modes, coupling)
    return which.reshape(order.shape[0], -1), coupling
