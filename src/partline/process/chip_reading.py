"""What a chip of a likely bottle looks like on the printed card, and how that moves with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.materials.chip import PatchReading
from partline.physics.colorimetry import reflectance_to_xyz, srgb_to_xyz, xyz_to_lab
from partline.physics.layered_media import Scene, slab_solver
from partline.physics.scattering import henyey_greenstein_moments, mixed_moments
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.likely_bottle import MIDDLE, Family
from partline.process.plain_light import PLAIN

Floats = NDArray[np.floating]

#: Directions a hemisphere; a reading is rougher than what more would change.
NODES = 4
#: Every so many of the table's wavelengths is solved; between them light is taken as straight.
EVERY = 2
#: Step of a difference quotient, in a logarithm or a mean cosine. [-]
NUDGE = 1e-3


@dataclass(frozen=True, kw_only=True)
class Reading:
    """What was read off one chip, as numbers.

    Parameters
    ----------
    which : tuple of int
        What was read: 0 to 2 for L*, a*, b* over white, 3 for hiding.
    value : ndarray, shape (values,)
        In that order. [-]
    spread : ndarray, shape (values,)
        Standard deviation that each may be off by. [-]
    drops : float
        In every 100 g of the chip.
    thickness : float
        Of the chip. [m]
    doubt : float
        Standard deviation of the logarithm of thickness times loading. [-]
    """

    which: tuple[int, ...]
    value: Floats
    spread: Floats
    drops: float
    thickness: float
    doubt: float


def patch_lab(patch: PatchReading) -> Floats:
    """Return a patch's CIELAB coordinates, shape (3,)."""
    if patch.srgb is not None:
        return xyz_to_lab(srgb_to_xyz(np.array(patch.srgb) / 255))
    return np.array(patch.lab, dtype=float)


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What chips look like, and how that moves with the numbers of their bottles.

    Parameters
    ----------
    value : ndarray, shape (members, values)
        In the order of the readings. [-]
    slope : ndarray, shape (members, values, numbers)
        Of each value with each number: the family's, then one for each reading's chip. [-]
    """

    value: Floats
    slope: Floats


def look(family: Family, readings: Sequence[Reading], numbers: Floats) -> Seen:
    """Look at the chips of several bottles of a family.

    Parameters
    ----------
    family : Family
        Whose numbers they are.
    readings : sequence of Reading
        What was looked at; each adds one number, by which its chip may be thicker than noted.
    numbers : ndarray, shape (members, numbers)
        Standard normal before anything is read. [-]

    Returns
    -------
    Seen
        By slabs as wide as the card, seen from straight above.
    """
    values, slopes = [], []
    for place, reading in enumerate(readings):
        thicker = np.exp(reading.doubt * numbers[:, family.count + place])
        value, moves = _one(family, reading, numbers[:, : family.count], thicker)
        slope = np.zeros((*value.shape, numbers.shape[1]))
        slope[:, :, : family.count] = moves[:, :, :-1]
        slope[:, :, family.count + place] = reading.doubt * moves[:, :, -1]
        values.append(value[:, reading.which])
        slopes.append(slope[:, reading.which])
    return Seen(value=np.concatenate(values, axis=1), slope=np.concatenate(slopes, axis=1))


@cache
def _to_xyz() -> Floats:
    """XYZ of light at the solved wavelengths, shape (solved, 3)."""
    solved = WAVELENGTHS[::EVERY]
    between = [np.interp(WAVELENGTHS, solved, each) for each in np.eye(solved.size)]
    return reflectance_to_xyz(np.array(between))


def _one(
    family: Family, reading: Reading, numbers: Floats, thicker: Floats
) -> tuple[Floats, Floats]:
    """One chip's L*, a*, b* and hiding (members, 4), their slopes; the last with ln thickness."""
    light = _light(family, reading, numbers, thicker)
    xyz = light[0] @ _to_xyz()
    # Every number moves absorption, scattering or forwardness along a known spectrum, so that
    # the light's slopes with these three at each wavelength give the slope with every number.
    by = (light[1:] - light[0]) / NUDGE
    forward = _forward_slope(family, numbers)
    moved = np.concatenate([
        by[0][:, None] * family.log_absorption[None, :, None, ::EVERY],
        by[1][:, None] * family.log_scattering[None, :, None, ::EVERY],
        (by[2] * forward[:, None, None])[:, None],
        by[3][:, None],
    ], axis=1)  # fmt: skip
    change = moved @ _to_xyz()
    lab = xyz_to_lab(xyz[:, 0])
    nudged = xyz_to_lab(xyz[:, None, 0] + NUDGE * change[:, :, 0])
    lab_slope = np.swapaxes((nudged - lab[:, None]) / NUDGE, 1, 2)
    step = CARD_WHITE - CARD_BLACK
    hiding = 1 - (xyz[:, 0, 1] - xyz[:, 1, 1]) / step
    hiding_slope = (change[:, :, 1, 1] - change[:, :, 0, 1]) / step
    return (
        np.concatenate([lab, hiding[:, None]], axis=1),
        np.concatenate([lab_slope, hiding_slope[:, None]], axis=1),
    )


def _forward_slope(family: Family, numbers: Floats) -> Floats:
    """How the mean cosine moves with its number, shape (members,)."""
    _, _, cosine = family.constants(numbers)
    return np.asarray((1 - cosine**2) / 2 * family.likely.forward)


def _light(family: Family, reading: Reading, numbers: Floats, thicker: Floats) -> Floats:
    """Radiance factors as they are, then with each of ln μa, ln μs, g and ln thickness nudged.

    Returns
    -------
    ndarray, shape (5, members, 2, solved)
        Over the card's white and its black.
    """
    absorption, scattering, cosine = family.constants(numbers)
    absorption, scattering = absorption[:, ::EVERY], scattering[:, ::EVERY]
    more = np.exp(NUDGE)
    amounts = np.stack([absorption, absorption * more, absorption, absorption])
    scatters = np.stack([scattering, scattering, scattering * more, scattering])
    cosines = np.stack([cosine, cosine, cosine, cosine + NUDGE])
    solver = slab_solver(Scene(nodes=NODES))
    members, waves = absorption.shape
    plain_a, plain_s, plain_g = _plain()
    parts = np.stack([
        np.broadcast_to(plain_s, (4 * members, waves)),
        reading.drops * scatters.reshape(-1, waves),
    ])  # fmt: skip
    orders = solver.scene.nodes + 1
    shape = (4 * members, orders, waves)
    moments = np.stack([
        np.broadcast_to(henyey_greenstein_moments([plain_g], orders), shape),
        np.broadcast_to(henyey_greenstein_moments(cosines.reshape(-1, 1), orders), shape),
    ])  # fmt: skip
    media = solver.media(
        plain_a + reading.drops * amounts.reshape(-1, waves),
        parts.sum(axis=0),
        moments=mixed_moments(parts, moments),
    )
    order = np.append(np.arange(4 * members), np.arange(members))
    depth = reading.thickness * np.tile(thicker, 5)
    depth[4 * members :] *= more
    seen = solver.reflectance(
        media,
        np.repeat(order, 2)[:, None],
        np.repeat(depth, 2)[:, None],
        np.tile([CARD_WHITE, CARD_BLACK], order.size),
    )
    return seen.normal.reshape(5, members, 2, waves)


def _plain() -> tuple[Floats, Floats, float]:
    absorption, fall, scattering, wane, cosine = PLAIN
    ratio = WAVELENGTHS[::EVERY] / MIDDLE
    return absorption * ratio**fall, scattering * ratio**wane, cosine
