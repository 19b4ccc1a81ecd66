"""Optical constants of a bottle that nobody has measured, from what its chip looks like."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import qmc

from partline.materials.chip import Chip, HidingReading, PatchReading
from partline.materials.supply import Clarity, Colourant
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.chip_reading import Reading, Seen, look, patch_lab
from partline.process.composition import LOADING_BASIS
from partline.process.likely_bottle import Family, family_of

Floats = NDArray[np.floating]
Rows = NDArray[np.integer]

#: Bottles that a guess stands for, all alike likely: a power of two, as the even sequence wants.
MEMBERS = 32
SEED = 31
#: Steps towards each member; most are there after six.
STEPS = 12
#: A step too short to matter, in standard deviations of what is drawn. [-]
SETTLED = 0.1
#: Thicknesses, in those of a chip that was read, at which members are compared. [-]
PROBED = (0.5, 1.0, 2.0, 5.0)
#: What a chip is taken to be where nobody noted it. [drops in 100 g], [m]
USUAL_DROPS, USUAL_THICKNESS = 3.0, 2e-3
#: Spread of the logarithm of a chip's thickness times loading: noted, and not. [-]
NOTED, UNNOTED = 0.10, 0.7
#: Standard deviations that a reading may be off by: a colour matched by eye or picked from a
#: photo, in each of L*, a* and b*; one that stands in for a colour nobody has looked at; and a
#: hiding judged on the card. Common practice, no source.
PATCH_SPREAD, STAND_IN_SPREAD, HIDING_SPREAD = 2.0, 15.0, 0.03


@dataclass(frozen=True, kw_only=True)
class GuessedOptics:
    """What a bottle may do to light: one nominal guess and a family around it.

    Parameters
    ----------
    absorption, scattering : ndarray, shape (1 + members, wavelengths)
        What a unit mass share adds; the nominal guess first, then members that are all alike
        likely, from the weakest to the strongest. [1/m per kg/kg]
    anisotropy : ndarray, shape (1 + members,)
        Mean cosine. [-]
    patch_error : float
        How far the likeliest bottle stays from the patch, 0 where there is none. [ΔE*ab]
    hiding_error : float
        How far it stays from the hiding reading, 0 where there is none. [-]
    misfit : float
        The worse of these in standard deviations of what was read. [-]
    """

    absorption: Floats
    scattering: Floats
    anisotropy: Floats
    patch_error: float = 0.0
    hiding_error: float = 0.0
    misfit: float = 0.0


def guessed_optics(colour: Colourant) -> GuessedOptics:
    """Return what an unmeasured bottle may do to light.

    Parameters
    ----------
    colour : Colourant
        Its clarity, patch and hiding reading count, each where it is there.

    Returns
    -------
    GuessedOptics
        The same for the same entry, always; kept, so that only the first call computes.

    Notes
    -----
    Each member starts from a bottle drawn out of `likely_bottle` and is moved, as little as the
    drawn spreads ask, until its chip looks like the readings, themselves drawn within what a
    reading may be off by. Where looks move linearly with the numbers, the members are draws from
    the posterior; here they are near it, and a test holds how often they cover the truth. The
    spectrum itself is not recovered: many spectra have one colour.

    References
    ----------
    .. [1] D. S. Oliver, N. He, A. C. Reynolds, "Conditioning permeability fields to pressure
       data," 5th European Conference on the Mathematics of Oil Recovery (1996): randomized
       maximum likelihood (from memory).
    """
    drop_share = colour.drop_mass.value / LOADING_BASIS
    patch, hiding = colour.patch, colour.hiding
    spread = STAND_IN_SPREAD if "patch" in colour.guesses else PATCH_SPREAD
    by_mass = any(each is not None and each.chip.share is not None for each in (patch, hiding))
    # A weighing of the drop leaves what was read in drops as it is, and its guess in the cache.
    guess = _of_a_drop(colour.clarity, patch, hiding, drop_share if by_mass else 0.0, spread)
    return GuessedOptics(
        absorption=guess.absorption / drop_share,
        scattering=guess.scattering / drop_share,
        anisotropy=guess.anisotropy,
        patch_error=guess.patch_error,
        hiding_error=guess.hiding_error,
        misfit=guess.misfit,
    )


def least_hiding(patch: PatchReading) -> float:
    """Return the least that a chip of a patch's colour hides of the card. [-]

    Over black it shows no less than nothing, so that what it shows over white bounds the step.
    """
    fy = (float(patch_lab(patch)[0]) + 16) / 116
    over_white = fy**3 if fy > 6 / 29 else (fy - 4 / 29) * 3 * (6 / 29) ** 2
    return max(0.0, 1 - over_white / (CARD_WHITE - CARD_BLACK))


def _drops(chip: Chip, drop_share: float) -> float:
    """Return the loading of a chip. [drops in 100 g]"""
    if chip.drops is not None:
        return chip.drops
    return USUAL_DROPS if chip.share is None else chip.share / drop_share


def _readings(
    patch: PatchReading | None,
    hiding: HidingReading | None,
    drop_share: float,
    patch_spread: float,
) -> list[Reading]:
    found: dict[Chip, list[tuple[int, float, float]]] = {}
    if patch is not None:
        lab = patch_lab(patch)
        found[patch.chip] = [(i, float(lab[i]), patch_spread) for i in range(3)]
    if hiding is not None:
        # Colour and hiding of one chip share what its thickness may be off by.
        found.setdefault(hiding.chip, []).append((3, hiding.value, HIDING_SPREAD))
    return [
        Reading(
            which=tuple(which for which, _, _ in values),
            value=np.array([value for _, value, _ in values]),
            spread=np.array([spread for _, _, spread in values]),
            drops=_drops(chip, drop_share),
            thickness=USUAL_THICKNESS if chip.thickness is None else chip.thickness,
            doubt=NOTED if chip.is_known else UNNOTED,
        )
        for chip, values in found.items()
    ]


@lru_cache(maxsize=512)
def _of_a_drop(
    clarity: Clarity,
    patch: PatchReading | None,
    hiding: HidingReading | None,
    drop_share: float,
    patch_spread: float = PATCH_SPREAD,
) -> GuessedOptics:
    """Return the guess for a drop in every 100 g. [1/m]"""
    family = family_of(clarity)
    readings = _readings(patch, hiding, drop_share, patch_spread)
    wanted = np.concatenate([each.value for each in readings]) if readings else np.zeros(0)
    drawn = _drawn(family.count + len(readings) + wanted.size)
    start, noise = drawn[:, : family.count + len(readings)], drawn[:, -wanted.size or drawn.size :]
    spread = np.concatenate([each.spread for each in readings]) if readings else np.zeros(0)
    numbers: Floats = start
    seen: Floats = np.zeros((1, 0))
    if readings:
        likeliest, _ = _fitted(family, readings, start[:1], wanted[None], spread, start[:1])
        # Beginning where the chip looks right already, no member ends where it looks wrong.
        begin = np.repeat(likeliest, len(start), axis=0)
        read = wanted + spread * noise
        numbers, seen = _fitted(family, readings, start, read, spread, begin)
    errors = seen[0] - wanted
    if patch is not None:
        # The likeliest bottle of all is the smoothest, and lies at the edge of what its chips
        # may look like; one from the middle stands for them better.
        numbers = numbers[[_middle(family, readings[0], numbers), *range(1, len(numbers))]]
    absorption, scattering, anisotropy = family.constants(numbers[:, : family.count])
    order = np.concatenate([[0], 1 + np.argsort(_power(absorption, scattering, anisotropy)[1:])])
    return GuessedOptics(
        absorption=absorption[order],
        scattering=scattering[order],
        anisotropy=anisotropy[order],
        patch_error=0.0 if patch is None else float(np.linalg.norm(errors[:3])),
        hiding_error=0.0 if hiding is None else float(abs(errors[-1])),
        misfit=float(np.max(np.abs(errors) / spread, initial=0.0)),
    )


def _middle(family: Family, reading: Reading, numbers: Floats) -> int:
    """Return the row of the member whose chips, thin and thick, look most like the median."""
    probes = [
        replace(reading, which=(0, 1, 2, 3), thickness=reading.thickness * part) for part in PROBED
    ]
    bottles = numbers[1:, : family.count]
    seen = look(family, probes, np.pad(bottles, ((0, 0), (0, len(probes))))).value
    off = (seen - np.median(seen, axis=0)) / (seen.std(axis=0) + 1e-9)
    return 1 + int(np.argmin((off**2).sum(axis=1)))


def _drawn(count: int) -> Floats:
    """Return standard normal numbers, shape (1 + members, count); the first row is zero."""
    sequence = qmc.Sobol(count, rng=np.random.default_rng(SEED)).random(MEMBERS)
    edge = 0.5 / MEMBERS
    return np.vstack([np.zeros(count), ndtri(np.clip(sequence, edge, 1 - edge))])


def _power(absorption: Floats, scattering: Floats, anisotropy: Floats) -> Floats:
    """Return how strongly each member works on light, for putting them in order."""
    total = absorption + scattering * (1 - anisotropy[:, None])
    return np.asarray(np.log(total).mean(axis=1))


def _fitted(
    family: Family,
    readings: Sequence[Reading],
    start: Floats,
    wanted: Floats,
    spread: Floats,
    begin: Floats,
) -> tuple[Floats, Floats]:
    """Find, nearest to each row's start, a bottle whose chip looks as wanted.

    By damped Gauss–Newton steps from where each row begins.

    Returns
    -------
    numbers, seen : ndarray, shape (rows, numbers) and (rows, values)
        Where each row came to, and what its chip looks like there.
    """

    def cost(rows: Rows, numbers: Floats, seen: Seen) -> Floats:
        off = ((numbers - start[rows]) ** 2).sum(axis=1)
        return np.asarray(off + (((seen.value - wanted[rows]) / spread) ** 2).sum(axis=1))

    rows: Rows = np.arange(len(start))
    here, seen = begin.copy(), look(family, readings, begin)
    least, reach = cost(rows, here, seen), np.full(len(start), 2.0)
    for _ in range(STEPS):
        step = _step(seen, here, start, wanted, spread)
        length = np.linalg.norm(step, axis=1)
        rows = np.flatnonzero((length > SETTLED) & (reach > SETTLED))
        if not rows.size:
            break
        part = np.minimum(1.0, reach[rows] / length[rows])
        there = here[rows] + part[:, None] * step[rows]
        found = look(family, readings, there)
        now = cost(rows, there, found)
        better = now < least[rows]
        reach[rows] *= np.where(better, 2.0, 0.35)
        won = rows[better]
        least[won], here[won] = now[better], there[better]
        seen.value[won], seen.slope[won] = found.value[better], found.slope[better]
    return here, seen.value


def _step(seen: Seen, here: Floats, start: Floats, wanted: Floats, spread: Floats) -> Floats:
    """Return the step of each row to the least cost of looks that move linearly."""
    slope = seen.slope / spread[:, None]
    missing = (wanted - seen.value) / spread + np.einsum("rvn,rn->rv", slope, here - start)
    weight = np.einsum("rvn,rwn->rvw", slope, slope) + np.eye(wanted.shape[-1])
    solved = np.linalg.solve(weight, missing[..., None])[..., 0]
    return np.asarray(start + np.einsum("rvn,rv->rn", slope, solved) - here)
