"""What to weigh, count and spoon into one cup, in the order it goes in."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from partline.materials.supply import Additive, AdditiveKind, Colourant, Flake, Grade, Supply
from partline.process.composition import Composition, Part
from partline.quantities.constants import US_GALLON
from partline.quantities.estimate import Estimate, propagate

#: US teaspoon. [m³] NIST Handbook 44, Appendix C.
TEASPOON = float(US_GALLON / 768)
#: Spoons are cut into eighths; less than half of one cannot be levelled.
SMALLEST_SPOON = 1 / 16


class Step(IntEnum):
    """When something goes in. Common practice, no source; the supplier's sheet comes first."""

    COLD = 1  # before heating
    SALT = 2
    COLOUR = 3
    TENDER = 4  # heat-tender colour
    FLAKE = 5  # near the pour temperature
    SCENT = 6

    @property
    def words(self) -> str:
        """What to tell the maker."""
        return _WORDS[self]


_WORDS = {
    Step.COLD: "cold, before heating",
    Step.SALT: "dry, once it has gone clear",
    Step.COLOUR: "after the first stir",
    Step.TENDER: "last colour, after the last heat",
    Step.FLAKE: "last, near the pour temperature",
    Step.SCENT: "just before the draw",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ingredient:
    """One supply's amount in one cup.

    Parameters
    ----------
    supply : str
        Its name on the shelf.
    kind : str
        grade, colourant, flake, salt, softener, hardener or scent.
    mass : float
        To weigh. [kg]
    known : Estimate
        The same with its range: what the cup's own range leaves open and, where it was asked
        for in drops, what a drop weighs. [kg]
    step : Step
        When it goes in.
    drops : int or None
        Whole drops nearest to `mass`, for a colourant.
    drops_exact : float or None
        The same before rounding.
    teaspoons : Estimate or None
        US teaspoons, for a powder whose loose density is known or guessed.
    caution : str
        A warning that belongs to this supply.
    is_metal : bool
        Whether it sparks in a microwave oven: nothing that holds it goes in again.
    heat_limit : float or None
        Above it the supply sheds; None where it does not, or a caution says more. [K]
    """

    supply: str
    kind: str
    mass: float
    known: Estimate
    step: Step
    drops: int | None = None
    drops_exact: float | None = None
    teaspoons: Estimate | None = None
    caution: str = ""
    is_metal: bool = False
    heat_limit: float | None = None


def kind_of(supply: Supply) -> str:
    """Return a supply's kind in one word."""
    match supply:
        case Grade():
            return "grade"
        case Colourant():
            return "colourant"
        case Flake():
            return "flake"
        case Additive():
            return supply.kind.value
        case _:
            return "supply"


def _step(supply: Supply) -> Step:
    match supply:
        case Colourant():
            return Step.TENDER if supply.is_heat_tender else Step.COLOUR
        case Flake():
            return Step.FLAKE
        case Additive(kind=AdditiveKind.SALT):
            return Step.SALT
        case Additive(kind=AdditiveKind.SCENT):
            return Step.SCENT
        case _:
            return Step.COLD


def _caution(supply: Supply) -> str:
    match supply:
        case Flake(is_metal=True):
            return "Metal: never in the microwave oven. In after the last heat."
        case Colourant(is_heat_tender=True):
            return "Heat-tender: do not heat it again."
        case _:
            return ""


def _teaspoons(supply: Supply, mass: float) -> Estimate | None:
    if not isinstance(supply, (Flake, Additive)) or supply.bulk_density is None:
        return None
    loose = supply.bulk_density
    if mass / loose.value / TEASPOON < SMALLEST_SPOON:
        return None
    return Estimate(
        value=mass / loose.value / TEASPOON,
        low=mass / loose.high / TEASPOON,
        high=mass / loose.low / TEASPOON,
        origin=loose.origin,
        source=loose.source,
        narrows=f"weigh one level teaspoon of {supply.name}",
    )


def _known(part: Part, cup: Estimate) -> Estimate:
    """Return what to weigh of a part, with its range. [kg]"""
    in_cup = cup.map(lambda mass: part.share * mass)
    if part.drops is None or not isinstance(part.supply, Colourant):
        return in_cup
    drop = part.supply.drop_mass
    return propagate(
        lambda mass, each: mass * each / drop.value,
        [in_cup, drop],
        source="drops × the mass of one",
    )


def _ingredient(part: Part, cup: Estimate) -> Ingredient:
    supply, mass = part.supply, part.share * cup.value
    exact = mass / supply.drop_mass.value if isinstance(supply, Colourant) else None
    return Ingredient(
        supply=supply.name,
        kind=kind_of(supply),
        mass=mass,
        known=_known(part, cup),
        step=_step(supply),
        drops=None if exact is None else round(exact),
        drops_exact=exact,
        teaspoons=_teaspoons(supply, mass),
        caution=_caution(supply),
        is_metal=isinstance(supply, Flake) and supply.is_metal,
        heat_limit=supply.heat_limit if isinstance(supply, Flake) else None,
    )


def weigh_out(plastic: Composition, cup: Estimate) -> tuple[Ingredient, ...]:
    """Return what goes into a cup of this mass [kg], in the order it goes in.

    The masses add up to the cup's; whole drops are the nearest to the exact figure, which is
    kept beside them.
    """
    ingredients = [_ingredient(part, cup) for part in plastic.parts]
    return tuple(sorted(ingredients, key=lambda each: each.step))
