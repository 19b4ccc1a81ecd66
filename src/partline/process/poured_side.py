"""One side of a pour: its plastic, and what each of its parts takes of it."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from partline.errors import OutOfRange
from partline.materials.mould import Mould
from partline.process.bench import Bench
from partline.process.composition import Composition
from partline.process.recipe import Half
from partline.quantities.estimate import Estimate, propagate

#: A pair of equal syringes, coupled, pushes equal volumes whatever the mould. [-]
EQUAL_PUSH = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class PouredSide:
    """One side's plastic, and what a shot takes of it.

    Parameters
    ----------
    half : Half
        Which side.
    plastic : Composition
        What it is made of.
    bait, sprue, block : Estimate
        Its part of all cavities, of sprue and runner, and of the block's loss, a shot. [kg]
    heel : Estimate
        Left in its syringe a draw. [kg]
    film : Estimate
        Left in its cup a melt. [kg]
    shots_per_draw : int
        Shots from one filling of the syringe.
    """

    half: Half
    plastic: Composition
    bait: Estimate
    sprue: Estimate
    block: Estimate
    heel: Estimate
    film: Estimate
    shots_per_draw: int

    @property
    def shot(self) -> float:
        """What is pushed in one shot. [kg]"""
        return self.bait.value + self.sprue.value + self.block.value

    def draws(self, shots: int) -> int:
        """Return how often the syringe is filled for so many shots."""
        return ceil(shots / self.shots_per_draw)

    def cup(self, shots: int) -> Estimate:
        """Return what a cup needs for so many shots. [kg]"""
        draws = self.draws(shots)
        return propagate(
            lambda bait, sprue, block, heel, film: (
                (bait + sprue + block) * shots + heel * draws + film
            ),
            [self.bait, self.sprue, self.block, self.heel, self.film],
            source="shots × (baits + sprue + block) + draws × heel + film",
        )

    def hot_volume(self, mass: float) -> float:
        """Return the volume [m³] of a mass [kg] at the hot end of the working band."""
        return mass / self.plastic.hot_density(self.plastic.hottest_working)


def cold_bait_mass(mould: Mould, density: Estimate) -> Estimate:
    """Return the mass of one cold bait in plastic of this density. [kg]"""
    if mould.bait_volume is not None:
        return propagate(
            lambda v, rho: v * rho, [mould.bait_volume, density], source="volume × cold density"
        )
    if mould.bait_mass is None:
        raise OutOfRange(f"Mould {mould.name} has neither a bait mass nor a bait volume.")
    if mould.weighed_density is None:
        return mould.bait_mass
    weighed = mould.weighed_density
    return propagate(
        lambda m, rho: m * rho / weighed,
        [mould.bait_mass, density],
        source="weighed mass, for this plastic's density",
    )


def _sprue_mass(mould: Mould, density: Estimate) -> Estimate:
    scale = density.value / mould.weighed_density if mould.weighed_density else 1.0
    return mould.sprue_mass.map(lambda mass: mass * scale)


def poured_side(
    half: Half, plastic: Composition, mould: Mould, bench: Bench, part: float
) -> PouredSide:
    """Return a side that fills `part` [-] of every shot."""
    baits = part * mould.cavities
    return PouredSide(
        half=half,
        plastic=plastic,
        bait=cold_bait_mass(mould, plastic.density).map(lambda mass: baits * mass),
        sprue=_sprue_mass(mould, plastic.density).map(lambda mass: part * mass),
        block=bench.block_loss.map(lambda mass: part * mass),
        heel=bench.syringes.heel,
        film=bench.vessel.film,
        shots_per_draw=bench.syringes.shots_per_draw,
    )
