"""Two lots of one bottle: alike in their light, but for strength and a little in hue."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.materials.supply import Clarity
from partline.process.likely_bottle import Family, Likely, family_of, smooth_shapes

Floats = NDArray[np.floating]

#: Spread of the logarithm of a new lot's strength against the old; of its bands beside that, and
#: of its scattering beside its absorption. Defaults, wide: the chips are to say it. [-]
STRENGTH, HUE, BODY = 0.5, 0.2, 0.15


@dataclass(frozen=True, kw_only=True)
class Lot:
    """One lot of a pair: 0 the old, 1 the new.

    Parameters
    ----------
    pair : LotPair
        Whose numbers it takes.
    number : int
        Which of the two.
    """

    pair: LotPair
    number: int

    @property
    def count(self) -> int:
        """Numbers that the pair is made of."""
        return self.pair.count

    @property
    def likely(self) -> Likely:
        """Levels and spreads of the clarity."""
        return self.pair.family.likely

    @property
    def moves(self) -> tuple[Floats, Floats, Floats]:
        """How ln μa, ln μs and forwardness move with every number of the pair."""
        family = self.pair.family
        absorbing, scattering, forward = family.moves
        more = self.pair.count - family.count
        absorbing, scattering = (
            np.vstack([each, np.zeros((more, WAVELENGTHS.size))])
            for each in (absorbing, scattering)
        )
        if self.number == 1:
            first = family.count
            absorbing[first] = scattering[first] = STRENGTH
            scattering[first + 1] = BODY
            absorbing[first + 2 :] = HUE * smooth_shapes()
        return absorbing, scattering, np.pad(forward, (0, more))

    def of_lot(self, lot: int) -> Lot:
        """Return one lot of the pair."""
        return Lot(pair=self.pair, number=lot)

    def constants(self, numbers: Floats) -> tuple[Floats, Floats, Floats]:
        """Return absorption and scattering [1/m per drop in 100 g] and mean cosine [-].

        Parameters
        ----------
        numbers : ndarray, shape (members, numbers)
            Standard normal before anything is read. [-]
        """
        family = self.pair.family
        absorption, scattering, cosine = family.constants(numbers)
        if self.number == 0:
            return absorption, scattering, cosine
        own = numbers[:, family.count : self.count]
        absorbing, scatters, _ = self.moves
        return (
            absorption * np.exp(own @ absorbing[family.count :]),
            scattering * np.exp(own @ scatters[family.count :]),
            cosine,
        )


@dataclass(frozen=True, kw_only=True)
class LotPair:
    """The constants of two lots of one clarity as a function of standard normal numbers.

    Parameters
    ----------
    family : Family
        Of the old lot.

    Notes
    -----
    Behind the family's numbers stand the new lot's strength, its body and its bands.
    """

    family: Family

    @property
    def count(self) -> int:
        """Numbers that both lots are made of."""
        return self.family.count + 2 + len(smooth_shapes())

    @property
    def likely(self) -> Likely:
        """Levels and spreads of the clarity."""
        return self.family.likely

    @property
    def moves(self) -> tuple[Floats, Floats, Floats]:
        """How the old lot moves with every number."""
        return self.of_lot(0).moves

    def of_lot(self, lot: int) -> Lot:
        """Return the old lot, 0, or the new, 1."""
        return Lot(pair=self, number=lot)

    def constants(self, numbers: Floats) -> tuple[Floats, Floats, Floats]:
        """Return those of the old lot."""
        return self.of_lot(0).constants(numbers)

    def strength(self, numbers: Floats) -> Floats:
        """Return the new lot's strength against the old, shape (members,). [-]"""
        return np.asarray(np.exp(STRENGTH * numbers[:, self.family.count]))


@cache
def lot_pair_of(clarity: Clarity) -> LotPair:
    """Return the pair of a clarity."""
    return LotPair(family=family_of(clarity))
