"""What is poured, as a plan has it already: recipe, mould, bench, and what is in each side."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant
from partline.process.bench import Bench
from partline.process.recipe import Half, Measure, Recipe, Side
from partline.records.workshop import Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """So much of one supply in one side.

    Parameters
    ----------
    half : Half
        Which side.
    supply : str
        Its name.
    amount : float
        In every 100 g. [drops or g]
    measure : Measure
        What `amount` counts.
    is_colourant : bool
        Whether it is a bottle of colour.
    """

    half: Half
    supply: str
    amount: float
    measure: Measure
    is_colourant: bool

    @property
    def text(self) -> str:
        """The amount in a maker's words."""
        return f"{self.amount:g} {self.measure.value} per 100 g"


@dataclass(frozen=True, slots=True, kw_only=True)
class Poured:
    """What is poured, as a plan has it already.

    Parameters
    ----------
    code : str
        Of the run or the plan.
    begun : datetime
        When the run was begun or the plan made, in UTC.
    recipe : Recipe
        The version.
    mould : str
        Its name.
    mould_id : str
        Of the mould's document, whatever it is called now.
    bench : Bench
        That it is poured on.
    blends : dict of Half to str
        Plastisol of each side.
    loaded : tuple of Loaded
        All else in both sides.
    """

    code: str
    begun: datetime
    recipe: Recipe
    mould: str
    mould_id: str
    bench: Bench
    blends: dict[Half, str]
    loaded: tuple[Loaded, ...]

    @property
    def colours(self) -> frozenset[tuple[Half, str]]:
        """Which bottle is in which side, whatever the amounts."""
        return frozenset((e.half, e.supply.casefold()) for e in self.loaded if e.is_colourant)

    @property
    def colour_words(self) -> str:
        """Such as ``Peat (back), Chalk + Rind (belly)``."""
        sides = []
        for half in Half:
            names = [e.supply for e in self.loaded if e.half is half and e.is_colourant]
            if names:
                sides.append(f"{' + '.join(names)} ({half.value})")
        return ", ".join(sides) or "no colour"


def plan_poured(workshop: Workshop, code: str) -> Poured:
    """Return what a plan would pour.

    Raises
    ------
    NotFound
        If there is no such plan.
    """
    kept = workshop.plans.get(code)
    return poured_from(
        workshop.recipes.version(kept.recipe.id).content,
        workshop.moulds.version(kept.mould.id).content,
        workshop.benches.version(kept.bench.id).content,
        workshop.shelves.version(kept.shelf.id).content,
        (kept.code, kept.created_at, kept.mould.document_id),
    )


def poured_from(
    recipe: Recipe, mould: Mould, bench: Bench, shelf: Shelf, known: tuple[str, datetime, str]
) -> Poured:
    """Return what is poured.

    Parameters
    ----------
    recipe, mould, bench, shelf
        The very versions.
    known : tuple of str, datetime and str
        Code of the run or plan, when it was begun or made, and the code of the mould's document.
    """
    code, begun, mould_id = known
    colourants = {each.name.casefold() for each in shelf if isinstance(each, Colourant)}
    return Poured(
        code=code,
        begun=begun,
        recipe=recipe,
        mould=mould.name,
        mould_id=mould_id,
        bench=bench,
        blends={side.half: _blend(side) for side in recipe.sides},
        loaded=tuple(
            Loaded(
                half=side.half, supply=each.supply, amount=each.amount, measure=each.measure,
                is_colourant=each.supply.casefold() in colourants,
            )
            for side in recipe.sides
            for each in side.loadings
        ),
    )  # fmt: skip


def _blend(side: Side) -> str:
    if len(side.blend) == 1:
        return side.blend[0].grade
    return " + ".join(f"{100 * each.share:.3g} % {each.grade}" for each in side.blend)
