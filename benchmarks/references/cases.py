"""Bodies and pairs of media of our own that the path-traced references show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Mould, OutlinePoint, SectionShape, Station
from partline.materials.shelf import Shelf
from partline.physics.response.body import Body
from partline.process.bait_body import bait_body
from partline.process.composition import compose
from partline.process.optics import SideOptics, Spectra, side_optics
from partline.process.recipe import GradeShare, Half, Loading, Measure, Recipe, Side
from partline.quantities.estimate import Estimate, Origin
from partline.records.exchange import read_file, read_recipe, read_shelf

Floats = NDArray[np.floating]

EXAMPLES = Path(__file__).parents[2] / "examples"
CACHED = Path(__file__).parent / "cached"
#: What the recipes did to light.
MEDIA = CACHED / "media.npz"

#: Refractive index of the plastic, against air. [-]
INDEX = 1.52
#: Radiance from the eye's half space and from the one behind. [-]
LIGHTS = (1.0, 0.4)
#: Direction from the body towards the eye, x from nose to tail and z up to the back.
EYES = {"back": (0.0, 0.0, 1.0), "side": (0.0, 1.0, 0.0), "belly": (0.0, 0.0, -1.0)}


def _mould(
    name: str,
    length: float,
    shape: SectionShape,
    sizes: list[tuple[float, float, float, float]],
    outline: tuple[OutlinePoint, ...] = (),
) -> Mould:
    """Return a mould from rows of position [-], width, back half, belly half [mm]."""
    stations = tuple(
        Station(
            name=f"station {i + 1}",
            position=position,
            width=1e-3 * width,
            back_half=1e-3 * back,
            belly_half=1e-3 * belly,
            shape=shape,
        )
        for i, (position, width, back, belly) in enumerate(sizes)
    )
    return Mould(
        name=name,
        cavities=1,
        sprue_mass=Estimate(value=5e-3, low=5e-3, high=5e-3, origin=Origin.ENTERED),
        length=1e-3 * length,
        stations=stations,
        outline=outline,
    )


def _lathed() -> Mould:
    rows = [(0, 0), (0.02, 6.6), (0.06, 10.2), (0.12, 12), (0.55, 12), (0.75, 8.6), (1, 3)]
    outline = tuple(OutlinePoint(position=p, diameter=1e-3 * d) for p, d in rows)
    sizes = [(p, d, d / 2, d / 2) for p, d in rows[1:]]
    return _mould("lathed-100", 100, SectionShape.ROUND, sizes, outline)


MOULDS = {
    mould.name: mould
    for mould in (
        _lathed(),
        _mould("elliptic-75", 75, SectionShape.ELLIPTIC, [
            (0.06, 5.6, 2.05, 2.05), (0.22, 9.6, 3.5, 3.5), (0.42, 11, 4, 4), (0.58, 11, 4, 4),
            (0.8, 7.7, 2.8, 2.8), (1, 2.2, 0.8, 0.8),
        ]),
        _mould("flat-90", 90, SectionShape.FLAT_BOTTOMED, [
            (0.05, 7, 2.8, 2.4), (0.18, 11.4, 4.8, 4), (0.6, 11.4, 4.8, 4), (1, 4, 1.6, 1.5),
        ]),
        _mould("slim-110", 110, SectionShape.ELLIPTIC, [
            (0.04, 5, 1.4, 2.6), (0.15, 8, 2.3, 4.4), (0.4, 8, 2.3, 4.4), (0.65, 4.2, 1.2, 2.3),
            (1, 1.6, 0.5, 0.9),
        ]),
        _mould("stubby-60", 60, SectionShape.ELLIPTIC, [
            (0.1, 17, 7, 7.5), (0.35, 25, 10.5, 11.5), (0.55, 25, 10.5, 11.5),
            (0.85, 15, 6.2, 6.8), (1, 5, 2, 2.2),
        ]),
    )
}  # fmt: skip


def _by_hand(name: str, back: dict[str, float], belly: dict[str, float]) -> Recipe:
    """Return a recipe of drops in every 100 g of the shed's soft grade."""
    sides = tuple(
        Side(
            half=half,
            blend=(GradeShare(grade="soft", share=1.0),),
            loadings=tuple(
                Loading(supply=supply, amount=amount, measure=Measure.DROPS)
                for supply, amount in drops.items()
            ),
        )
        for half, drops in ((Half.BACK, back), (Half.BELLY, belly))
    )
    return Recipe(name=name, sides=sides)


@cache
def _shelf(folder: str) -> Shelf:
    return read_shelf(read_file(EXAMPLES / folder / "shelf.toml"))


#: Recipes and the folder whose shelf they are poured from.
RECIPES = {
    "peat-over-chalk": "vessary-shed",
    "opaque-pair": "lessons",
    "green-over-clear": "lessons",
    "smoke-over-pearl": "lessons",
    "white-over-dark": "vessary-shed",
}


def poured(name: str) -> tuple[SideOptics, SideOptics]:
    """Return what both sides of one of `RECIPES` do to light by the examples' shelves today."""
    folder = RECIPES[name]
    match name:
        case "peat-over-chalk":
            recipe = read_recipe(read_file(EXAMPLES / folder / "recipes/peat-over-chalk-1.toml"))
        case "white-over-dark":
            recipe = _by_hand(name, {"Chalk": 10}, {"Soot": 2, "Peat": 4})
        case _:
            recipe = read_recipe(read_file(EXAMPLES / folder / f"{name}.toml"))
    back, belly = (side_optics(compose(side, _shelf(folder))) for side in recipe.sides)
    return back, belly


