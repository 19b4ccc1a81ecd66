"""What a photo on the printed card says of a bait or a slice, each number with its range."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from partline.quantities.estimate import Estimate
from partline.quantities.note import Note
from partline.studies.photo.contrast import Part, difference, lab_of, part_of
from partline.studies.photo.decoding import decode
from partline.studies.photo.finding import FoundCard, find_card
from partline.studies.photo.flat import Flat, lay_flat
from partline.studies.photo.patches import read_patches
from partline.studies.photo.quality import (
    check_exposure,
    check_glare,
    check_ground,
    check_part,
)
from partline.studies.photo.refusal import PhotoRefused, Reason
from partline.studies.photo.results import BaitMeasure, Shot, SliceMeasure
from partline.studies.photo.seam import find_seam
from partline.studies.photo.sharpness import Softness, measure_softness
from partline.studies.photo.things import Pointed, Thing, find_thing, ground_levels
from partline.studies.photo.tone import Calibration, calibrate
from partline.studies.photo_card import MM, RULED, Pocket

Floats = NDArray[np.floating]
Flags = NDArray[np.bool_]

#: Middle of a bait whose colour stands for a view: share of its length, share of its width. [-]
LONG, BROAD = 0.6, 0.4
#: Never nearer to the rim than this. [m]
RIM = 0.8 * MM
#: A printed line that was never measured may be this wrong. Common practice, no source. [-]
UNRULED = 0.02


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CardPhoto:
    """A photo on the card that is fit to be measured.

    Parameters
    ----------
    card : FoundCard
        Where the card lies in it.
    flat : Flat
        The card from above.
    calibration : Calibration
        What its codes mean.
    softness : Softness
        How sharp it is.
    primaries : ndarray, shape (3, 3)
        What its red, green and blue stand for. [-]
    """

    card: FoundCard
    flat: Flat
    calibration: Calibration
    softness: Softness
    primaries: Floats


def read_card_photo(content: bytes) -> CardPhoto:
    """Open a photo, find the card in it and make it fit to be measured.

    Parameters
    ----------
    content : bytes
        JPEG, PNG or WebP; not changed.

    Raises
    ------
    PhotoRefused
        If it is no photo, shows no whole card, or is blurred, clipped, glared or taken aslant.
    DataError
        If the library for photos is not installed.
    """
    picture = decode(content)
    card = find_card(picture.codes)
    flat = lay_flat(picture.codes, card)
    patches = read_patches(flat)
    check_exposure(patches)
    calibration = calibrate(patches)
    softness = measure_softness(flat, calibration)
    check_glare(patches, calibration)
    return CardPhoto(
        card=card, flat=flat, calibration=calibration, softness=softness,
        primaries=picture.primaries,
    )  # fmt: skip


def measure_bait(
    photo: CardPhoto, *, back: Pointed | None = None, belly: Pointed | None = None
) -> BaitMeasure:
    """Measure back against belly of two baits of one shot.

    Parameters
    ----------
    photo : CardPhoto
        From `read_card_photo`.
    back, belly : Pointed or None
        Where they lie, when the maker corrects it.

    Raises
    ------
    PhotoRefused
        If one of them is not found, or a lamp mirrors in it.
    """
    parts = []
    for pocket, pointed in ((Pocket.BACK, back), (Pocket.BELLY, belly)):
        thing = _thing(photo, pocket, pointed)
        part = _view(thing)
        check_part(part, pocket.value, photo.calibration)
        parts.append(part)
    return BaitMeasure(
        back_belly=difference(parts[0], parts[1], photo.calibration, photo.primaries),
        back=_lab(parts[0], photo),
        belly=_lab(parts[1], photo),
        shot=_shot(photo),
        notes=_notes(photo, ruled=None, is_length=False),
    )


def measure_slice(
    photo: CardPhoto,
    pocket: Pocket = Pocket.SLICE,
    *,
    ruled: Estimate | None = None,
    pointed: Pointed | None = None,
) -> SliceMeasure:
    """Measure the halves of a slice and the line between them.

    Parameters
    ----------
    photo : CardPhoto
        From `read_card_photo`.
    pocket : Pocket
        `Pocket.SLICE` or `Pocket.SPRUE`.
    ruled : Estimate or None
        Printed lengths over meant ones, from the line measured on this print; None where nobody
        measured it. [-]
    pointed : Pointed or None
        Where it lies, when the maker corrects it.

    Raises
    ------
    PhotoRefused
        If no slice or no line is found, or a lamp mirrors in it.
    """
    thing = _thing(photo, pocket, pointed)
    seam = find_seam(thing, photo.softness)
    halves = [_half(thing, each) for each in (seam.above, seam.below)]
    for part, name in zip(halves, ("back’s half", "belly’s half"), strict=True):
        check_part(part, name, photo.calibration)
    return SliceMeasure(
        halves=difference(halves[0], halves[1], photo.calibration, photo.primaries),
        back_share=seam.depth,
        tilt=seam.tilt,
        line=_in_true_metres(seam.width, ruled),
        height=_in_true_metres(seam.height, ruled),
        back=_lab(halves[0], photo),
        belly=_lab(halves[1], photo),
        shot=_shot(photo),
        notes=_notes(photo, ruled=ruled, is_length=True),
    )


def _thing(photo: CardPhoto, pocket: Pocket, pointed: Pointed | None) -> Thing:
    thing = find_thing(
        photo.flat, photo.calibration, photo.primaries, pocket, card=photo.card, pointed=pointed
    )
    check_ground(thing, ground_levels(photo.flat, photo.calibration))
    return thing


def _view(thing: Thing) -> Part:
    """Read the middle of a bait as seen from above, whichever way it lies in its pocket."""
    places = thing.points[thing.inside]
    middle = places.mean(axis=0)
    _, _, ways = np.linalg.svd(
        places[:: max(len(places) // 4000, 1)] - middle, full_matrices=False
    )
    along, across = (thing.points - middle) @ ways[0], (thing.points - middle) @ ways[1]
    inner = thing.within(RIM)
    low, high = np.quantile(along[thing.inside], [0.002, 0.998])
    chosen = np.zeros_like(thing.inside)
    stretch = np.linspace(*_middle_of(low, high, LONG), 41)
    for start, end in pairwise(stretch):
        here = thing.inside & (along >= start) & (along < end)
        if not np.any(here):
            continue
        left, right = _middle_of(across[here].min(), across[here].max(), BROAD)
        chosen |= here & inner & (across >= left) & (across <= right)
    return _part(thing, chosen, along)


def _middle_of(low: float, high: float, share: float) -> tuple[float, float]:
    middle, half = (low + high) / 2, (high - low) / 2 * share
    return middle - half, middle + half


def _half(thing: Thing, chosen: Flags) -> Part:
    return _part(thing, chosen, thing.points[..., 0])


def _part(thing: Thing, chosen: Flags, along: Floats) -> Part:
    if np.count_nonzero(chosen) < 60:
        raise PhotoRefused(
            Reason.NO_LINE,
            "Too little of one colour is left to be read beside the line and the rim.",
            remedy="Cut a larger slice, lay it flat, and go nearer with the phone.",
        )
    return part_of(thing.codes[chosen], thing.light[chosen], thing.points[chosen], along[chosen])


def _lab(part: Part, photo: CardPhoto) -> tuple[float, float, float]:
    lightness, a, b = lab_of(part, photo.calibration, photo.primaries)
    return float(lightness), float(a), float(b)


def _in_true_metres(length: Estimate, ruled: Estimate | None) -> Estimate:
    """Turn lengths on the plan into true ones by the line measured on this print."""
    scale = 1.0 if ruled is None else ruled.value
    low, high = (1 - UNRULED, 1 + UNRULED) if ruled is None else (ruled.low, ruled.high)
    value = length.value * scale
    below = np.hypot(length.value - length.low, length.value * (scale - low))
    above = np.hypot(length.high - length.value, length.value * (high - scale))
    return replace(
        length, value=value, low=float(max(value - below, 0.0)), high=float(value + above)
    )


def _shot(photo: CardPhoto) -> Shot:
    return Shot(
        number=photo.card.number,
        density=photo.card.density,
        tilt=photo.card.tilt,
        softness=photo.softness.largest,
    )


def _notes(photo: CardPhoto, *, ruled: Estimate | None, is_length: bool) -> tuple[Note, ...]:
    notes = [
        "Only differences within this photo are to be trusted; the colours themselves lean on "
        "how the card was printed."
    ]
    if is_length and ruled is None:
        notes.append(
            f"The line of {RULED / MM:.0f} mm was not measured on this print: lengths may be off "
            f"by {UNRULED * 100:.0f} % for that alone."
        )
    if photo.card.number is None:
        notes.append("The marker with the card’s number was not read.")
    return tuple(Note(text=each) for each in notes)
