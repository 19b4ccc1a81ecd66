"""Optical constants of a bottle that nobody has measured, from what its chip looks like."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from partline.materials.chip import Chip, HidingReading, LotChip, PatchReading
from partline.materials.supply import Clarity, Colourant
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.chip_fitting import MEMBERS, fit_bottles
from partline.process.chip_reading import Reading, look, patch_lab
from partline.process.composition import LOADING_BASIS
from partline.process.likely_bottle import Family, family_of
from partline.process.lot_reading import UNNOTED, USUAL_DROPS, lot_readings

__all__ = [
    "MEMBERS", "USUAL_DROPS", "USUAL_THICKNESS", "GuessedOptics", "guessed_optics", "least_hiding",
]  # fmt: skip

Floats = NDArray[np.floating]

#: Thicknesses, in those of a chip that was read, at which members are compared. [-]
PROBED = (0.5, 1.0, 2.0, 5.0)
#: What a chip is taken to be where nobody noted it. [m]
USUAL_THICKNESS = 2e-3
#: Spread of the logarithm of a chip's thickness times loading, where both were noted. [-]
NOTED = 0.10
#: Standard deviations that a reading may be off by: a colour matched by eye or picked from a
#: photo, in each of L*, a* and b*; one that stands in for a colour nobody has looked at; and a
#: hiding judged on the card. Common practice, no source.
PATCH_SPREAD, STAND_IN_SPREAD, HIDING_SPREAD = 2.0, 15.0, 0.03
#: How much less sure a reading is taken to be than it is: no bottle is of the family that is
#: assumed. With readings off by just the above, ranges held 75 % of other families' looks where
#: they promise 80; wider by this they hold 80 to 89. Wider spreads of the family did not help.
FAMILY_SLACK = 1.35


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
        How far the likeliest bottle stays from the patch, or from the step of a chip that it
        stays farthest from; 0 where there is none. [ΔE*ab]
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
        Its clarity counts, and its stepped chips; where none count, its patch and hiding
        reading, each where it is there.

    Returns
    -------
    GuessedOptics
        The same for the same entry, always; kept, so that only the first call computes.

    Notes
    -----
    See `partline.process.chip_fitting`. The spectrum itself is not recovered: many spectra have
    one colour. A test holds how often the members cover the truth, and ``benchmarks/`` how often
    those of a stepped chip do.
    """
    drop_share = colour.drop_mass.value / LOADING_BASIS
    if colour.counted_chips:
        return _by_mass(_of_chips(colour, drop_share), drop_share)
    patch, hiding = colour.patch, colour.hiding
    spread = STAND_IN_SPREAD if "patch" in colour.guesses else PATCH_SPREAD
    by_mass = any(each is not None and each.chip.share is not None for each in (patch, hiding))
    # A weighing of the drop leaves what was read in drops as it is, and its guess in the cache.
    guess = _of_a_drop(colour.clarity, patch, hiding, drop_share if by_mass else 0.0, spread)
    return _by_mass(guess, drop_share)


def _by_mass(guess: GuessedOptics, drop_share: float) -> GuessedOptics:
    """Return what is known for a drop in 100 g, for a unit mass share."""
    return replace(
        guess,
        absorption=guess.absorption / drop_share,
        scattering=guess.scattering / drop_share,
    )


def _of_chips(colour: Colourant, drop_share: float) -> GuessedOptics:
    by_mass = any(each.chip.share is not None for each in colour.counted_chips)
    # Neither code nor date nor photo of a chip moves what it says of the light.
    plain = tuple(replace(each, lot="", day=None, photo="") for each in colour.counted_chips)
    return _of_steps(colour.clarity, plain, drop_share if by_mass else 0.0)


@lru_cache(maxsize=128)
def _of_steps(clarity: Clarity, chips: tuple[LotChip, ...], drop_share: float) -> GuessedOptics:
    """Return what stepped chips say of a drop in every 100 g. [1/m]"""
    family = family_of(clarity)
    readings, shared = lot_readings(chips, drop_share)
    fit = fit_bottles(family, readings, shared)
    middle = min(readings, key=lambda each: abs(each.thickness - USUAL_THICKNESS))
    probe = replace(middle, loading=None, shift=None)
    numbers = fit.numbers
    numbers = numbers[[_middle(family, probe, numbers), *range(1, len(numbers))]]
    farthest = np.linalg.norm(fit.errors.reshape(-1, 3), axis=1).max()
    guess = _in_order(family, numbers[:, : family.count])
    return replace(guess, patch_error=float(farthest), misfit=fit.misfit)


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
            spread=np.array([spread * FAMILY_SLACK for _, _, spread in values]),
            drops=_drops(chip, drop_share),
            thickness=USUAL_THICKNESS if chip.thickness is None else chip.thickness,
            doubt=NOTED * FAMILY_SLACK if chip.is_known else UNNOTED,
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
    fit = fit_bottles(family, readings)
    numbers, errors = fit.numbers, fit.errors
    if patch is not None:
        # The likeliest bottle of all is the smoothest, and lies at the edge of what its chips
        # may look like; one from the middle stands for them better.
        numbers = numbers[[_middle(family, readings[0], numbers), *range(1, len(numbers))]]
    return replace(
        _in_order(family, numbers[:, : family.count]),
        patch_error=0.0 if patch is None else float(np.linalg.norm(errors[:3])),
        hiding_error=0.0 if hiding is None else float(abs(errors[-1])),
        misfit=fit.misfit * FAMILY_SLACK,
    )


def _in_order(family: Family, numbers: Floats) -> GuessedOptics:
    """Return the constants of bottles, the nominal first, the others by their power."""
    absorption, scattering, anisotropy = family.constants(numbers)
    order = np.concatenate([[0], 1 + np.argsort(_power(absorption, scattering, anisotropy)[1:])])
    return GuessedOptics(
        absorption=absorption[order], scattering=scattering[order], anisotropy=anisotropy[order]
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


def _power(absorption: Floats, scattering: Floats, anisotropy: Floats) -> Floats:
    """Return how strongly each member works on light, for putting them in order."""
    total = absorption + scattering * (1 - anisotropy[:, None])
    return np.asarray(np.log(total).mean(axis=1))