def freeze() -> None:
    """Keep what the recipes do to light, so that the references outlive a change of the shelf."""
    kept: dict[str, Floats] = {}
    for name in RECIPES:
        for half, side in zip(Half, poured(name), strict=False):
            key = f"{name}/{half}"
            kept |= {
                f"{key}/names": np.array(side.names),
                f"{key}/absorption": side.absorption,
                f"{key}/scattering": side.scattering,
                f"{key}/anisotropy": side.anisotropy,
            }
    np.savez_compressed(MEDIA, **kept)


@cache
def recipe_sides(name: str, index: float = INDEX) -> tuple[SideOptics, SideOptics]:
    """Return what both sides of one of `RECIPES` did to light when the references were made."""
    with np.load(MEDIA) as kept:
        back, belly = (_kept_side(kept, f"{name}/{half}", index) for half in ("back", "belly"))
    return back, belly


def _kept_side(kept: Mapping[str, Floats], key: str, index: float) -> SideOptics:
    parts = zip(
        kept[f"{key}/absorption"],
        kept[f"{key}/scattering"],
        kept[f"{key}/anisotropy"],
        strict=True,
    )
    members = tuple(Spectra(a[None], s[None], np.array([g])) for a, s, g in parts)
    return SideOptics(
        names=tuple(str(each) for each in kept[f"{key}/names"]),
        members=members,
        spread=np.zeros(len(members)),
        index=index,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Medium:
    """One side's plastic, with its scattering as a mixture of Henyey-Greenstein lobes.

    Parameters
    ----------
    absorption : ndarray, shape (wavelengths,)
        [1/m]
    lobes : ndarray, shape (parts, wavelengths)
        Scattering of each lobe. [1/m]
    anisotropy : ndarray, shape (parts, wavelengths)
        Mean cosine of each lobe. [-]
    """

    absorption: Floats
    lobes: Floats
    anisotropy: Floats

    @property
    def scattering(self) -> Floats:
        """Of all lobes, shape (wavelengths,). [1/m]"""
        return self.lobes.sum(axis=0)


def medium_of(side: SideOptics, *, mixed: bool) -> Medium:
    """Return a side's plastic, its lobes apart or as one lobe of their mean cosine."""
    lobes = side.scattering
    anisotropy = np.broadcast_to(side.anisotropy[:, None], lobes.shape)
    if mixed:
        used = lobes.max(axis=1) > 0
        lobes, anisotropy = lobes[used], anisotropy[used]
    else:
        total = lobes.sum(axis=0, keepdims=True)
        anisotropy = (lobes * anisotropy).sum(axis=0, keepdims=True) / total
        lobes = total
    return Medium(absorption=side.absorption.sum(axis=0), lobes=lobes, anisotropy=anisotropy)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One body of one recipe.

    Parameters
    ----------
    mould : str
        Of `MOULDS`.
    recipe : str
        Of `RECIPES`.
    across : float
        Side of a pixel across the body. [m]
    seed : int
        Start of the case's random numbers.
    effort : float
        Collisions that it takes for the noise wanted, beside the other cases. [-]
    index : float
        Refractive index of the plastic, against air. [-]
    mixed : bool
        Whether every part scatters with its own lobe, not all with their mean cosine.
    """

    mould: str
    recipe: str
    seed: int
    across: float = 1.1e-3
    effort: float = 1.0
    index: float = INDEX
    mixed: bool = False

    @property
    def name(self) -> str:
        """Of the case and of its file."""
        marks = [self.mould, self.recipe]
        if self.mixed:
            marks.append("mixed")
        if self.index != INDEX:
            marks.append(f"n{self.index:g}")
        return "--".join(marks)

    @property
    def body(self) -> Body:
        """The shape."""
        return bait_body(MOULDS[self.mould])

    @property
    def sides(self) -> tuple[SideOptics, SideOptics]:
        """Back and belly, as a renderer takes them, with the index that was traced."""
        return recipe_sides(self.recipe, self.index)

    @property
    def media(self) -> tuple[Medium, Medium]:
        """Plastic above and below the line."""
        back, belly = self.sides
        return medium_of(back, mixed=self.mixed), medium_of(belly, mixed=self.mixed)

    @property
    def path(self) -> Path:
        """Where the reference is kept."""
        return CACHED / f"{self.name}.npz"


CASES = {
    case.name: case
    for case in (
        Case(mould="lathed-100", recipe="peat-over-chalk", seed=101, effort=1.8),
        Case(mould="lathed-100", recipe="opaque-pair", seed=102, effort=1.2),
        Case(mould="lathed-100", recipe="green-over-clear", seed=103),
        Case(mould="elliptic-75", recipe="smoke-over-pearl", seed=201, across=0.8e-3),
        Case(mould="elliptic-75", recipe="white-over-dark", seed=202, effort=0.8, across=0.8e-3),
        Case(mould="flat-90", recipe="peat-over-chalk", seed=301, across=0.9e-3),
        Case(mould="flat-90", recipe="opaque-pair", seed=302, effort=0.8, across=0.9e-3),
        Case(mould="slim-110", recipe="green-over-clear", seed=401, effort=0.25, across=0.75e-3),
        Case(mould="slim-110", recipe="white-over-dark", seed=402, effort=0.7, across=0.75e-3),
        Case(mould="stubby-60", recipe="peat-over-chalk", seed=501, across=2e-3),
        Case(
            mould="elliptic-75",
            recipe="smoke-over-pearl",
            seed=203,
            effort=0.35,
            across=0.8e-3,
            mixed=True,
        ),
    )
}
