"""The maker's own supplies, found by name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

from partline.errors import InputError
from partline.materials.supply import Additive, Colourant, Flake, Grade, Supply


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What stands at hand.

    Parameters
    ----------
    grades : tuple of Grade
        Plastisols.
    colourants : tuple of Colourant
        Bottles of colour.
    flakes : tuple of Flake
        Jars of flake.
    additives : tuple of Additive
        Salt, softener, hardener, scent.
    """

    grades: tuple[Grade, ...] = ()
    colourants: tuple[Colourant, ...] = ()
    flakes: tuple[Flake, ...] = ()
    additives: tuple[Additive, ...] = ()

    def __iter__(self) -> Iterator[Supply]:
        yield from self.grades
        yield from self.colourants
        yield from self.flakes
        yield from self.additives

    def find(self, name: str) -> Supply:
        """Return the supply of this name, whatever its capitals.

        Raises
        ------
        InputError
            If no supply has it; names the nearest ones.
        """
        for supply in self:
            if supply.name.casefold() == name.casefold():
                return supply
        names = [supply.name for supply in self]
        near = get_close_matches(name, names, n=3, cutoff=0.5) or names
        remedy = (
            f"Did you mean {', '.join(near[:6])}? Or put it on the shelf first."
            if near
            else "The shelf is empty: put the supply on it first."
        )
        raise InputError(f"No supply on the shelf is called “{name}”.", given=name, remedy=remedy)

    def grade(self, name: str) -> Grade:
        """Return the plastisol grade of this name.

        Raises
        ------
        InputError
            If there is none, or the name belongs to another kind of supply.
        """
        supply = self.find(name)
        if isinstance(supply, Grade):
            return supply
        known = ", ".join(grade.name for grade in self.grades) or "none yet"
        raise InputError(
            f"“{supply.name}” is not a plastisol grade.",
            given=name,
            remedy=f"Grades on the shelf: {known}.",
        )
