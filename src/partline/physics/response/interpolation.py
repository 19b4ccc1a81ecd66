"""From the lines of sight that were traced to any other one of the same body."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array, dia_array

from partline.physics.response.body import Body
from partline.physics.response.direct import Direct
from partline.physics.response.kernel import meet
from partline.physics.response.places import Places, across, upwards

Floats = NDArray[np.floating]

#: Lines of sight whose ways in the halves differ by much more, in units of the body's reference
#: length, do not stand for each other. [-]
ALIKE = 0.6
#: What it counts, on the same scale, whether a line of sight crosses into the other half, and the
#: way there after which it has done so. [-]
CROSSING, CROSSED = 2.0, 0.2
#: What counts all the same where neither traced angle is alike. [-]
UNLIKE = 1e-4


def edges(body: Body, positions: Floats, angle: float) -> Floats:
    """Return lower edge, line and upper edge of a view at many places, shape (positions, 3).

    Parameters
    ----------
    body : Body
        Whatever shape.
    positions : ndarray, shape (positions,)
        Shares of the length. [-]
    angle : float
        Of the eye. [rad]

    Returns
    -------
    edges : ndarray, shape (positions, 3)
        Upwards in the picture, in units of the body's reference length. [-]
    """
    return np.array([across(body, float(position), angle) for position in positions])


def meeting(body: Body, positions: Floats, heights: Floats, angle: float) -> tuple[Floats, Floats]:
    """Return where lines of sight meet the skin, and how squarely it faces the eye.

    Parameters
    ----------
    body : Body
        Whatever shape.
    positions, heights : ndarray, shape (points,)
        Share of the length, and upwards in the picture in units of the body's reference. [-]
    angle : float
        Of the eye. [rad]

    Returns
    -------
    starts : ndarray, shape (points, 3)
        In units of the body's reference length. [-]
    cosines : ndarray, shape (points,)
        Between the normal and the eye; 0 beside the body. [-]
    """
    starts, found = np.empty((positions.size, 3)), np.empty(positions.size)
    meet(
        body.skin,
        np.ascontiguousarray(positions * body.skin.length),
        np.ascontiguousarray(heights),
        upwards(angle),
        np.array([np.sin(angle), np.cos(angle)]),
        starts,
        found,
    )
    return starts, found


def _along_weights(course: Floats, count: int) -> tuple[NDArray[np.intp], Floats]:
    """Four places and their weights by a cubic through neighbours (Keys), held at the ends."""
    lower = np.clip(np.floor(course).astype(np.intp), 0, max(count - 2, 0))
    f = np.clip(course - lower, 0.0, 1.0)
    weights = 0.5 * np.stack(
        [
            -f + 2 * f**2 - f**3,
            2 - 5 * f**2 + 3 * f**3,
            f + 4 * f**2 - 3 * f**3,
            -(f**2) + f**3,
        ],
        axis=-1,
    )
    near = lower[:, None] + np.arange(-1, 3)
    return np.clip(near, 0, count - 1), weights


def _fraction_weights(nodes: Floats, fraction: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Four nodes and their weights by Lagrange's cubic in the root, held at the ends."""
    inside = np.sqrt(np.clip(fraction, nodes[0], nodes[-1]))
    roots = np.sqrt(nodes)
    lower = np.clip(np.searchsorted(roots, inside) - 2, 0, nodes.size - 4)
    near = lower[:, None] + np.arange(4)
    around = roots[near]
    weights = np.ones_like(around)
    for i in range(4):
        for j in range(4):
            if i != j:
                weights[:, i] *= (inside - around[:, j]) / (around[:, i] - around[:, j])
    return near, weights


