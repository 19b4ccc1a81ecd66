"""What each station looks like: both views, the flanks, and how well each half hides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Station
from partline.physics.colorimetry import luminance, reflectance_to_xyz, xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.physics.layered_media import Media, Scene, SlabSolver, slab_solver
from partline.physics.scattering import henyey_greenstein_moments, mixed_moments
from partline.process.card import CARD_BLACK, CARD_WHITE, GREY
from partline.process.cavity import half_thickness, section_at
from partline.process.optics import SideOptics
from partline.process.recipe import Half
from partline.process.sight import from_side

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Where the flank of each half is looked at: half way between the line and the skin. [-]
MID_HALF = 0.5


@dataclass(frozen=True, kw_only=True)
class Sightings:
    """What is seen of each station, for one or more draws of the uncertain amounts.

    Parameters
    ----------
    back, belly : ndarray, shape (draws, stations, 3)
        XYZ of the back view and the belly view, over grey.
    back_alone, belly_alone : ndarray, shape (draws, stations, 3)
        XYZ of the same views were the whole body of that side's plastic.
    upper, lower : ndarray, shape (draws, stations, 3)
        XYZ of the upper and the lower half seen from the side.
    back_hiding, belly_hiding : ndarray, shape (draws, stations)
        Share of the card's step that each half hides by itself. [-]
    """

    back: Floats
    belly: Floats
    back_alone: Floats
    belly_alone: Floats
    upper: Floats
    lower: Floats
    back_hiding: Floats
    belly_hiding: Floats

    @cached_property
    def back_belly(self) -> Floats:
        """Distinctness of back view against belly view, shape (draws, stations). [ΔE00]"""
        return _difference(self.back, self.belly)

    @cached_property
    def side(self) -> Floats:
        """Distinctness of the halves seen from the side, shape (draws, stations). [ΔE00]"""
        return _difference(self.upper, self.lower)

    @cached_property
    def back_see_through(self) -> Floats:
        """How far the belly shows through the back, shape (draws, stations). [ΔE00]"""
        return _difference(self.back, self.back_alone)

    @cached_property
    def belly_see_through(self) -> Floats:
        """How far the back shows through the belly, shape (draws, stations). [ΔE00]"""
        return _difference(self.belly, self.belly_alone)


def _difference(first: Floats, second: Floats) -> Floats:
    """ΔE00 between two XYZ, shape (...)."""
    return ciede2000(xyz_to_lab(first), xyz_to_lab(second))


def solver_for(sides: Sequence[SideOptics], nodes: int) -> SlabSolver:
    """Return the slab solver for plastic of these sides in air."""
    index = float(np.mean([side.index for side in sides]))
    return slab_solver(Scene(nodes=nodes, index=round(index, 4)))


def media_of(
    solver: SlabSolver,
    sides: Sequence[SideOptics],
    factors: Sequence[Floats] | None = None,
    members: Sequence[Integers] | None = None,
) -> Media:
    """Decompose every side's plastic once, for every draw.

    Parameters
    ----------
    solver : SlabSolver
        For the sides' refractive index.
    sides : sequence of SideOptics
        One or two.
    factors : sequence of ndarray, shape (draws, parts), optional
        What each part's amount is multiplied by in each draw; one array a side. [-]
    members : sequence of ndarray, shape (draws, parts), optional
        Which of the bottles that it may be each part is in each draw; the nominal ones, 0, when
        left out.

    Returns
    -------
    Media
        In the order draw 0 side 0, draw 0 side 1, draw 1 side 0 …
    """
    if factors is None:
        factors = [np.ones((1, len(side.names))) for side in sides]
    if members is None:
        members = [np.zeros((1, len(side.names)), dtype=np.intp) for side in sides]
    orders = solver.scene.nodes + 1
    absorption, scattering, moments = [], [], []
    for side, factor, member in zip(sides, factors, members, strict=True):
        chosen = [part.of(which) for part, which in zip(side.members, member.T, strict=True)]
        amount = factor.T[:, :, None]
        absorption.append(sum(a * each.absorption for a, each in zip(amount, chosen, strict=True)))
        # Dyes and a plastic's own colour scatter nothing: their phase need not be mixed in.
        hazy = [i for i, each in enumerate(chosen) if each.scattering.any()] or [0]
        parts = amount[hazy] * np.stack([
            np.broadcast_to(chosen[i].scattering, (len(factor), chosen[i].scattering.shape[1]))
            for i in hazy
        ])  # fmt: skip
        scattering.append(parts.sum(axis=0))
        each = henyey_greenstein_moments(
            np.stack([chosen[i].anisotropy for i in hazy])[:, :, None], orders
        )
        moments.append(mixed_moments(parts, np.broadcast_to(
            each, (*parts.shape[:2], orders, parts.shape[2])
        )))  # fmt: skip
    wavelengths = sides[0].absorption.shape[1]
    return solver.media(
        np.stack(absorption, axis=1).reshape(-1, wavelengths),
        np.stack(scattering, axis=1).reshape(-1, wavelengths),
        moments=np.stack(moments, axis=1).reshape(-1, orders, wavelengths),
    )


def _stacks(
    station: Station, index: float, *, one: bool
) -> list[tuple[int, int, float, float, float]]:
    """Upper and lower side, their thickness, and the backing, for each thing looked at."""
    if one:
        pair = (station.height, 0.0)
        flank = [(station.width, 0.0)] * 2
    else:
        pair = (station.back_half, station.belly_half)
        own, other = from_side(section_at(station), np.array([MID_HALF, -MID_HALF]), index)
        flank = [(float(o), float(x)) for o, x in zip(own, other, strict=True)]
    a, b = 0, 0 if one else 1
    swapped = (pair[1], pair[0])
    return [
        (a, b, *pair, GREY),
        (b, a, *swapped, GREY),
        (a, a, *pair, GREY),
        (b, b, *swapped, GREY),
        (a, a, pair[0], 0.0, CARD_WHITE),
        (a, a, pair[0], 0.0, CARD_BLACK),
        (b, b, swapped[0] or pair[0], 0.0, CARD_WHITE),
        (b, b, swapped[0] or pair[0], 0.0, CARD_BLACK),
        (a, b, *flank[0], GREY),
        (b, a, *flank[1], GREY),
    ]


def sightings(
    sides: Sequence[SideOptics],
    stations: Sequence[Station],
    factors: Sequence[Floats] | None = None,
    *,
    members: Sequence[Integers] | None = None,
    thicker: Floats | None = None,
    nodes: int = 8,
) -> Sightings:
    """Look at every station from every side.

    Parameters
    ----------
    sides : sequence of SideOptics
        Back and belly, or the whole.
    stations : sequence of Station
        Where to look.
    factors, members : sequence of ndarray, shape (draws, parts), optional
        As in `media_of`.
    thicker : ndarray, shape (draws, stations), optional
        What each station's thickness is multiplied by in each draw. [-]
    nodes : int
        Directions a hemisphere.

    Returns
    -------
    Sightings
        Slabs of the halves' thickness, over grey in air; the halves' hiding on the card.

    Notes
    -----
    Colours are means over all directions of view, gloss left out: a bait is round and is turned
    in the hand. Hiding is what a camera straight above the card would read.

    A bait lit from all round is not a slab: see `partline.process.rendering` for how far this
    may be off.
    """
    solver = solver_for(sides, nodes)
    media = media_of(solver, sides, factors, members)
    draws = media.count // len(sides)
    rows = [
        row
        for station in stations
        for row in _stacks(station, solver.scene.index, one=len(sides) == 1)
    ]
    order = np.array([row[:2] for row in rows])
    depth = np.array([row[2:4] for row in rows])
    backing = np.array([row[4] for row in rows])
    depths = np.tile(depth, (draws, 1, 1))
    if thicker is not None:
        # A section grows as a whole, and every line of sight through it likewise.
        depths = depths * np.repeat(thicker, len(rows) // len(stations), axis=1)[:, :, None]
    shift = len(sides) * np.arange(draws)[:, None, None]
    seen = solver.reflectance(
        media,
        (order[None] + shift).reshape(-1, 2),
        depths.reshape(-1, 2),
        np.tile(backing, draws),
    )
    shape = (draws, len(stations), -1, 3)
    on_card = reflectance_to_xyz(seen.normal).reshape(shape)
    round_about = reflectance_to_xyz(seen.diffuse_without_gloss).reshape(shape)
    step = CARD_WHITE - CARD_BLACK
    return Sightings(
        back=round_about[:, :, 0],
        belly=round_about[:, :, 1],
        back_alone=round_about[:, :, 2],
        belly_alone=round_about[:, :, 3],
        upper=round_about[:, :, 8],
        lower=round_about[:, :, 9],
        back_hiding=1 - (on_card[:, :, 4, 1] - on_card[:, :, 5, 1]) / step,
        belly_hiding=1 - (on_card[:, :, 6, 1] - on_card[:, :, 7, 1]) / step,
    )


def halves_hiding(
    sides: Sequence[SideOptics],
    stations: Sequence[Station],
    factors: Sequence[Floats] | None = None,
    *,
    members: Sequence[Integers] | None = None,
    thicker: Floats | None = None,
    nodes: int = 8,
) -> tuple[Floats, Floats]:
    """Hiding of each half by itself on the card, at every station.

    Parameters
    ----------
    sides, stations, factors, members, thicker, nodes
        As in `sightings`.

    Returns
    -------
    back, belly : ndarray, shape (draws, stations)
        Share of the card's step that is hidden; the same twice for a one-colour bait. [-]
    """
    found = []
    for number, side in enumerate(sides):
        factor = np.ones((1, len(side.names))) if factors is None else factors[number]
        which = None if members is None else members[number]
        half = Half.WHOLE if len(sides) == 1 else (Half.BACK, Half.BELLY)[number]
        depth = np.array([half_thickness(station, half) for station in stations])
        found.append(_on_card(side, depth, factor, which, thicker, nodes))
    return found[0], found[-1]


def _on_card(
    side: SideOptics,
    depth: Floats,
    factor: Floats,
    which: Integers | None,
    thicker: Floats | None,
    nodes: int,
) -> Floats:
    if thicker is None or np.all(thicker == 1):
        return card_hiding(side, depth, factor, members=which, nodes=nodes)
    solver = solver_for([side], nodes)
    media = media_of(solver, [side], [factor], None if which is None else [which])
    depths = np.repeat((depth * thicker).ravel(), 2)[:, None]
    order = np.repeat(np.arange(media.count), 2 * depth.size)[:, None]
    card = np.tile([CARD_WHITE, CARD_BLACK], media.count * depth.size)
    y = luminance(solver.reflectance(media, order, depths, card).normal)
    y = y.reshape(media.count, depth.size, 2)
    return 1 - (y[..., 0] - y[..., 1]) / (CARD_WHITE - CARD_BLACK)


def card_hiding(
    side: SideOptics,
    thicknesses: Floats,
    factors: Floats,
    *,
    members: Integers | None = None,
    nodes: int = 8,
) -> Floats:
    """Hiding of one half by itself on the card, for several strengths of its parts.

    Parameters
    ----------
    side : SideOptics
        Of the half.
    thicknesses : ndarray, shape (places,)
        [m]
    factors : ndarray, shape (draws, parts)
        What each part's amount is multiplied by. [-]
    members : ndarray, shape (draws, parts), optional
        As in `media_of`.
    nodes : int
        Directions a hemisphere.

    Returns
    -------
    hiding : ndarray, shape (draws, places)
        Share of the card's step that is hidden. [-]
    """
    solver = solver_for([side], nodes)
    media = media_of(solver, [side], [factors], None if members is None else [members])
    order = np.repeat(np.arange(media.count), 2 * thicknesses.size)[:, None]
    depth = np.tile(np.repeat(thicknesses, 2), media.count)[:, None]
    card = np.tile([CARD_WHITE, CARD_BLACK], media.count * thicknesses.size)
    seen = solver.reflectance(media, order, depth, card)
    y = luminance(seen.normal).reshape(media.count, thicknesses.size, 2)
    return 1 - (y[..., 0] - y[..., 1]) / (CARD_WHITE - CARD_BLACK)


def chip_colour(
    side: SideOptics, thicknesses: Floats, *, backing: float = CARD_WHITE, nodes: int = 8
) -> Floats:
    """Colour of a chip over the printed card, seen from straight above.

    Parameters
    ----------
    side : SideOptics
        Of the chip.
    thicknesses : ndarray, shape (places,)
        [m]
    backing : float
        Reflectance of the card under it; its white where nothing is said. [-]
    nodes : int
        Directions a hemisphere.

    Returns
    -------
    xyz : ndarray, shape (places, 3)
        XYZ under D65. [-]
    """
    solver = solver_for([side], nodes)
    media = media_of(solver, [side])
    order = np.zeros((thicknesses.size, 1), dtype=np.intp)
    seen = solver.reflectance(media, order, thicknesses[:, None], backing)
    return reflectance_to_xyz(seen.normal)
