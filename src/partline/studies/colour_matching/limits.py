"""What a maker allows a search: which bottles, how many, how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partline.errors import Impossible, InputError, OutOfRange
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant
from partline.studies.loading import MOST_COLOUR

#: Colourants of one side, when nobody says otherwise, and at most.
USUAL_COLOURANTS, MOST_COLOURANTS = 4, 6
#: Drops in 100 g that are told from a slip of the keyboard.
MOST_DROPS = 500.0
#: Mass of a cup that is told from a slip of the keyboard. [kg]
LEAST_CUP, MOST_CUP = 0.005, 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What is allowed of each side.

    Parameters
    ----------
    most_colourants : int
        Bottles in one side.
    most_drops : float or None
        Drops of all bottles together in 100 g of one side; None where only their mass counts.
    most_share : float
        Mass share of all bottles together: liquid colour softens the plastic. [-]
    only : tuple of str
        Names of the bottles to choose from; empty for all.
    without : tuple of str
        Names of those to leave alone.

    Raises
    ------
    OutOfRange
        If a limit allows nothing, or is beyond all measure.
    """

    most_colourants: int = USUAL_COLOURANTS
    most_drops: float | None = None
    most_share: float = MOST_COLOUR
    only: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not 1 <= self.most_colourants <= MOST_COLOURANTS:
            raise OutOfRange(
                f"{self.most_colourants} colourants a side were allowed; the search takes 1 to "
                f"{MOST_COLOURANTS}: nobody counts more bottles into one cup.",
                low=1, high=MOST_COLOURANTS, field="most_colourants",
                given=str(self.most_colourants),
            )  # fmt: skip
        if self.most_drops is not None and not 0 < self.most_drops <= MOST_DROPS:
            raise OutOfRange(
                f"{self.most_drops:g} drops in 100 g were allowed; the limit must lie above 0 and "
                f"be {MOST_DROPS:g} at most.",
                low=0.0, high=MOST_DROPS, unit="drops", field="most_drops",
                given=f"{self.most_drops:g}", remedy="Leave it out to be held by mass alone.",
            )  # fmt: skip
        if not 0 < self.most_share <= 0.2:
            raise OutOfRange(
                f"{self.most_share * 100:g} g of colour in 100 g were allowed; the limit must lie "
                "above 0 and be 20 g at most, beyond which nothing sets as it should.",
                low=0.0, high=20.0, unit="g", field="most_grams",
                given=f"{self.most_share * 100:g}",
            )  # fmt: skip


def allowed_bottles(shelf: Shelf, limits: Limits) -> tuple[Colourant, ...]:
    """Return the bottles that a search may take.

    Raises
    ------
    InputError
        If a name is not that of a bottle on the shelf.
    Impossible
        If there is no bottle at all, or none is left.
    """
    if not shelf.colourants:
        raise Impossible(
            "There is no bottle of colour on the shelf, so nothing can be matched.",
            nearest="Enter the bottles you own first; a kind and a colour are enough.",
        )
    chosen = _named(shelf, limits.only) or set(shelf.colourants)
    left = chosen - _named(shelf, limits.without)
    if not left:
        raise Impossible(
            "No bottle is left to match with: every one was ruled out.",
            nearest="Allow at least one.",
        )
    return tuple(each for each in shelf.colourants if each in left)


def _named(shelf: Shelf, names: Sequence[str]) -> set[Colourant]:
    found = set()
    for name in names:
        supply = shelf.find(name)
        if not isinstance(supply, Colourant):
            raise InputError(
                f"“{supply.name}” is no bottle of colour.",
                given=name,
                remedy=f"Bottles: {', '.join(each.name for each in shelf.colourants)}.",
            )
        found.add(supply)
    return found


def checked_cup(mass: float, half: str) -> float:
    """Return the mass of a cup's filling. [kg]

    Raises
    ------
    OutOfRange
        If no cup holds that.
    """
    if not LEAST_CUP <= mass <= MOST_CUP:
        raise OutOfRange(
            f"The cup of the {half} would hold {mass * 1e3:g} g; it must be "
            f"{LEAST_CUP * 1e3:g} g to {MOST_CUP * 1e3:g} g.",
            low=LEAST_CUP * 1e3, high=MOST_CUP * 1e3, unit="g", field=f"cup_{half}",
        )  # fmt: skip
    return mass
