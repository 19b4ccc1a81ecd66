"""What each supply in a cup does to light, ready to be added up."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.materials.supply import (
    Additive,
    AdditiveKind,
    Clarity,
    Colourant,
    Flake,
    Grade,
)
from partline.physics.scattering import flake_coefficients
from partline.process.composition import Composition, Part
from partline.process.guessed_optics import guessed_optics
from partline.process.haze import (
    BUBBLE_SHARE,
    BUBBLE_SIZE,
    bubble_haze,
    one_cosine,
    salt_haze,
)
from partline.process.supply_doubt import Cause, log_spread, part_doubt, plain_doubt
from partline.process.yellow import yellowed, yellowing_of
from partline.quantities.estimate import Estimate
from partline.quantities.note import Note

Floats = NDArray[np.floating]

#: Name of the part that heat adds to a side.
HEAT = "yellowing by heat"
BUBBLES = "bubbles"
#: A reading that a guess stays this many standard deviations from contradicts another. [-]
CONTRADICTION = 2.5


class Spectra(NamedTuple):
    """What one part adds to a side at its loading, once for every bottle that it may be.

    Parameters
    ----------
    absorption, scattering : ndarray, shape (members, wavelengths)
        The nominal one first; the only one where the part is known. [1/m]
    anisotropy : ndarray, shape (members,)
        Mean cosine of its scattering. [-]
    """

    absorption: Floats
    scattering: Floats
    anisotropy: Floats

    def of(self, which: NDArray[np.integer]) -> Spectra:
        """Return the members asked for, one a row, shape (draws,)."""
        return Spectra(self.absorption[which], self.scattering[which], self.anisotropy[which])


@dataclass(frozen=True, slots=True, kw_only=True)
class SideOptics:
    """The contributions of one side's parts at the table wavelengths.

    Parameters
    ----------
    names : tuple of str
        One a part; a supply in both sides has one name, so that its doubt moves both. A grade is
        two parts of one name: first its haze and, after all loadings, its own colour.
    members : tuple of Spectra
        One a part: what it adds, or may add where nobody has measured it.
    spread : ndarray, shape (parts,)
        Standard deviation of the logarithm of what each part does to light. [-]
    index : float
        Refractive index of the plastic. [-]
    causes : tuple of Cause
        Why each part's spread is not zero; drop mass and strength where left out.
    notes : tuple of Note
        What these coefficients leave out.
    """

    names: tuple[str, ...]
    members: tuple[Spectra, ...]
    spread: Floats
    index: float
    causes: tuple[Cause, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def absorption(self) -> Floats:
        """What each part nominally adds, shape (parts, wavelengths). [1/m]"""
        return np.array([part.absorption[0] for part in self.members])

    @property
    def scattering(self) -> Floats:
        """What each part nominally adds, shape (parts, wavelengths). [1/m]"""
        return np.array([part.scattering[0] for part in self.members])

    @property
    def anisotropy(self) -> Floats:
        """Mean cosine of each part's scattering, shape (parts,). [-]"""
        return np.array([part.anisotropy[0] for part in self.members])

    def cause(self, part: int) -> Cause:
        """Return what of a part its spread is the doubt of."""
        return self.causes[part] if self.causes else Cause.AMOUNT

    def count(self, part: int) -> int:
        """Return how many bottles a part may be, beside the nominal one; 0 where it is known."""
        return len(self.members[part].anisotropy) - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """What happened to the plastic beside the recipe.

    Parameters
    ----------
    dose : float
        Heat beyond the usual, as time at 450 K. [s]
    air : float
        Volume share of bubbles left in it. [-]
    """

    dose: float = 0.0
    air: float = 0.0


USUAL = Condition()


def _known(absorption: Floats, scattering: Floats, anisotropy: float) -> Spectra:
    return Spectra(absorption[None], scattering[None], np.array([anisotropy]))


def _haze(grade: Grade, part: Part) -> Spectra:
    optics = grade.optics
    scattering = part.share * optics.scattering.at(WAVELENGTHS)
    return _known(np.zeros_like(WAVELENGTHS), scattering, optics.anisotropy)


def _tint(grade: Grade, part: Part) -> Spectra:
    absorption = part.share * grade.optics.absorption.at(WAVELENGTHS)
    return _known(absorption, np.zeros_like(WAVELENGTHS), 0.0)


def _colourant(colour: Colourant, part: Part) -> Spectra:
    amount = part.share * colour.lot_strength.value
    optics = colour.optics
    if optics is None or not colour.is_measured:
        guess = guessed_optics(colour)
        return Spectra(amount * guess.absorption, amount * guess.scattering, guess.anisotropy)
    return _known(
        amount * optics.absorption.at(WAVELENGTHS),
        amount * optics.scattering.at(WAVELENGTHS),
        optics.anisotropy,
    )


def _flake(flake: Flake, part: Part, density: float) -> Spectra:
    volume = part.share * density / flake.density.value
    face = flake.reflectance.at(WAVELENGTHS)
    return _known(*flake_coefficients(volume, flake.thickness, face), 0.0)


def _additive(additive: Additive, part: Part, density: float, index: float) -> Spectra:
    nothing = np.zeros_like(WAVELENGTHS)
    if additive.kind is not AdditiveKind.SALT or additive.grain is None:
        return _known(nothing, nothing, 0.0)
    volume = part.share * density / additive.density.value
    return _known(nothing, *one_cosine(salt_haze(volume, additive.grain, index)))


