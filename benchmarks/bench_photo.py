"""Photos on the printed card: how far what is read lies from what was drawn, and what is refused.

Claim: for the photos that are accepted, contrast within ΔE00 2 and the line's width within 0.3 mm
at the 90th percentile; at least 95 % of glared, blurred, clipped or tilted photos refused, and no
more than 5 % of good ones. The photos are made by `tests/studies/photo_scene.py`: our own PDF of
the card and our own renderer's baits, or painted slices, seen through perspective, a lens's bend,
blur, noise, a tone curve, vignetting, uneven light, a wrong white balance, print errors and JPEG.
Nothing of the reader takes part in making them; the seed gives the photo.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parents[1]))

from partline.physics.colorimetry import RGB_TO_XYZ, xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.services.photo_measure import PLACES, Subject, measure_photo
from partline.studies.photo import BaitMeasure, PhotoRefused, Reason
from tests.studies.photo_baits import Baits, any_baits
from tests.studies.photo_scene import Slice, any_camera, any_slice, blank, spoiled, take

SIZE = (2600, 1950)
#: How many photos of each kind, for every 100 asked for.
GOOD = ((Subject.SLICE, 36), (Subject.SPRUE, 12), (Subject.BAIT, 12))
BAD = (("glare", 13), ("blur", 9), ("clipping", 9), ("tilt", 9))


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One photo: what was read less what was drawn, or why it was refused."""

    seed: int
    subject: Subject
    spoiled: str
    refused: Reason | None = None
    contrast: float = np.nan  # [ΔE00]
    line: float = np.nan  # [mm]
    depth: float = np.nan  # [share of the height]
    tilt: float = np.nan  # [degrees]
    height: float = np.nan  # [mm]
    covered: tuple[bool, ...] = ()
    seconds: float = np.nan


def lab(rgb: NDArray[np.floating]) -> NDArray[np.floating]:
    """CIELAB of linear sRGB."""
    return xyz_to_lab(rgb @ RGB_TO_XYZ.T, RGB_TO_XYZ.sum(axis=1))


def shot(seed: int, subject: Subject, how: str) -> Outcome:
    """Draw, photograph and measure."""
    rng = np.random.default_rng([seed, 6])
    camera = any_camera(rng, SIZE)
    thing = any_baits(rng) if subject is Subject.BAIT else any_slice(rng, PLACES[subject][0])
    if how:
        pockets = PLACES[subject]
        camera = spoiled(camera, how, pockets[int(rng.integers(len(pockets)))], rng)
    content = take(thing.lay(blank(camera.ink)), camera, rng)
    begun = time.perf_counter()
    try:
        measured = measure_photo(content, subject)
    except PhotoRefused as refusal:
        return Outcome(seed=seed, subject=subject, spoiled=how, refused=refusal.reason)
    seconds = time.perf_counter() - begun
    if isinstance(measured, BaitMeasure):
        assert isinstance(thing, Baits)
        read = measured.back_belly
        return Outcome(
            seed=seed, subject=subject, spoiled=how, contrast=read.value - thing.difference,
            covered=(read.low <= thing.difference <= read.high,), seconds=seconds,
        )  # fmt: skip
    assert isinstance(thing, Slice)
    true = float(ciede2000(lab(thing.back), lab(thing.belly)))
    pairs = (
        (measured.halves, true), (measured.line, thing.line), (measured.back_share, thing.depth),
        (measured.tilt, thing.tilt), (measured.height, thing.height),
    )  # fmt: skip
    contrast, line, depth, tilt, height = (read.value - drawn for read, drawn in pairs)
    return Outcome(
        seed=seed, subject=subject, spoiled=how, contrast=contrast, line=line * 1e3, depth=depth,
        tilt=float(np.degrees(tilt)), height=height * 1e3, seconds=seconds,
        covered=tuple(read.low <= drawn <= read.high for read, drawn in pairs),
    )  # fmt: skip


def planned(count: int) -> Iterator[tuple[Subject, str]]:
    """Give what to photograph, and how each is spoiled, if at all."""
    for subject, share in GOOD:
        for _ in range(round(share * count / 100)):
            yield subject, ""
    for how, share in BAD:
        for number in range(round(share * count / 100)):
            yield tuple(Subject)[number % 3], how


def tell(outcomes: list[Outcome]) -> None:
    """Print the table."""
    good = [each for each in outcomes if not each.spoiled]
    taken = [each for each in good if each.refused is None]
    print(f"good photos: {len(good)}, refused {len(good) - len(taken)} "
          f"({(1 - len(taken) / len(good)) * 100:.1f} %, goal at most 5 %)")  # fmt: skip
    print("  refused for:", dict(Counter(each.refused.value for each in good if each.refused)))
    print("accepted          median   90th percentile   goal")
    for name, unit, goal in (
        ("contrast", "ΔE00", "2"), ("line", "mm", "0.3"), ("depth", "of height", ""),
        ("tilt", "°", ""), ("height", "mm", ""),
    ):  # fmt: skip
        off = np.abs([getattr(each, name) for each in taken])
        off = off[np.isfinite(off)]
        print(f"  {name:<9}{unit:<9}{np.median(off):8.3f}{np.quantile(off, 0.9):12.3f}{goal:>13}")
    slices = np.array([each.covered for each in taken if len(each.covered) == 5]).mean(axis=0)
    baits = np.mean([each.covered[0] for each in taken if len(each.covered) == 1])
    names = ("contrast", "line", "depth", "tilt", "height")
    pairs = zip(names, slices, strict=True)
    held = ", ".join(f"{name} {share * 100:.0f} %" for name, share in pairs)
    print(f"ranges (80 %) hold the drawn value: {held}; baits' contrast {baits * 100:.0f} %")
    print(f"a photo of {SIZE[0]} × {SIZE[1]}: {np.median([e.seconds for e in taken]):.2f} s")
    for how, _ in BAD:
        bad = [each for each in outcomes if each.spoiled == how]
        said = Counter(each.refused.value for each in bad if each.refused)
        refused = sum(said.values())
        print(f"{how}: {refused} of {len(bad)} refused ({refused / len(bad) * 100:.0f} %, "
              f"goal at least 95 %), as {dict(said)}")  # fmt: skip
    spoilt = [each for each in outcomes if each.spoiled]
    share = np.mean([each.refused is not None for each in spoilt])
    for each in spoilt:
        if each.refused is None:
            print(f"  accepted: {each.spoiled} {each.subject.value}, seed {each.seed}, contrast "
                  f"off by {each.contrast:+.2f}, line by {each.line:+.2f} mm")  # fmt: skip
    print(f"all spoiled: {share * 100:.1f} % of {len(spoilt)} refused")


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--photos", type=int, default=260)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    outcomes = []
    for number, (subject, how) in enumerate(planned(asked.photos)):
        outcomes.append(shot(asked.seed + number, subject, how))
        if sys.stderr.isatty():
            print(f"\r{number + 1}", end="", file=sys.stderr)
    tell(outcomes)


if __name__ == "__main__":
    main()
