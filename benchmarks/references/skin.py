"""Triangles and pixels of a body, from its outline; millimetres, nose at x = 0."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from partline.physics.response.body import Body

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Rings of corners along the body, and corners of each flank of a ring.
RINGS, CORNERS = 400, 181


class Triangles(NamedTuple):
    """A closed skin: corners (n, 3) [mm], faces (m, 3), and the faces' outward normals (m, 3)."""

    corners: Floats
    faces: Integers
    normals: Floats


def ring_positions(body: Body) -> Floats:
    """Shares of the length: even, and denser at the ends, where a blunt body bends most."""
    fine = np.linspace(0.0, 1.0, 13)[:-1] ** 2 / RINGS
    inner = np.arange(1, RINGS) / RINGS
    skin = body.skin
    has_blunt_tail = skin.width[-1] < 1e-6
    tail = 1 - fine[::-1] if has_blunt_tail else np.array([1.0])
    return np.concatenate([fine, inner, tail])


def triangles(body: Body) -> Triangles:
    """Return the skin of a body as triangles that close on each other."""
    unit = 1e3 * body.reference
    places = ring_positions(body)
    rings = []
    for place in places:
        right = unit * body.outline(place, CORNERS)
        left = right[-2:0:-1] * [-1.0, 1.0]
        ring = np.concatenate([right, left])
        rings.append(np.column_stack([np.full(len(ring), 1e3 * body.length * place), ring]))
    around = len(rings[0])
    caps = [np.array([[1e3 * body.length * place, 0.0, 0.0]]) for place in places[[0, -1]]]
    corners = np.concatenate([*rings, *caps])
    i, j = np.meshgrid(np.arange(len(places) - 1), np.arange(around), indexing="ij")
    a, b = i * around + j, i * around + (j + 1) % around
    c, d = a + around, b + around
    first, last = len(corners) - 2, len(corners) - 1
    edge = np.arange(around)
    end = (len(places) - 1) * around
    nose = np.column_stack([np.full(around, first), edge, (edge + 1) % around])
    tail = np.column_stack([np.full(around, last), end + (edge + 1) % around, end + edge])
    faces = np.concatenate([
        np.stack([a, c, b], axis=-1).reshape(-1, 3),
        np.stack([b, c, d], axis=-1).reshape(-1, 3),
        nose,
        tail,
    ])  # fmt: skip
    # Corners that coincide (a pointed end) are one, so that closedness can be counted.
    corners, same = np.unique(np.round(corners, 7), axis=0, return_inverse=True)
    faces = same.reshape(-1)[faces]
    normals = np.cross(
        corners[faces[:, 1]] - corners[faces[:, 0]], corners[faces[:, 2]] - corners[faces[:, 0]]
    )
    size = np.linalg.norm(normals, axis=1)
    kept = size > 0
    return Triangles(corners, faces[kept], normals[kept] / size[kept, None])


def check_closed(skin: Triangles) -> float:
    """Return the volume within the skin [mm³].

    Raises
    ------
    ValueError
        If any edge is not shared by two triangles that run along it in opposite directions.
    """
    edges = np.concatenate([skin.faces[:, [0, 1]], skin.faces[:, [1, 2]], skin.faces[:, [2, 0]]])
    count = len(skin.corners)
    forth, back = edges @ [count, 1], edges @ [1, count]
    if len(np.unique(forth)) != len(forth) or not np.array_equal(np.sort(forth), np.sort(back)):
        message = "The skin is not closed."
        raise ValueError(message)
    a, b, c = (skin.corners[skin.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


class Pixels(NamedTuple):
    """Pixels of one view: centres x along and q across, and their sides, shape (pixels,). [m]

    q is y seen from the back and the belly, where only q > 0 is kept as both flanks are alike,
    and z seen from the side.
    """

    x: Floats
    q: Floats
    along: Floats
    across: Floats


def columns(length: float) -> Floats:
    """Return the edges of columns of pixels, narrow at both ends of the body. [m]"""
    edges = [0.0]
    while edges[-1] < length / 2:
        edges.append(edges[-1] + min(max(0.4 * edges[-1], 1.5e-3), 7e-3))
    half = 0.5 * length * np.array(edges) / edges[-1]
    return np.concatenate([half, length - half[-2::-1]])


def pixels(body: Body, view: str, across: float) -> Pixels:
    """Return every pixel that the body may touch; none crosses q = 0."""
    if view == "side":
        low, high = -body.below.max(), body.above.max()
    else:
        low, high = 0.0, body.half_width.max()
    edges = columns(body.length)
    q = (np.arange(int(np.floor(low / across)), int(np.ceil(high / across))) + 0.5) * across
    x, q = (each.ravel() for each in np.meshgrid(0.5 * (edges[1:] + edges[:-1]), q, indexing="ij"))
    along = np.repeat(np.diff(edges), len(q) // (len(edges) - 1))
    return Pixels(x, q, along, np.full(len(q), across))
