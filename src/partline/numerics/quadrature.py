"""Quadrature rules on the cosines of a hemisphere, with the end point 1 always a node."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import roots_jacobi, roots_legendre

Floats = NDArray[np.floating]


def gauss(count: int, low: float = 0.0, high: float = 1.0) -> tuple[Floats, Floats]:
    """Gauss–Legendre rule on an interval, exact for polynomials of degree 2·count − 1.

    Parameters
    ----------
    count : int
        Number of nodes. [-]
    low, high : float
        Ends of the interval. [-]

    Returns
    -------
    nodes, weights : ndarray, shape (count,)
        Inner points in rising order and their weights, which sum to high − low. [-]
    """
    nodes, weights = roots_legendre(count)
    return low + (high - low) * (nodes + 1) / 2, (high - low) * weights / 2


def gauss_radau(count: int, low: float = 0.0, high: float = 1.0) -> tuple[Floats, Floats]:
    """Gauss–Radau rule with the upper end as a node, exact to degree 2·count − 2.

    Parameters
    ----------
    count : int
        Number of nodes, the upper end included. [-]
    low, high : float
        Ends of the interval. [-]

    Returns
    -------
    nodes, weights : ndarray, shape (count,)
        Points in rising order, the last one `high`; weights sum to high − low. [-]

    References
    ----------
    .. [1] Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, 25.4.31, mirrored so
       that the fixed node is the upper end; inner nodes are the roots of the Jacobi polynomial
       P^(1,0).
    """
    if count == 1:
        return np.array([high]), np.array([high - low])
    inner, jacobi_weights = roots_jacobi(count - 1, 1.0, 0.0)
    nodes = np.append(inner, 1.0)
    weights = np.append(jacobi_weights / (1 - inner), 2 / count**2)
    return low + (high - low) * (nodes + 1) / 2, (high - low) * weights / 2


def flux_radau(count: int) -> tuple[Floats, Floats]:
    """Gauss–Radau rule for ∫ f(t)·t dt over 0 to 1 with t = 1 as a node.

    Parameters
    ----------
    count : int
        Number of nodes, the upper end included. [-]

    Returns
    -------
    nodes, weights : ndarray, shape (count,)
        Points in rising order, the last one 1; weights sum to ½. Exact for f of degree
        2·count − 2. [-]

    Notes
    -----
    Inner nodes are the Gauss points for the weight t(1 − t), the Jacobi weight (1, 1) shifted to
    0…1; the end point takes what is left of ½.
    """
    if count == 1:
        return np.array([1.0]), np.array([0.5])
    inner, jacobi_weights = roots_jacobi(count - 1, 1.0, 1.0)
    nodes = (inner + 1) / 2
    weights = jacobi_weights / 8 / (1 - nodes)
    return np.append(nodes, 1.0), np.append(weights, 0.5 - weights.sum())
