"""What a chip of a likely bottle looks like on the printed card, and how that moves with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.materials.chip import PatchReading
from partline.physics.colorimetry import reflectance_to_xyz, srgb_to_xyz, xyz_to_lab
from partline.physics.layered_media import Scene, slab_solver
from partline.physics.scattering import henyey_greenstein_moments, mixed_moments
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.likely_bottle import MIDDLE, Likely
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
    """What was read off one chip, or one step of it, as numbers.

    Parameters
    ----------
    which : tuple of int
        What was read: 0 to 2 for L*, a*, b* over white, 3 for hiding, 4 to 6 for L*, a*, b* over
        black.
    value : ndarray, shape (values,)
        In that order. [-]
    spread : ndarray, shape (values,)
        Standard deviation that each may be off by, by itself. [-]
    drops : float
        In every 100 g of the chip.
    thickness : float
        Of the chip. [m]
    doubt : float
        Standard deviation of the logarithm of thickness times loading. [-]
    loading : tuple of (int, float), or None
        Which shared number moves the loading of all steps of one chip, and the standard
        deviation of its logarithm. [-]
    shift : tuple of (int, float, float), or None
        First of the six shared numbers that move L*, a*, b* over white, then over black, of all
        steps of one chip, and their standard deviations, one a backing. [-]
    lot : int
        Which lot of the family it is of.
    """

    which: tuple[int, ...]
    value: Floats
    spread: Floats
    drops: float
    thickness: float
    doubt: float
    loading: tuple[int, float] | None = None
    shift: tuple[int, float, float] | None = None
    lot: int = 0


#: Shared numbers that a photo's or an eye's common error takes: three a backing.
SHIFTS = 6


class Bottles(Protocol):
    """Constants of bottles as a function of standard normal numbers."""

    @property
    def count(self) -> int:
        """Numbers that a bottle is made of."""

    @property
    def moves(self) -> tuple[Floats, Floats, Floats]:
        """How ln μa, ln μs and forwardness move with every number."""

    @property
    def likely(self) -> Likely:
        """Levels and spreads."""

    def of_lot(self, lot: int) -> Bottles:
        """Return the bottles of one lot."""

    def constants(self, numbers: Floats) -> tuple[Floats, Floats, Floats]:
        """Absorption, scattering and mean cosine."""


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


def look(family: Bottles, readings: Sequence[Reading], numbers: Floats) -> Seen:
    """Look at the chips of several bottles of a family.

    Parameters
    ----------
    family : Family
        Whose numbers they are.
    readings : sequence of Reading
        What was looked at; each adds one number, by which its chip may be thicker than noted.
        Behind those stand the numbers that readings share.
    numbers : ndarray, shape (members, numbers)
        Standard normal before anything is read. [-]

    Returns
    -------
    Seen
        By slabs as wide as the card, seen from straight above.
    """
    deeper: list[Floats] = []
    depths: Floats = np.zeros((len(readings), len(numbers)))
    for place, reading in enumerate(readings):
        slope: Floats = np.zeros(numbers.shape[1])
        slope[family.count + place] = reading.doubt
        if reading.loading is not None:
            shared, doubt = reading.loading
            slope[family.count + len(readings) + shared] = doubt
        deeper.append(slope)
        depths[place] = reading.thickness * np.exp(numbers @ slope)
    found: dict[int, tuple[Floats, Floats]] = {}
    for alike in _alike(readings):
        bottles, first = family.of_lot(readings[alike[0]].lot), readings[alike[0]]
        light = _light(bottles, first.drops, depths[alike], numbers)
        for row, place in enumerate(alike):
            value, moves = _one(bottles, light[row], numbers)
            slope = moves[:, :, -1:] * deeper[place]
            slope[:, :, : family.count] += moves[:, :, :-1]
            found[place] = value, slope
    values, slopes = [], []
    for place, reading in enumerate(readings):
        value, slope = found[place]
        if reading.shift is not None:
            shared, white, black = reading.shift
            start = family.count + len(readings) + shared
            for number, which in enumerate((0, 1, 2, 4, 5, 6)):
                doubt = white if which < 3 else black
                value[:, which] += doubt * numbers[:, start + number]
                slope[:, which, start + number] = doubt
        values.append(value[:, reading.which])
        slopes.append(slope[:, reading.which])
    return Seen(value=np.concatenate(values, axis=1), slope=np.concatenate(slopes, axis=1))


def _alike(readings: Sequence[Reading]) -> list[list[int]]:
    """Places of the readings of one lot and loading: their light is solved together."""
    found: dict[tuple[int, float], list[int]] = {}
    for place, reading in enumerate(readings):
        found.setdefault((reading.lot, reading.drops), []).append(place)
    return list(found.values())


@cache
def _to_xyz() -> Floats:
    """XYZ of light at the solved wavelengths, shape (solved, 3)."""
    solved = WAVELENGTHS[::EVERY]
    between = [np.interp(WAVELENGTHS, solved, each) for each in np.eye(solved.size)]
    return reflectance_to_xyz(np.array(between))


def _one(family: Bottles, light: Floats, numbers: Floats) -> tuple[Floats, Floats]:
    """One chip's values (members, 7) and their slopes with each number; last with ln thickness."""
    xyz = light[0] @ _to_xyz()
    # Every number moves absorption, scattering or forwardness along a known spectrum, so that
    # the light's slopes with these three at each wavelength give the slope with every number.
    by = (light[1:] - light[0]) / NUDGE
    absorbing, scattering, forwarding = family.moves
    forward = _forward_slope(family, numbers)[:, None] * forwarding
    moved = np.concatenate([
        by[0][:, None] * absorbing[None, :, None, ::EVERY]
        + by[1][:, None] * scattering[None, :, None, ::EVERY]
        + by[2][:, None] * forward[:, :, None, None],
        by[3][:, None],
    ], axis=1)  # fmt: skip
    change = moved @ _to_xyz()
    lab = xyz_to_lab(xyz)
    nudged = xyz_to_lab(xyz[:, None] + NUDGE * change)
    slope = np.moveaxis((nudged - lab[:, None]) / NUDGE, 1, 3)
    step = CARD_WHITE - CARD_BLACK
    hiding = 1 - (xyz[:, 0, 1] - xyz[:, 1, 1]) / step
    hiding_slope = (change[:, :, 1, 1] - change[:, :, 0, 1]) / step
    return (
        np.concatenate([lab[:, 0], hiding[:, None], lab[:, 1]], axis=1),
        np.concatenate([slope[:, 0], hiding_slope[:, None], slope[:, 1]], axis=1),
    )


