r"""Bodies cut into shells, and what flows between nodes that store it: exact in time.

A network of nodes, each with a capacity, joined by conductances and leaking to an outside,

.. math:: C\,\dot u = -K u - g\,(u - u_\infty) + q,

is symmetric once it is scaled by its capacities, so that its modes are found once and carry it
over any time without a step: nothing is lost on the way, and nothing can become unstable. What
error there is comes from the cutting alone, and falls with the square of a shell's thickness.

References
----------
.. [1] S. V. Patankar, Numerical Heat Transfer and Fluid Flow, 1980, chapter 4 (from memory):
   balances over cells, resistances in series between them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import InputError, OutOfRange

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shells:
    """A body of size 1 and volume 1, cut into shells of equal thickness.

    Parameters
    ----------
    volume : ndarray, shape (cells,)
        Of each shell, innermost first; they add up to 1. [-]
    link : ndarray, shape (cells - 1,)
        Conductance between neighbours, for a conductivity of 1. [-]
    skin : float
        Conductance from the middle of the outermost shell to the surface. [-]
    area : float
        Of the surface. [-]
    """

    volume: Floats
    link: Floats
    skin: float
    area: float


def shells(bend: float, cells: int) -> Shells:
    """Cut a body into shells.

    Parameters
    ----------
    bend : float
        0 a plate, 1 a cylinder, 2 a sphere; between them a body whose section widens with the
        way out as that power. [-]
    cells : int
        How many shells.

    Returns
    -------
    shells : Shells
        Their volumes and what passes between them.

    Raises
    ------
    OutOfRange
        If the bend is outside 0 to 2, or there are fewer than two shells.
    """
    if not (0 <= bend <= 2 and cells >= 2):
        raise OutOfRange("A body bends 0 to 2 ways and is cut into two shells or more.", low=0)
    edge = np.linspace(0.0, 1.0, cells + 1)
    return Shells(
        volume=np.diff(edge ** (bend + 1)),
        link=(bend + 1) * edge[1:-1] ** bend * cells,
        skin=(bend + 1) * 2.0 * cells,
        area=bend + 1.0,
    )


def value_at_core(innermost: ArrayLike, next_one: ArrayLike) -> Floats:
    """Value in the very middle of a body, from its two innermost shells.

    Parameters
    ----------
    innermost, next_one : float or ndarray, shape (...)
        Values of the innermost shell and of the next. [any]

    Returns
    -------
    core : ndarray, shape (...)
        By the parabola that is level in the middle. [any]
    """
    first, second = np.asarray(innermost, dtype=float), np.asarray(next_one, dtype=float)
    return np.asarray((9.0 * first - second) / 8.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Nodes that store something, and what passes between them.

    Parameters
    ----------
    capacity : ndarray, shape (nodes,)
        What a node takes up per unit of its value; above 0.
    conductance : ndarray, shape (nodes, nodes)
        What passes between two nodes per unit of difference; symmetric, not below 0.
    leak : ndarray, shape (nodes,)
        What a node passes to the outside per unit of difference.
    outside : float
        Value there.
    """

    capacity: Floats
    conductance: Floats
    leak: Floats
    outside: float = 0.0

    def stored(self, values: ArrayLike) -> Floats:
        """Return what is stored above a value of 0.

        Parameters
        ----------
        values : ndarray, shape (..., nodes)
            One a node. [any]
        """
        return np.asarray(np.asarray(values, dtype=float) @ self.capacity)


@dataclass(frozen=True, slots=True, kw_only=True)
class Modes:
    """A network's own ways of settling, each with its rate.

    Parameters
    ----------
    network : Network
        Whose they are.
    rate : ndarray, shape (nodes,)
        How fast each fades. [1/s]
    shape : ndarray, shape (nodes, nodes)
        One a column, scaled by the roots of the capacities.
    """

    network: Network
    rate: Floats
    shape: Floats

    def after(self, start: ArrayLike, time: ArrayLike, source: ArrayLike = 0.0) -> Floats:
        """Return the nodes' values after a time.

        Parameters
        ----------
        start : ndarray, shape (nodes,)
            Values at the beginning. [any]
        time : float or ndarray, shape (...)
            Since then, not below 0. [s]
        source : float or ndarray, shape (nodes,)
            What is put into each node in a second, all the while. [any]

        Returns
        -------
        values : ndarray, shape (..., nodes)
            [any]

        Raises
        ------
        OutOfRange
            If a time is below 0.
        """
        passed = np.asarray(time, dtype=float)
        if not np.all(passed >= 0):
            raise OutOfRange("A time since the beginning cannot be below 0.", low=0.0, unit="s")
        root = np.sqrt(self.network.capacity)
        fed = self.network.leak * self.network.outside + np.asarray(source, dtype=float)
        begun = (root * np.asarray(start, dtype=float)) @ self.shape
        forced = (fed / root) @ self.shape
        fading = self.rate * passed[..., None]
        # (1 − e^−λt)/λ, which is t where nothing fades.
        slow = np.where(self.rate > 0, self.rate, 1.0)
        grown = np.where(self.rate > 0, -np.expm1(-fading) / slow, passed[..., None])
        return np.asarray((begun * np.exp(-fading) + forced * grown) @ self.shape.T / root)


def modes(network: Network) -> Modes:
    """Find how a network settles.

    Parameters
    ----------
    network : Network
        With a symmetric conductance and capacities above 0.

    Returns
    -------
    modes : Modes
        To be asked for any time.

    Raises
    ------
    InputError
        If a capacity is not above 0, something is negative, or the conductance not symmetric.
    """
    given, passed, leak = network.capacity, network.conductance, network.leak
    if not (np.all(given > 0) and np.all(passed >= 0) and np.all(leak >= 0)):
        raise InputError("Capacities must be above 0, conductances and leaks not below 0.")
    if not np.allclose(passed, passed.T, rtol=1e-12, atol=0):
        raise InputError("What passes between two nodes must be the same both ways.")
    own = np.diag(passed.sum(axis=1) - passed.diagonal() + leak)
    flow = own - passed + np.diag(passed.diagonal())
    root = np.sqrt(given)
    rate, shape = np.linalg.eigh(flow / np.outer(root, root))
    # Rounding leaves a closed network's slowest rate a hair off 0, on either side.
    still = np.abs(rate) < 1e-13 * rate[-1]
    return Modes(network=network, rate=np.where(still, 0.0, np.maximum(rate, 0.0)), shape=shape)
