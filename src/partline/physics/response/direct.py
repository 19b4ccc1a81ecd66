"""Light that comes through a body unscattered: followed exactly, for it has sharp edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.physics.response.body import Body
from partline.physics.response.kernel import direct, follow
from partline.physics.response.places import eye

Floats = NDArray[np.floating]

#: Exits of a line of sight that are kept, and the weight below which none is. [-]
MOST_EXITS, LEAST_WEIGHT = 12, 1e-3


@dataclass(frozen=True, kw_only=True, eq=False)
class Direct:
    """Where the unscattered lines of sight of some points come out.

    Parameters
    ----------
    count : ndarray of int, shape (points,)
        Exits of each.
    exits : ndarray, shape (points, most, 4)
        Share that comes out, way in the medium above and below the line in units of the body's
        reference length, and 0 for the eye's half space or 1 for the one behind. [-]
    """

    count: NDArray[np.intp]
    exits: Floats

    @staticmethod
    def of(body: Body, starts: Floats, angle: float, index: float) -> Direct:
        """Follow lines of sight.

        Parameters
        ----------
        body : Body
            Whatever shape.
        starts : ndarray, shape (points, 3)
            Where they meet the skin, in units of the body's reference length. [-]
        angle : float
            Of the eye. [rad]
        index : float
            Refractive index of the body against what is around it. [-]
        """
        count = np.zeros(len(starts), dtype=np.intp)
        exits = np.zeros((len(starts), MOST_EXITS, 4))
        follow(body.skin, starts, eye(angle), index, LEAST_WEIGHT, count, exits)
        return Direct(count=count, exits=exits)

    def light(self, extinction: Floats, back: Floats) -> Floats:
        """Return the light that comes through, shape (points, wavelengths).

        Parameters
        ----------
        extinction : ndarray, shape (wavelengths, 2)
            Absorption and scattering of the media above and below, times the body's reference
            length. [-]
        back : ndarray, shape (wavelengths,)
            Light from the half space behind, that in front being 1. [-]
        """
        out = np.empty((self.count.size, len(extinction)))
        direct(self.count, self.exits, np.ascontiguousarray(extinction), back, out)
        return out
