"""The cavity's shape between its stations: thickness, section and volume along the bait."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from partline.materials.mould import Mould, Station
from partline.process.recipe import Half
from partline.process.section_form import SectionForm, form_of
from partline.quantities.note import Note

Floats = NDArray[np.floating]
Lengths = float | Floats

#: Places along the bait at which its volume is summed.
FINE = 2001


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A cut across the body, or many of one form, with the line at height 0.

    Parameters
    ----------
    half_width : float or ndarray, shape (...)
        Half of flank to flank. [m]
    back_half, belly_half : float or ndarray, shape (...)
        Thickness above and below the line. [m]
    form : SectionForm
        Outline, whatever its size.
    """

    half_width: Lengths
    back_half: Lengths
    belly_half: Lengths
    form: SectionForm

    @property
    def areas(self) -> tuple[Lengths, Lengths]:
        """Area above and below the line, shape (...). [m²]"""
        above, below = self.form.fillings
        return above * self.half_width * self.back_half, below * self.half_width * self.belly_half

    @property
    def split(self) -> Lengths:
        """Share of the area above the line, shape (...). [-]"""
        above, below = self.areas
        return above / (above + below)


def section_at(station: Station) -> Section:
    """Return the section of a station."""
    return Section(
        half_width=station.width / 2,
        back_half=station.back_half,
        belly_half=station.belly_half,
        form=form_of(station),
    )


def half_thickness(station: Station, half: Half) -> float:
    """Return the thickness of one side's plastic at a station. [m]"""
    match half:
        case Half.BACK:
            return station.back_half
        case Half.BELLY:
            return station.belly_half
        case Half.WHOLE:
            return station.height


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """Thickness along the whole bait.

    Parameters
    ----------
    position : ndarray, shape (places,)
        Share of the length, rising. [-]
    half_width, back_half, belly_half : ndarray, shape (places,)
        [m]
    forms : tuple of SectionForm
        One a place.
    length : float
        [m]
    notes : tuple of Note
        What had to be assumed.
    """

    position: Floats
    half_width: Floats
    back_half: Floats
    belly_half: Floats
    forms: tuple[SectionForm, ...]
    length: float
    notes: tuple[Note, ...] = ()

    def sections(self) -> list[tuple[NDArray[np.bool_], Section]]:
        """Return the places of each form, as a mask, and their sections, shape (places,)."""
        groups = []
        for form in dict.fromkeys(self.forms):
            here = np.array([each == form for each in self.forms])
            section = Section(
                half_width=self.half_width[here],
                back_half=self.back_half[here],
                belly_half=self.belly_half[here],
                form=form,
            )
            groups.append((here, section))
        return groups

    @property
    def volume(self) -> float:
        """Of the bait, by the trapezium rule. [m³]"""
        area = np.zeros_like(self.position)
        for here, section in self.sections():
            above, below = section.areas
            area[here] = above + below
        return float(np.trapezoid(area, self.position) * self.length)


def _along(position: Floats, places: list[float], sizes: list[float]) -> Floats:
    """Interpolate a size monotonically in its square, so that blunt ends stay blunt."""
    if len(places) == 1:
        return np.full_like(position, sizes[0])
    squares = PchipInterpolator(places, np.square(sizes), extrapolate=False)
    inside = np.clip(position, places[0], places[-1])
    return np.sqrt(np.maximum(squares(inside), 0.0))


def _nearest_forms(position: Floats, stations: tuple[Station, ...]) -> tuple[SectionForm, ...]:
    places = np.array([station.position for station in stations])
    nearest = np.abs(position[:, None] - places[None, :]).argmin(axis=1)
    forms = [form_of(station) for station in stations]
    return tuple(forms[i] for i in nearest)


def profile(mould: Mould, positions: Floats | None = None) -> Profile:
    """Return a mould's thickness along its length.

    An outline of diameters is followed where there is one; otherwise the stations are joined
    by a monotone curve in the square of each size. Without a station at the very nose the
    body is closed there, and before the tail's last station's size is kept to the end.

    Parameters
    ----------
    mould : Mould
        With at least one station.
    positions : ndarray, shape (places,), optional
        Shares of the length to return; 2001 even ones when left out. [-]
    """
    along = np.linspace(0.0, 1.0, FINE) if positions is None else positions
    forms = _nearest_forms(along, mould.stations)
    if mould.outline:
        radius = _along(
            along,
            [point.position for point in mould.outline],
            [point.diameter / 2 for point in mould.outline],
        )
        widths = backs = bellies = radius
        notes: tuple[Note, ...] = ()
    else:
        places = [station.position for station in mould.stations]
        closing = places[0] > 0.0
        if closing:
            places = [0.0, *places]
        ends = [0.0] if closing else []
        widths = _along(along, places, ends + [s.width / 2 for s in mould.stations])
        backs = _along(along, places, ends + [s.back_half for s in mould.stations])
        bellies = _along(along, places, ends + [s.belly_half for s in mould.stations])
        notes = _assumptions(mould, closing=closing)
    return Profile(
        position=along,
        half_width=widths,
        back_half=backs,
        belly_half=bellies,
        forms=forms,
        length=mould.length,
        notes=notes,
    )


#: Density that a bait's mass is turned into a volume with, where none is given. [kg/m³]
USUAL_DENSITY = 1025.0
#: A shape and a weighing may disagree by this much before it is worth a word. [-]
DISAGREE = 0.15


def weighed_volume(mould: Mould) -> float | None:
    """Return the volume of one bait by its displacement or its weighing; None without both. [m³]

    A mass is turned into a volume with the density it was weighed in, the usual one where that
    is not said.
    """
    if mould.bait_volume is not None:
        return mould.bait_volume.value
    if mould.bait_mass is not None:
        return mould.bait_mass.value / (mould.weighed_density or USUAL_DENSITY)
    return None


def shape_notes(mould: Mould) -> tuple[Note, ...]:
    """Return what the shape assumes, and whether its volume fits the bait's weighing."""
    body = profile(mould)
    weighed = weighed_volume(mould)
    if weighed is None:
        return body.notes
    if abs(body.volume - weighed) <= DISAGREE * weighed:
        return body.notes
    text = (
        f"By its stations a bait holds {body.volume * 1e6:.1f} mL, by its weighing "
        f"{weighed * 1e6:.1f} mL. Amounts follow the weighing, pictures the stations: add a "
        "station where the body is thick, or weigh a bait again."
    )
    return (*body.notes, Note(text=text, about=mould.name))


def _assumptions(mould: Mould, *, closing: bool) -> tuple[Note, ...]:
    notes = []
    first, last = mould.stations[0], mould.stations[-1]
    if closing:
        text = f"The body is drawn closed in front of “{first.name}”: no outline is known there."
        notes.append(Note(text=text, about=first.name))
    if last.position < 1.0:
        text = f"The size at “{last.name}” is kept to the end: no station lies behind it."
        notes.append(Note(text=text, about=last.name))
    return tuple(notes)
