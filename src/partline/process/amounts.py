"""How much goes into each cup: baits, shots, melts, and every gram that stays behind."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from partline.errors import Impossible, OutOfRange
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.composition import Composition, compose
from partline.process.ingredients import Ingredient, weigh_out
from partline.process.plan_notes import plan_notes
from partline.process.poured_side import EQUAL_PUSH, PouredSide, cold_bait_mass, poured_side
from partline.process.recipe import Half, Recipe
from partline.quantities.estimate import Estimate, moving_together, propagate
from partline.quantities.note import Note

#: A whole number of baits must not grow by one for a rounding error in the division.
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Cup:
    """One cup of one melt.

    Parameters
    ----------
    half : Half
        Which side it holds.
    mass : float
        To fill in, everything together. [kg]
    known : Estimate
        The same with its range: what the weighings behind it leave open. [kg]
    hot_volume : float
        At the hot end of the working band. [m³]
    ingredients : tuple of Ingredient
        What adds up to `mass`, in the order it goes in.
    """

    half: Half
    mass: float
    known: Estimate
    hot_volume: float
    ingredients: tuple[Ingredient, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Melt:
    """A fresh filling of the cups.

    Parameters
    ----------
    shots, draws : int
        Taken from it.
    cups : tuple of Cup
        One a side.
    """

    shots: int
    draws: int
    cups: tuple[Cup, ...]

    @property
    def masses(self) -> dict[Half, float]:
        """Of each side's cup. [kg]"""
        return {cup.half: cup.mass for cup in self.cups}


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """Where the plastic goes, all melts and both sides together. [kg]"""

    baits: Estimate
    sprue: Estimate
    block: Estimate
    heels: Estimate
    film: Estimate

    @property
    def total(self) -> Estimate:
        """Everything. [kg]"""
        parts = [self.baits, self.sprue, self.block, self.heels, self.film]
        return propagate(lambda *masses: sum(masses), parts, source="sum of the parts")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Whether something holds what it must.

    Parameters
    ----------
    used, limit : float
        Largest hot volume asked of it, and what it may hold. [m³]
    """

    used: float
    limit: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """The whole answer to "how much in each cup for so many good baits?".

    Parameters
    ----------
    good : int
        Baits asked for.
    to_mould : int
        With the reject allowance.
    shots, moulded : int
        Shots, and the baits they make.
    melts : tuple of Melt
        In order.
    budget : Budget
        Where the plastic goes.
    bait_mass : Estimate
        Of one cold bait of this recipe. [kg]
    bait_density : Estimate
        Of one cold bait of this recipe. [kg/m³]
    vessel, syringe : Fit
        The fullest cup, and the fullest syringe.
    single_melt : float
        Hot volume of the fuller cup had everything to go into one melt. [m³]
    working_temperature : float
        That hot volumes are taken at. [K]
    notes : tuple of Note
        What to know beside the numbers.
    """

    good: int
    to_mould: int
    shots: int
    moulded: int
    melts: tuple[Melt, ...]
    budget: Budget
    bait_mass: Estimate
    bait_density: Estimate
    vessel: Fit
    syringe: Fit
    single_melt: float
    working_temperature: float
    notes: tuple[Note, ...]

    def mass(self, half: Half) -> float:
        """Return the sum of one side's cups over the melts. [kg]"""
        return sum(cup.mass for melt in self.melts for cup in melt.cups if cup.half is half)


def baits_to_mould(good: int, reject_share: float) -> int:
    """Return how many baits to mould so that `good` of them are likely to pass."""
    return ceil(good / (1.0 - reject_share) - ROUNDING)


def share_out(shots: int, melts: int) -> tuple[int, ...]:
    """Split shots over melts as evenly as whole shots allow, the fuller melts first."""
    each, over = divmod(shots, melts)
    return tuple(each + (1 if melt < over else 0) for melt in range(melts))


def _melts_needed(shots: int, sides: tuple[PouredSide, ...], bench: Bench) -> int:
    for melts in range(1, shots + 1):
        largest = share_out(shots, melts)[0]
        if all(side.hot_volume(side.cup(largest).value) <= bench.vessel.limit for side in sides):
            return melts
    fullest = max(side.hot_volume(side.cup(1).value) for side in sides)
    raise Impossible(
        f"One shot alone takes {fullest * 1e6:.0f} mL of hot plastic a cup; "
        f"this cup may hold {bench.vessel.limit * 1e6:.0f} mL.",
        nearest=(
            f"A cup of {fullest / bench.vessel.fill_limit * 1e6:.0f} mL or more, "
            "or a mould with fewer cavities, would do."
        ),
    )


