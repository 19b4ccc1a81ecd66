"""How many flakes a side holds and shows, how deep, and whether they get through the gate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from partline.errors import OutOfRange
from partline.materials.mould import Mould
from partline.materials.supply import Flake, FlakeShape
from partline.physics.colorimetry import WEIGHTS
from partline.physics.flake import (
    Plate,
    bar,
    covered_share,
    flakes_shown,
    hexagon,
    mean_shadow,
    square,
)
from partline.process.composition import Composition
from partline.process.optics import SideOptics
from partline.process.recipe import Half
from partline.process.supply_doubt import film_doubt
from partline.quantities.estimate import Estimate, Origin, propagate
from partline.quantities.note import Note

#: Width over length of a bar, where nobody has told it.
BAR_RATIO = Estimate(
    value=0.2, low=0.1, high=0.35, origin=Origin.DEFAULT,
    source="a bar's width: a guess", narrows="a bar under a magnifier beside a ruler",
)  # fmt: skip
#: Share of its light that a flake must bring through the plastic, there and back, to be told from
#: it. [-]
SEEN = Estimate(
    value=0.1, low=0.03, high=0.3, origin=Origin.DEFAULT,
    source="how far a flake may fade and still be seen: a guess",
    narrows="a thin and a thick chip with flake, side by side",
)  # fmt: skip
#: Flakes larger than this share of the gate's smallest width may clog it (common practice, no
#: source). [-]
GATE_SHARE = 1.0 / 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FlakeCount:
    """One flake in one side.

    Parameters
    ----------
    flake_mass : Estimate
        Of one. [kg]
    face : Estimate
        Area of one face. [m²]
    number : Estimate
        In the plastic. [1/m³]
    extinction : Estimate
        What they shade together, edges counted. [1/m]
    shown : Estimate
        On the skin, down to the depth asked about, less those that others hide. [1/m²]
    covered : Estimate
        Share of the skin that they fill by themselves, down to that depth. [-]
    """

    flake_mass: Estimate
    face: Estimate
    number: Estimate
    extinction: Estimate
    shown: Estimate
    covered: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class FlakesInSide:
    """One flake in one side of a bait, with all that is told of it.

    Parameters
    ----------
    half : Half
        The side.
    name : str
        Of the supply.
    count : FlakeCount
        How many, seen from that side where it is thickest.
    depth : Estimate
        How deep one sees flakes there, at most the half's thickness. [m]
    notes : tuple of Note
        Whether it gets through the gate.
    """

    half: Half
    name: str
    count: FlakeCount
    depth: Estimate
    notes: tuple[Note, ...] = ()


def face_of(flake: Flake, ratio: float = BAR_RATIO.value) -> Plate:
    """Return the face of a flake.

    Parameters
    ----------
    flake : Flake
        From the shelf.
    ratio : float
        Width over length, for a bar. [-]

    Raises
    ------
    OutOfRange
        If it has no size.
    """
    match flake.shape:
        case FlakeShape.HEXAGON:
            return hexagon(flake.size)
        case FlakeShape.SQUARE:
            return square(flake.size)
        case FlakeShape.BAR:
            return bar(flake.size, ratio)


def count_flakes(
    flake: Flake, share: float, density: float, depth: float | Estimate
) -> FlakeCount:
    """Return how many flakes of a kind are in a plastic, and how many show.

    Parameters
    ----------
    flake : Flake
        From the shelf.
    share : float
        Of the mass of the plastic. [-]
    density : float
        Of the plastic, cold. [kg/m³]
    depth : float or Estimate
        How deep one sees into it, at most the half's thickness. [m]

    Raises
    ------
    OutOfRange
        If the share lies outside 0 to 1, or a depth, film or size is impossible.
    """
    deep = depth if isinstance(depth, Estimate) else Estimate.exact(depth)
    if not (0 <= share <= 1 and deep.value >= 0 and flake.thickness > 0):
        raise OutOfRange(
            f"A share of {share:g} of {flake.name}, seen {deep.value * 1e3:g} mm deep, was given; "
            "the share lies in 0 to 1, the depth is 0 or more, and the film has a thickness.",
            low=0.0, high=1.0, field="share",
        )  # fmt: skip
    inputs = (flake.density, film_doubt(flake), _ratio(flake), deep)

    def told(what: str, law: str) -> Estimate:
        def one(own_density: float, film: float, ratio: float, seen: float) -> float:
            plate, thick = face_of(flake, ratio), film * flake.thickness
            return _figures(plate, thick, own_density, share * density, seen)[what]

        return propagate(one, inputs, source=law)

    return FlakeCount(
        flake_mass=told("flake_mass", "area × film × density"),
        face=told("face", "its outline"),
        number=told("number", "volume share over the volume of one"),
        extinction=told("extinction", "number × a quarter of its surface (Cauchy)"),
        shown=told("shown", "those that no other flake hides"),
        covered=told("covered", "plates strewn at random"),
    )


def _ratio(flake: Flake) -> Estimate:
    return BAR_RATIO if flake.shape is FlakeShape.BAR else Estimate.exact(1.0)


def _figures(
    plate: Plate, film: float, own_density: float, loading: float, depth: float
) -> dict[str, float]:
    """Return the figures by name, from the mass of flake in a cubic metre. SI."""
    flake_mass = plate.area * film * own_density
    number = loading / flake_mass
    extinction = number * float(mean_shadow(plate.area, plate.perimeter, film))
    return {
        "flake_mass": flake_mass,
        "face": plate.area,
        "number": number,
        "extinction": extinction,
        "shown": float(flakes_shown(number, extinction, depth)),
        "covered": float(covered_share(extinction, depth)),
    }


def seen_depth(side: SideOptics, plastic: Composition, thickness: float) -> Estimate:
    """Return how deep flakes can be seen in a side, the other flakes left out. [m]

    Parameters
    ----------
    side : SideOptics
        Of the side.
    plastic : Composition
        The same side's supplies.
    thickness : float
        Of the half: one sees no deeper. [m]

    Raises
    ------
    OutOfRange
        If the thickness is negative.
    """
    if not thickness >= 0:
        raise OutOfRange(
            f"A half of {thickness * 1e3:g} mm was given; it must be 0 or more.",
            low=0.0, unit="m", field="thickness",
        )  # fmt: skip
    flakes = {part.supply.name for part in plastic.loadings if isinstance(part.supply, Flake)}
    clear = np.array([name not in flakes for name in side.names])
    forward = 1 - side.anisotropy[:, None]
    dims = (side.absorption + side.scattering * forward)[clear].sum(axis=0)

    def depth(least: float) -> float:
        def left(deep: float) -> float:
            return float(WEIGHTS[:, 1] @ np.exp(-2 * dims * deep)) - least

        return thickness if left(thickness) > 0 else float(brentq(left, 0.0, thickness))

    return propagate(depth, [SEEN], source="light that comes back through the plastic")


def flakes_in_side(
    half: Half, plastic: Composition, side: SideOptics, thickness: float, mould: Mould
) -> tuple[FlakesInSide, ...]:
    """Return what there is to tell of every flake in a side.

    Parameters
    ----------
    half : Half
        The side.
    plastic : Composition
        Its supplies.
    side : SideOptics
        Its optics.
    thickness : float
        Of the half where it is thickest. [m]
    mould : Mould
        For its gate.

    Raises
    ------
    OutOfRange
        If a thickness, film or size is impossible.
    """
    depth = seen_depth(side, plastic, thickness)
    density = plastic.density.value
    return tuple(
        FlakesInSide(
            half=half,
            name=part.supply.name,
            count=count_flakes(part.supply, part.share, density, depth),
            depth=depth,
            notes=gate_notes(part.supply, mould),
        )
        for part in plastic.loadings
        if isinstance(part.supply, Flake)
    )


def gate_notes(flake: Flake, mould: Mould) -> tuple[Note, ...]:
    """Return a note where a flake is large for the mould's gate.

    Parameters
    ----------
    flake : Flake
        From the shelf.
    mould : Mould
        Without a gate's width, nothing can be said and nothing is.
    """
    if mould.gate is None or flake.size <= GATE_SHARE * mould.gate:
        return ()
    size, gate = f"{flake.size * 1e3:.3g} mm", f"{mould.gate * 1e3:.3g} mm"
    text = (
        f"{flake.name} is {size} across and the gate {gate}: it will hardly go through. Take a "
        "finer flake or open the gate."
        if flake.size >= mould.gate
        else f"{flake.name} is {size} across and the gate {gate}: more than a third of it, so it "
        "may clog. Take a finer flake, or less of it."
    )
    return (Note(text=text, about=flake.name, origin=Origin.PRACTICE),)
