"""Random recipes, moulds and benches that can all be poured, for properties of amounts."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from partline.materials.mould import Mould, Station
from partline.process.bench import Bench, Syringes, Vessel
from partline.process.recipe import GradeShare, Half, Loading, Measure, Recipe, Side
from partline.quantities.estimate import Estimate
from tests.process.shed import station

COLOURANTS = ("Peat", "Chalk", "Rind", "Soot")
POWDERS = ("Penny", "Moss", "Ink", "fine salt")


@dataclass(frozen=True)
class Pour:
    """What `plan_amounts` is asked."""

    recipe: Recipe
    mould: Mould
    bench: Bench
    good: int


@st.composite
def sides(draw: st.DrawFn, half: Half) -> Side:
    """One side: a grade or a blend, up to three bottles and two jars."""
    share = draw(st.sampled_from([1.0, 0.25, 0.5, 0.7]))
    blend: tuple[GradeShare, ...] = (GradeShare(grade="soft", share=share),)
    if share < 1:
        blend = (*blend, GradeShare(grade="medium", share=1 - share))
    bottles = draw(st.lists(st.sampled_from(COLOURANTS), max_size=3, unique=True))
    jars = draw(st.lists(st.sampled_from(POWDERS), max_size=2, unique=True))
    loadings = [
        Loading(supply=name, amount=draw(st.floats(0, 60)), measure=Measure.DROPS)
        for name in bottles
    ] + [
        Loading(supply=name, amount=draw(st.floats(0, 12)), measure=Measure.GRAMS) for name in jars
    ]
    return Side(half=half, blend=blend, loadings=tuple(loadings))


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    """A recipe of one or two sides."""
    halves = draw(st.sampled_from([(Half.WHOLE,), (Half.BACK, Half.BELLY)]))
    return Recipe(name="random", sides=tuple(draw(sides(half)) for half in halves))


def _mass(low: float, high: float) -> st.SearchStrategy[Estimate]:
    return st.floats(low, high).map(lambda grams: Estimate.exact(grams * 1e-3))


@st.composite
def moulds(draw: st.DrawFn) -> Mould:
    """A mould whose bait is weighed, or weighed in a known plastic, or measured by volume."""
    kind = draw(st.sampled_from(["weighed", "weighed in", "volume"]))
    widest: Station = station(12, 6, 6)
    return Mould(
        name="random",
        cavities=draw(st.integers(1, 12)),
        bait_mass=None if kind == "volume" else draw(_mass(0.5, 30)),
        bait_volume=Estimate.exact(draw(st.floats(0.5e-6, 30e-6))) if kind == "volume" else None,
        weighed_density=draw(st.floats(950, 1200)) if kind == "weighed in" else None,
        sprue_mass=draw(_mass(0, 30)),
        length=0.1,
        stations=(widest,),
    )


@st.composite
def benches(draw: st.DrawFn) -> Bench:
    """A bench whose cup and syringes are large enough for one shot of any of these moulds."""
    return Bench(
        name="random",
        room=295.15,
        vessel=Vessel(
            capacity=draw(st.floats(1.5e-3, 5e-3)),
            fill_limit=draw(st.floats(0.5, 0.9)),
            film=draw(_mass(0, 10)),
        ),
        syringes=Syringes(
            capacity=2.5e-3,
            usable_share=0.9,
            heel=draw(_mass(0, 3)),
            shots_per_draw=draw(st.integers(1, 3)),
        ),
        block_loss=draw(_mass(0, 5)),
        reject_share=draw(st.floats(0, 0.6)),
    )


pours = st.builds(
    Pour, recipe=recipes(), mould=moulds(), bench=benches(), good=st.integers(1, 400)
)