def _syringe_fit(sides: tuple[PouredSide, ...], bench: Bench) -> Fit:
    used = max(
        side.hot_volume(side.shot * side.shots_per_draw + side.heel.value) for side in sides
    )
    if used > bench.syringes.usable:
        raise Impossible(
            f"A draw of {bench.syringes.shots_per_draw} shot(s) takes {used * 1e6:.0f} mL a "
            f"syringe; {bench.syringes.usable * 1e6:.0f} mL can be drawn into each.",
            nearest="Fewer shots a draw, a larger pair, or a mould with fewer cavities would do.",
        )
    return Fit(used=used, limit=bench.syringes.usable)


def plan_amounts(
    recipe: Recipe, mould: Mould, bench: Bench, shelf: Shelf, *, good: int
) -> Amounts:
    """Plan the cups for a number of good baits.

    Parameters
    ----------
    recipe, mould, bench, shelf
        What is poured, into what, with what.
    good : int
        Good baits wanted, 1 to 10 000.

    Returns
    -------
    Amounts
        With mass conserved: the cups add up to the budget, the ingredients to each cup.

    Raises
    ------
    OutOfRange
        If `good` is not within 1 to 10 000.
    Impossible
        If not even one shot fits the cup, or one draw the syringe.
    InputError
        If a supply is not on the shelf.

    Notes
    -----
    Hot volumes are taken at the hot end of the label's working band, where a cup is fullest
    while it is poured from; at the fusion target it stands about 1 % higher, inside the margin
    that the fill limit leaves. A mass weighed without a density is taken to be of plastic like
    this recipe's; a volume, or a mass with the density it was weighed in, is scaled.
    """
    if not 1 <= good <= 10_000:
        raise OutOfRange(
            f"{good} good baits were asked for; a plan is for 1 to 10 000.",
            low=1, high=10_000, field="count", given=str(good),
            remedy="Split the order into several plans." if good > 1 else "Ask for one at least.",
        )  # fmt: skip
    plastics = [(side.half, compose(side, shelf)) for side in recipe.sides]
    part = EQUAL_PUSH if recipe.is_two_colour else 1.0
    sides = tuple(poured_side(half, plastic, mould, bench, part) for half, plastic in plastics)
    to_mould = baits_to_mould(good, bench.reject_share)
    shots = ceil(to_mould / mould.cavities)
    syringe = _syringe_fit(sides, bench)
    groups = share_out(shots, _melts_needed(shots, sides, bench))
    melts = tuple(_melt(count, sides) for count in groups)
    density = _mean_density([plastic for _, plastic in plastics])
    return Amounts(
        good=good,
        to_mould=to_mould,
        shots=shots,
        moulded=shots * mould.cavities,
        melts=melts,
        budget=_budget(groups, sides),
        bait_mass=cold_bait_mass(mould, density),
        bait_density=density,
        vessel=Fit(
            used=max(cup.hot_volume for melt in melts for cup in melt.cups),
            limit=bench.vessel.limit,
        ),
        syringe=syringe,
        single_melt=max(side.hot_volume(side.cup(shots).value) for side in sides),
        working_temperature=max(side.plastic.hottest_working for side in sides),
        notes=plan_notes(
            sides,
            mould,
            recipe,
            bench,
            [each for melt in melts for cup in melt.cups for each in cup.ingredients],
        ),
    )


def _melt(shots: int, sides: tuple[PouredSide, ...]) -> Melt:
    cups = []
    for side in sides:
        known = side.cup(shots)
        cups.append(
            Cup(
                half=side.half,
                mass=known.value,
                known=known,
                hot_volume=side.hot_volume(known.value),
                ingredients=weigh_out(side.plastic, known),
            )
        )
    return Melt(shots=shots, draws=sides[0].draws(shots), cups=tuple(cups))


def _budget(groups: tuple[int, ...], sides: tuple[PouredSide, ...]) -> Budget:
    shots = sum(groups)
    draws = sum(sides[0].draws(count) for count in groups)

    def together(masses: list[Estimate], times: int) -> Estimate:
        return moving_together([each.map(lambda mass: mass * times) for each in masses])

    return Budget(
        baits=together([side.bait for side in sides], shots),
        sprue=together([side.sprue for side in sides], shots),
        block=together([side.block for side in sides], shots),
        heels=together([side.heel for side in sides], draws),
        film=together([side.film for side in sides], len(groups)),
    )


def _mean_density(plastics: list[Composition]) -> Estimate:
    """Density of a bait whose sides have equal volumes. [kg/m³]"""
    return propagate(
        lambda *each: sum(each) / len(each),
        [plastic.density for plastic in plastics],
        source="equal volumes of the sides",
    )