def _part(part: Part, density: float, index: float) -> Spectra:
    match part.supply:
        case Grade() as grade:
            return _haze(grade, part)
        case Colourant() as colour:
            return _colourant(colour, part)
        case Flake() as flake:
            return _flake(flake, part, density)
        case Additive() as additive:
            return _additive(additive, part, density, index)
        case _:
            nothing = np.zeros_like(WAVELENGTHS)
            return _known(nothing, nothing, 0.0)


def side_optics(plastic: Composition, condition: Condition = USUAL) -> SideOptics:
    """Return what a side's parts do to light.

    Parameters
    ----------
    plastic : Composition
        Of one side.
    condition : Condition
        Heat that its plastisol has been given beyond the state its constants were measured in,
        see `partline.physics.yellowing`, and bubbles of the usual size.

    Returns
    -------
    SideOptics
        Flake stands for its mean, an even scatterer of its own face's colour; salt for smooth
        wetted grains; softener, hardener and scent for nothing.
    """
    density = plastic.density.value
    indices = [grade.refractive_index.value * share for grade, share in plastic.grades]
    index = sum(indices) / plastic.plastisol_share
    doubts = [part_doubt(part) for part in plastic.parts]
    side = SideOptics(
        names=tuple(part.supply.name for part in plastic.parts),
        members=tuple(_part(part, density, index) for part in plastic.parts),
        spread=np.array([spread for _, spread in doubts]),
        index=index,
        causes=tuple(cause for cause, _ in doubts),
        notes=_notes(plastic),
    )
    for part in plastic.parts:
        if isinstance(grade := part.supply, Grade):
            own = plain_doubt(grade)
            side = _with(side, grade.name, _tint(grade, part), own, Cause.TINT)
    if condition.dose != 0:
        scale = yellowing_of(plastic)
        added = plastic.plastisol_share * yellowed(condition.dose, scale.value)
        side = _with(side, HEAT, _known(added, np.zeros(WAVELENGTHS.size), 0.0), scale, Cause.HEAT)
    if condition.air != 0:
        haze, cosine = one_cosine(bubble_haze(condition.air, BUBBLE_SIZE.value, index))
        bubbles = _known(np.zeros(WAVELENGTHS.size), haze, cosine)
        side = _with(side, BUBBLES, bubbles, BUBBLE_SHARE, Cause.BUBBLES)
    return side


def _with(side: SideOptics, name: str, part: Spectra, doubt: Estimate, cause: Cause) -> SideOptics:
    """Return a side with one more part, so that its doubt moves by itself."""
    return replace(
        side,
        names=(*side.names, name),
        members=(*side.members, part),
        spread=np.append(side.spread, log_spread(doubt)),
        causes=(*side.causes, cause),
    )


def _notes(plastic: Composition) -> tuple[Note, ...]:
    notes = []
    for part in plastic.loadings:
        match part.supply:
            case Colourant() as colour:
                texts = _colour_notes(colour)
            case Flake(name=name):
                texts = [
                    f"{name} is in the figures as its mean colour; in the pictures its flakes lie "
                    "as chance will have it."
                ]
            case _:
                texts = []
        notes += [Note(text=text, about=part.supply.name) for text in texts]
    return tuple(notes)


def _colour_notes(colour: Colourant) -> list[str]:
    name = colour.name
    texts = []
    if colour.clarity is Clarity.FLUORESCENT:
        texts.append(f"{name} glows; its extra brightness is not predicted, only its body.")
    if colour.clarity is Clarity.PEARL:
        texts.append(f"{name} is taken as a haze; how it shifts with the angle is not predicted.")
    if not colour.is_measured:
        chips = colour.counted_chips
        texts.append(
            f"{name}'s look rests on {guessed_from(colour)}."
            if chips
            else f"{name} was never measured: it is guessed from {guessed_from(colour)}. "
            f"A stepped chip of {name} on the printed card would measure it."
        )
        guess = guessed_optics(colour)
        if guess.misfit > CONTRADICTION:
            farthest = (
                f"ΔE {guess.patch_error:.0f} from one of its steps"
                if chips
                else f"ΔE {guess.patch_error:.0f} from its patch and {guess.hiding_error:.2f} "
                "from its hiding"
            )
            texts.append(
                f"No {colour.clarity.value} colour looks as {name}'s chip is said to: the guess "
                f"stays {farthest}. Look at the chip again."
            )
    return texts


def guessed_from(colour: Colourant) -> str:
    """Return in words what the constants of a bottle without instruments rest on."""
    if colour.counted_chips:
        return _chips_in_words(colour)
    read = [
        words
        for words, reading in (
            ("the colour of a chip", colour.patch), ("a hiding reading", colour.hiding),
        )
        if reading is not None
    ]  # fmt: skip
    return " and ".join(read) if read else f"nothing but that it is {colour.clarity.value}"


def _chips_in_words(colour: Colourant) -> str:
    chips = colour.counted_chips
    colours, lot = sum(each.count for each in chips), chips[0].lot
    of = f" of lot {lot}" if lot else ""
    read = "1 colour" if colours == 1 else f"{colours} colours"
    words = f"{read} off {'a stepped chip' if len(chips) == 1 else 'stepped chips'}{of}"
    if colour.is_own_chip:
        return words
    return f"{words}, and the strength of lot {colour.lot or 'in use'} against it"