def _between(nodes: Floats, at: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Two nodes and their weights, held at the ends."""
    inside = np.clip(at, nodes[0], nodes[-1])
    lower = np.clip(np.searchsorted(nodes, inside) - 1, 0, max(nodes.size - 2, 0))
    upper = np.minimum(lower + 1, nodes.size - 1)
    step = np.where(upper > lower, nodes[upper] - nodes[lower], 1.0)
    f = (inside - nodes[lower]) / step
    return np.stack([lower, upper], axis=-1), np.stack([1 - f, f], axis=-1)


def sight_weights(
    places: Places,
    view: int,
    positions: Floats,
    fractions: Floats,
    halves: NDArray[np.intp],
    *,
    is_dense: bool = False,
) -> csr_array:
    """Weights of traced lines of sight in others of the same view.

    Parameters
    ----------
    places : Places
        What was traced.
    view : int
        Which of its angles.
    positions, fractions : ndarray, shape (points,)
        Share of the length; share of the way from the line to the edge of the half. [-]
    halves : ndarray of int, shape (points,)
        0 above the line, 1 below; a half that is not seen from there gives nothing.
    is_dense : bool
        Whether the places lie so close that straight lines between them do; cubics otherwise.

    Returns
    -------
    weights : csr_array, shape (points, columns)
        Rows sum to 1 where the half is seen. [-]
    """
    count = len(places.positions)
    course = places.along(positions)
    if is_dense:
        along, w_along = _between(np.arange(count, dtype=float), course)
        across_, w_across = _between(
            np.sqrt(places.fractions), np.sqrt(np.maximum(fractions, 0.0))
        )
    else:
        along, w_along = _along_weights(course, count)
        across_, w_across = _fraction_weights(places.fractions, fractions)
    column = places.number[view, along[:, :, None], halves[:, None, None], across_[:, None, :]]
    weight = w_along[:, :, None] * w_across[:, None, :]
    points = np.broadcast_to(np.arange(positions.size)[:, None, None], column.shape)
    kept = (column >= 0) & (weight != 0)
    return csr_array(
        (weight[kept].astype(np.float32), (points[kept], column[kept])),
        shape=(positions.size, len(places.columns)),
    )


def fractions_of(heights: Floats, edge: Floats, angle: float) -> tuple[Floats, Floats]:
    """Share of the way from the line to the edge of each half, shape (points,) each.

    Parameters
    ----------
    heights : ndarray, shape (points,)
        Upwards in the picture. [-]
    edge : ndarray, shape (points, 3)
        Lower edge, line and upper edge there. [-]
    angle : float
        Of the eye. [rad]

    Returns
    -------
    above, below : ndarray, shape (points,)
        Below 0 where a point does not lie in that half. [-]
    """
    lower, line, upper = edge.T
    if abs(np.cos(angle)) > 1 - 1e-9:  # the line lies at both edges, and one half is seen
        middle, half = (upper + lower) / 2, np.maximum((upper - lower) / 2, 1e-12)
        inwards = 1 - np.abs(heights - middle) / half
        unseen = np.full_like(inwards, -1.0)
        return (inwards, unseen) if np.cos(angle) > 0 else (unseen, inwards)
    return (
        (heights - line) / np.maximum(upper - line, 1e-12),
        (line - heights) / np.maximum(line - lower, 1e-12),
    )


def _ways(body: Body, starts: Floats, angle: float, index: float) -> Floats:
    """Ways in each half to where lines of sight come out, and whether they cross, (points, 3)."""
    ways = Direct.of(body, starts, angle, index).exits[:, 0, 1:3]
    other = np.where(starts[:, 2] >= 0, ways[:, 1], ways[:, 0])
    crossing = CROSSING * np.clip(other / CROSSED, 0.0, 1.0)
    return np.column_stack([ways, crossing])


def turned_weights(
    body: Body,
    places: Places,
    angle: float,
    index: float,
    starts: Floats,
    halves: NDArray[np.intp],
) -> csr_array:
    """Weights of traced lines of sight at points of the skin, seen from any angle.

    Parameters
    ----------
    body : Body
        Whatever shape.
    places : Places
        What was traced of it, from a few angles.
    angle : float
        Of the eye. [rad]
    index : float
        Refractive index of the body against what is around it. [-]
    starts : ndarray, shape (points, 3)
        Points of the skin, in units of the body's reference length. [-]
    halves : ndarray of int, shape (points,)
        0 above the line, 1 below.

    Returns
    -------
    weights : csr_array, shape (points, columns)
        Between the two traced angles next to the eye's. Scattered light changes little from one
        to the other as long as the line of sight runs through the same plastic: where from one
        of them it crosses into the other half and from the eye it does not, the other one counts.
        A point that one of them does not see is taken from the other. [-]
    """
    ways = _ways(body, starts, angle, index)
    near, share = _between(places.angles, np.array([angle]))
    positions = np.clip(starts[:, 0] / body.skin.length, 0.0, 1.0)
    total = csr_array((len(starts), len(places.columns)), dtype=np.float32)
    for view, weight in zip(near[0], share[0], strict=True):
        if weight < 1e-9:
            continue
        other = float(places.angles[view])
        distinct, inverse = np.unique(positions, return_inverse=True)
        edge = edges(body, distinct, other)[inverse]
        pair = fractions_of(starts[:, 1:] @ upwards(other), edge, other)
        fraction = np.where(halves == 0, pair[0], pair[1])
        here = sight_weights(places, int(view), positions, fraction, halves)
        if weight < 1 - 1e-9:
            unlike = np.linalg.norm(_ways(body, starts, other, index) - ways, axis=1)
            likeness = weight * (np.exp(-0.5 * (unlike / ALIKE) ** 2) + UNLIKE)
            here = dia_array((likeness[None], [0]), shape=(len(starts),) * 2) @ here
        total = total + here
    sums = np.asarray(total.sum(axis=1)).ravel()
    scale = np.divide(1.0, sums, out=np.zeros_like(sums), where=sums > 1e-12)
    return csr_array(dia_array((scale[None], [0]), shape=(len(starts),) * 2) @ total)
