"""The demo's files as domain objects, and small recipes made by hand, for tests of all rooms."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from partline.materials.mould import Mould, SectionPoint, SectionShape, Station
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.composition import Composition, compose
from partline.process.optics import SideOptics, side_optics
from partline.process.recipe import GradeShare, Half, Loading, Measure, Recipe, Side, Wanted
from partline.quantities.estimate import Estimate
from partline.records.exchange import read_bench, read_file, read_mould, read_recipe, read_shelf

EXAMPLES = Path(__file__).parents[2] / "examples"
SHED = EXAMPLES / "vessary-shed"
LESSONS = EXAMPLES / "lessons"
LESSON_NAMES = ("green-over-clear", "one-colour", "opaque-pair", "smoke-over-pearl")


def demo_path(version: int) -> Path:
    """File of one version of the demo's recipe."""
    return SHED / "recipes" / f"peat-over-chalk-{version}.toml"


@cache
def demo(version: int) -> Recipe:
    """One version of the demo's recipe."""
    return read_recipe(read_file(demo_path(version)))


@cache
def lesson(name: str) -> Recipe:
    """One of the lessons."""
    return read_recipe(read_file(LESSONS / f"{name}.toml"))


@cache
def mould(name: str = "reed-130") -> Mould:
    """One of the demo's moulds."""
    return read_mould(read_file(SHED / "moulds" / f"{name}.toml"))


@cache
def bench() -> Bench:
    """The demo's bench."""
    return read_bench(read_file(SHED / "bench.toml"))


@cache
def shelf(name: str = "vessary-shed") -> Shelf:
    """The shelf of one folder of examples."""
    return read_shelf(read_file(EXAMPLES / name / "shelf.toml"))


def without_flake(recipe: Recipe) -> Recipe:
    """The recipe as demo.md's slab row has it."""
    sides = tuple(
        replace(side, loadings=tuple(each for each in side.loadings if each.supply != "Penny"))
        for side in recipe.sides
    )
    return replace(recipe, sides=sides)


def drops(supply: str, amount: float) -> Loading:
    """So many drops in every 100 g."""
    return Loading(supply=supply, amount=amount, measure=Measure.DROPS)


def grams(supply: str, amount: float) -> Loading:
    """So many grams in every 100 g."""
    return Loading(supply=supply, amount=amount, measure=Measure.GRAMS)


def side_of(half: Half, *loadings: Loading, grade: str = "soft") -> Side:
    """One side of a single grade."""
    return Side(half=half, blend=(GradeShare(grade=grade, share=1.0),), loadings=loadings)


def two_colours(
    back: tuple[Loading, ...], belly: tuple[Loading, ...], *, wanted: float = 0.9
) -> Recipe:
    """A recipe of two sides."""
    sides = (side_of(Half.BACK, *back), side_of(Half.BELLY, *belly))
    return Recipe(name="by hand", sides=sides, wanted=Wanted(hiding=wanted))


def one_colour(*loadings: Loading) -> Recipe:
    """A recipe of one side."""
    return Recipe(name="by hand", sides=(side_of(Half.WHOLE, *loadings),))


def plastic_of(*loadings: Loading, half: Half = Half.BACK) -> Composition:
    """What stands in a cup of the demo's soft grade."""
    return compose(side_of(half, *loadings), shelf())


def optics_of(recipe: Recipe, stock: Shelf | None = None) -> list[SideOptics]:
    """Every side's optics."""
    return [side_optics(compose(side, stock or shelf())) for side in recipe.sides]


def station(
    width: float,
    back: float,
    belly: float,
    shape: SectionShape = SectionShape.ROUND,
    *,
    name: str = "belly",
    position: float = 0.4,
) -> Station:
    """A station; sizes in mm. An outline is a six-sided one of that size."""
    corners = ((width / 3, back), (width / 2, 0), (width / 4, -belly))
    points = tuple(SectionPoint(across=y * 1e-3, up=z * 1e-3) for y, z in corners)
    return Station(
        name=name,
        position=position,
        width=width * 1e-3,
        back_half=back * 1e-3,
        belly_half=belly * 1e-3,
        shape=shape,
        points=points if shape is SectionShape.OUTLINE else (),
    )


def mould_of(*stations: Station, length: float = 0.1, cavities: int = 2) -> Mould:
    """A mould of these stations."""
    return Mould(
        name="by hand",
        cavities=cavities,
        bait_mass=Estimate.exact(0.010),
        sprue_mass=Estimate.exact(0.005),
        length=length,
        stations=stations,
    )