def _forward_slope(family: Bottles, numbers: Floats) -> Floats:
    """How the mean cosine moves with its number, shape (members,)."""
    _, _, cosine = family.constants(numbers)
    return np.asarray((1 - cosine**2) / 2 * family.likely.forward)


def _light(family: Bottles, drops: float, depths: Floats, numbers: Floats) -> Floats:
    """Radiance factors as they are, then with each of ln μa, ln μs, g and ln thickness nudged.

    Parameters
    ----------
    family, numbers
        The bottles.
    drops : float
        In every 100 g.
    depths : ndarray, shape (steps, members)
        [m]

    Returns
    -------
    ndarray, shape (steps, 5, members, 2, solved)
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
        drops * scatters.reshape(-1, waves),
    ])  # fmt: skip
    orders = solver.scene.nodes + 1
    shape = (4 * members, orders, waves)
    moments = np.stack([
        np.broadcast_to(henyey_greenstein_moments([plain_g], orders), shape),
        np.broadcast_to(henyey_greenstein_moments(cosines.reshape(-1, 1), orders), shape),
    ])  # fmt: skip
    media = solver.media(
        plain_a + drops * amounts.reshape(-1, waves),
        parts.sum(axis=0),
        moments=mixed_moments(parts, moments),
    )
    order = np.append(np.arange(4 * members), np.arange(members))
    deep = np.tile(depths, 5)
    deep[:, 4 * members :] *= more
    seen = solver.reflectance(
        media,
        np.tile(np.repeat(order, 2), len(depths))[:, None],
        np.repeat(deep.ravel(), 2)[:, None],
        np.tile([CARD_WHITE, CARD_BLACK], deep.size),
    )
    return seen.normal.reshape(len(depths), 5, members, 2, waves)


def _plain() -> tuple[Floats, Floats, float]:
    absorption, fall, scattering, wane, cosine = PLAIN
    ratio = WAVELENGTHS[::EVERY] / MIDDLE
    return absorption * ratio**fall, scattering * ratio**wane, cosine
