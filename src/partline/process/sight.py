"""Lines of sight through a section: how much of each half a refracted ray passes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.process.cavity import Lengths, Section

Floats = NDArray[np.floating]


#: Half a section of an outline counts as flat-bottomed where it is this boxy by its area, and as
#: a dome where it is less. [-]
FLAT = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class _Halves:
    """A section seen from one of its halves: `near` is where the ray enters."""

    half_width: Lengths
    near: Lengths
    far: Lengths
    near_is_flat: bool
    far_is_flat: bool


def _from_back(section: Section) -> _Halves:
    above, below = section.form.boxed
    return _Halves(
        half_width=section.half_width,
        near=section.back_half,
        far=section.belly_half,
        near_is_flat=above > FLAT,
        far_is_flat=below > FLAT,
    )


def _from_belly(section: Section) -> _Halves:
    back = _from_back(section)
    return _Halves(
        half_width=back.half_width,
        near=back.far,
        far=back.near,
        near_is_flat=back.far_is_flat,
        far_is_flat=back.near_is_flat,
    )


def _refracted(
    dx: Floats, dz: Floats, nx: Floats, nz: Floats, index: float
) -> tuple[Floats, Floats]:
    """Direction inside the plastic; d and the outward normal n are unit vectors."""
    ratio = 1.0 / index
    cosine = -(dx * nx + dz * nz)
    inside = np.sqrt(np.maximum(1.0 - ratio**2 * (1.0 - cosine**2), 0.0))
    bend = ratio * cosine - inside
    return ratio * dx + bend * nx, ratio * dz + bend * nz


def _leaving_dome(x: Floats, z: Floats, dx: Floats, dz: Floats, w: Lengths, h: Lengths) -> Floats:
    """Distance along d from (x, z) to the far wall of the ellipse of half axes w and h."""
    a = (dx / w) ** 2 + (dz / h) ** 2
    b = x * dx / w**2 + z * dz / h**2
    c = (x / w) ** 2 + (z / h) ** 2 - 1.0
    return (-b + np.sqrt(np.maximum(b**2 - a * c, 0.0))) / a


def _leaving_box(x: Floats, z: Floats, dx: Floats, dz: Floats, w: Lengths, h: Lengths) -> Floats:
    """Distance along d from (x, z) to a wall at |x| = w or |z| = h."""
    # A ray that hardly leans meets the side wall at infinity, and that is the right answer.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        sideways = np.where(dx != 0, (np.sign(dx) * w - x) / dx, np.inf)
        upright = np.where(dz != 0, (np.sign(dz) * h - z) / dz, np.inf)
    return np.maximum(np.minimum(sideways, upright), 0.0)


def _passes(
    halves: _Halves, x: Floats, z: Floats, dx: Floats, dz: Floats
) -> tuple[Floats, Floats]:
    """Lengths in the near and the far half of rays that start on the near skin."""
    leave = _leaving_box if halves.near_is_flat else _leaving_dome
    wall = leave(x, z, dx, dz, halves.half_width, halves.near)
    line = np.full_like(wall, np.inf)
    np.divide(-z, dz, out=line, where=dz < 0)
    near = np.minimum(wall, line)
    beyond = _leaving_box if halves.far_is_flat else _leaving_dome
    through = beyond(x + near * dx, np.zeros_like(z), dx, dz, halves.half_width, halves.far)
    return near, np.where(line < wall, through, 0.0)


def _down(halves: _Halves, across: Floats, index: float) -> tuple[Floats, Floats]:
    x = across * halves.half_width
    if halves.near_is_flat:
        z = np.zeros_like(x) + halves.near
        nx, nz = np.zeros_like(x), np.ones_like(x)
    else:
        z = halves.near * np.sqrt(np.maximum(1.0 - across**2, 0.0))
        nx, nz = _dome_normal(x, z, halves)
    dx, dz = _refracted(np.zeros_like(x), -np.ones_like(x), nx, nz, index)
    return _passes(halves, x, z, dx, dz)


def _dome_normal(x: Floats, z: Floats, halves: _Halves) -> tuple[Floats, Floats]:
    nx, nz = x / halves.half_width**2, z / halves.near**2
    length = np.hypot(nx, nz)
    return nx / length, nz / length


def _sideways(halves: _Halves, height: Floats, index: float) -> tuple[Floats, Floats]:
    z = height * halves.near
    if halves.near_is_flat:
        x = np.zeros_like(z) + halves.half_width
        nx, nz = np.ones_like(z), np.zeros_like(z)
    else:
        x = halves.half_width * np.sqrt(np.maximum(1.0 - height**2, 0.0))
        nx, nz = _dome_normal(x, z, halves)
    dx, dz = _refracted(-np.ones_like(z), np.zeros_like(z), nx, nz, index)
    return _passes(halves, x, z, dx, dz)


def from_back(section: Section, across: Floats, index: float) -> tuple[Floats, Floats]:
    """Lengths of back and belly plastic on lines of sight from straight above.

    Parameters
    ----------
    section : Section
        The cut across the body.
    across : ndarray, shape (...)
        Where they enter, −1 to 1 from flank to flank. [-]
    index : float
        Refractive index of the plastic against what is around it. [-]

    Returns
    -------
    back, belly : ndarray, shape (...)
        Length passed in each half, up to the first skin on the far side. [m]

    Notes
    -----
    One straight line for each pixel: light that wanders sideways through the flanks is left
    out, and an outline's halves count as domes or flat bottoms, which is why a picture made of
    these is provisional (decision 0007).
    """
    return _down(_from_back(section), across, index)


def from_belly(section: Section, across: Floats, index: float) -> tuple[Floats, Floats]:
    """Lengths of belly and back plastic, in that order, seen from straight below; see above."""
    return _down(_from_belly(section), across, index)


def from_side(section: Section, height: Floats, index: float) -> tuple[Floats, Floats]:
    """Lengths of near and other half on lines of sight from the flank.

    Parameters
    ----------
    section : Section
        The cut across the body.
    height : ndarray, shape (...)
        Where they enter: 0 at the line, 1 at the back's top, −1 at the belly's bottom. [-]
    index : float
        Refractive index of the plastic against what is around it. [-]

    Returns
    -------
    own, other : ndarray, shape (...)
        Length passed in the half where the ray enters and in the other one. [m]
    """
    upper = _sideways(_from_back(section), np.abs(height), index)
    lower = _sideways(_from_belly(section), np.abs(height), index)
    above = height >= 0
    return np.where(above, upper[0], lower[0]), np.where(above, upper[1], lower[1])
