"""A bottle measured with one stepped chip: how often its ranges hold, and how near the look comes.

Claim: over 200 seeded bottles the central 80 % ranges of what a maker decides by (how well a half
hides, see-through, back against belly, halves from the side) hold the truth in 80 % of cases or
more, narrower than those of a patch and a hiding reading of the same bottle; the predicted colour
of a chip at another thickness and loading lies within ΔE00 2.5 of the truth in the median.

The true constants are sums of Gaussian bands and logistic edges on a floor, which no member of the
fit's own family is. Chips are solved in 8 directions a hemisphere and read as a photo reads them:
one gain and a veil for the whole photo, noise for each place; the loading counted in drops, steps
poured and not measured, both wrong by as much as such things are. A few are photographed: the same
chips painted on the printed card, photographed by a made-up camera and read by `read_chip`.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parents[1]))

from partline.materials.chip import Chip
from partline.materials.supply import Clarity, Colourant
from partline.physics.colorimetry import xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.process.appearance import chip_colour, sightings
from partline.process.chip_side import chip_side
from partline.process.optics import SideOptics, side_optics
from partline.services.chips import chip_in_photo
from partline.studies.uncertainty import central_range, draw_doubts
from tests.process.bottles import entered, measured, true_optics
from tests.process.shed import drops, plastic_of, station
from tests.process.stepped_chips import read_off, with_chips
from tests.studies.photo_chips import chip_photo

Floats = NDArray[np.floating]

CASES, SEED = 200, 23
FIGURES = ("back_hiding", "back_see_through", "back_belly", "side")


def ranges(bottle: Colourant, amount: float, half: float, other: SideOptics) -> Floats:
    """Return low and high of each figure, shape (figures, 2)."""
    place = [station(2 * half, half, half)]
    sides = [chip_side(bottle, drops=amount), other]
    drawn = draw_doubts(sides, place).and_as_written()
    seen = sightings(sides, place, drawn.factors, members=drawn.members, nodes=4)
    found = []
    for figure in FIGURES:
        samples = getattr(seen, figure)[:, 0]
        low, high = central_range(samples[:-1])
        found.append((min(low, samples[-1]), max(high, samples[-1])))
    return np.array(found)


def truth(bottle: Colourant, amount: float, half: float, other: SideOptics) -> Floats:
    """Return each figure as it is, shape (figures,)."""
    place = [station(2 * half, half, half)]
    seen = sightings([chip_side(bottle, drops=amount), other], place, nodes=4)
    return np.array([getattr(seen, figure)[0, 0] for figure in FIGURES])


def colour(bottle: Colourant, amount: float, thickness: float, card: float) -> Floats:
    """Return CIELAB of a chip, shape (3,)."""
    side = chip_side(bottle, drops=amount)
    return xyz_to_lab(chip_colour(side, np.array([thickness]), backing=card))[0]


def photographed(cases: int, other: SideOptics) -> tuple[Floats, Floats]:
    """Return how often each figure holds, and ΔE00 elsewhere, of chips that were photographed."""
    rng, kinds = np.random.default_rng(SEED + 1), (Clarity.CLEAR, Clarity.OPAQUE, Clarity.PEARL)
    held, off = [], []
    for case in range(cases):
        clarity = kinds[case % len(kinds)]
        true = measured(true_optics(rng, clarity), clarity)
        chip = chip_in_photo(chip_photo(true, case), {"loading": "3 drops"})
        read = with_chips(true, chip)
        amount, half = float(rng.choice([1.5, 3, 6])), float(rng.choice([1.5, 4]))
        is_so = truth(true, amount, half, other)
        found = ranges(read, amount, half, other)
        held.append((found[:, 0] - 1e-9 <= is_so) & (is_so <= found[:, 1] + 1e-9))
        here, there = (colour(each, amount, half * 1e-3, 0.85) for each in (read, true))
        off.append(float(ciede2000(here[None], there[None])[0]))
    return np.mean(held, axis=0), np.array(off)


def main() -> None:
    """Print coverage, widths and differences."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=CASES)
    parser.add_argument("--photos", type=int, default=9)
    asked = parser.parse_args()
    rng, kinds = np.random.default_rng(SEED), tuple(Clarity)
    pale = side_optics(plastic_of(drops("Chalk", 5)))
    pale = type(pale)(
        names=pale.names, members=pale.members, spread=np.zeros_like(pale.spread), index=pale.index
    )
    hits: dict[str, list[NDArray[np.bool_]]] = {"chip": [], "patch": []}
    widths: dict[str, list[Floats]] = {"chip": [], "patch": []}
    off: dict[str, list[float]] = {"chip": [], "patch": []}
    kind_of, seconds = [], []
    for case in range(asked.cases):
        clarity = kinds[case % len(kinds)]
        true = measured(true_optics(rng, clarity), clarity)
        loading = float(rng.choice([2, 3, 4, 6]))
        chip = read_off(true, rng, drops=loading, is_callipered=bool(case % 2))
        patch = Chip(drops=loading, thickness=2e-3)
        bottles = {"chip": with_chips(true, chip), "patch": entered(true, patch)}
        amount = loading * float(rng.choice([0.5, 1, 2, 4]))
        half = float(rng.choice([0.7, 1.5, 4, 6]))
        card = float(rng.choice([0.85, 0.04]))
        is_so, there = truth(true, amount, half, pale), colour(true, amount, half * 1e-3, card)
        for name, bottle in bottles.items():
            begun = time.perf_counter()
            found = ranges(bottle, amount, half, pale)
            if name == "chip":
                seconds.append(time.perf_counter() - begun)
            hits[name].append((found[:, 0] - 1e-9 <= is_so) & (is_so <= found[:, 1] + 1e-9))
            widths[name].append(found[:, 1] - found[:, 0])
            here = colour(bottle, amount, half * 1e-3, card)
            off[name].append(float(ciede2000(here[None], there[None])[0]))
        kind_of.append(clarity.value)
    for name in hits:
        rate, width = np.mean(hits[name], axis=0), np.median(widths[name], axis=0)
        print(f"{name}: colour elsewhere ΔE00 {np.median(off[name]):.2f} in the median, "
              f"{np.percentile(off[name], 90):.2f} at the 90th percentile")  # fmt: skip
        for figure, held, wide in zip(FIGURES, rate, width, strict=True):
            print(f"  {figure}: held in {held:.1%} of {asked.cases}, median width {wide:.3g}")
    for kind in kinds:
        rows = [place for place, each in enumerate(kind_of) if each == kind.value]
        print(f"  chip of {kind.value}: held {np.mean(np.array(hits['chip'])[rows]):.1%}, "
              f"ΔE00 {np.median(np.array(off['chip'])[rows]):.2f}")  # fmt: skip
    print(f"fit and ranges of a chip: {np.median(seconds):.2f} s")
    if asked.photos:
        rates, off_photo = photographed(asked.photos, pale)
        print(f"{asked.photos} photographed: ΔE00 {np.median(off_photo):.2f} in the median, "
              f"{off_photo.max():.2f} at most; held {rates.mean():.0%}")  # fmt: skip


if __name__ == "__main__":
    main()
