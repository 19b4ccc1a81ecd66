"""What six plain questions were answered; any answer may be "don't know"."""

from __future__ import annotations

from dataclasses import dataclass

from partline.materials.supply import Clarity
from partline.process.recipe import Half


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottle:
    """A bottle of colour at hand.

    Parameters
    ----------
    name : str
        The maker's word for it.
    clarity : Clarity or None
        None when not known.
    patch : str
        Its colour as ``#rrggbb``; empty when not known.
    half : Half or None
        Where it goes; None when that was not said.
    is_spare : bool
        Whether it only stands on the shelf.
    is_stand_in : bool
        Whether nobody named it.
    """

    name: str
    clarity: Clarity | None = None
    patch: str = ""
    half: Half | None = None
    is_spare: bool = False
    is_stand_in: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What was answered; None and "" where it was "don't know".

    Parameters
    ----------
    colours : int or None
        1 or 2.
    cup : str
        What a cup holds to the brim, as typed.
    reads_fahrenheit : bool or None
        What the maker's thermometer shows.
    cavities : int or None
        Baits a shot.
    bait_mass, bait_length : str
        Of one bait, as typed.
    bottles : tuple of Bottle
        At hand.
    mould, bench : str
        Code of a kept one to use; empty for a new one.
    """

    colours: int | None = None
    cup: str = ""
    reads_fahrenheit: bool | None = None
    cavities: int | None = None
    bait_mass: str = ""
    bait_length: str = ""
    bottles: tuple[Bottle, ...] = ()
    mould: str = ""
    bench: str = ""
