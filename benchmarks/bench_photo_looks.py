"""What photos say of a look: how often they answer, how often rightly, and when creep is seen.

Claim: of drawn sprue slices with lines from 0.3 to 2.6 mm, at least 95 % of the answers “crisp” or
“not crisp” are right, and no more than one in seven photos is left to the eye; of pairs of photos
of one unchanged slice no more than 10 % are called a move (5 % are meant), and of pairs whose line
grew by 0.8 mm at least 95 % are. The photos are those of `bench_photo.py`, each through a camera
of its own; nothing of the reader takes part in making them.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from partline.quantities.estimate import Estimate
from partline.services.photo_measure import Subject, measure_photo
from partline.studies.photo import PhotoRefused, SliceMeasure
from partline.studies.photo_card import MM, Pocket
from partline.studies.photo_evidence import CRISP, change, has_moved, is_below
from tests.studies.photo_scene import Slice, any_camera, any_slice, blank, take

SIZE = (2200, 1650)
#: [m]
LINES, GREW = (0.3 * MM, 2.6 * MM), 0.8 * MM


def width_in_a_photo(thing: Slice, rng: np.random.Generator) -> Estimate | None:
    """Photograph a slice and read its line; None where the photo is refused."""
    camera = any_camera(rng, SIZE)
    content = take(thing.lay(blank(camera.ink)), camera, rng)
    try:
        measured = measure_photo(content, Subject.SPRUE)
    except PhotoRefused:
        return None
    assert isinstance(measured, SliceMeasure)
    return measured.line


def any_line(rng: np.random.Generator) -> Slice:
    """Draw a sprue slice with a line of any width in reach."""
    low, high = np.log(LINES)
    return replace(any_slice(rng, Pocket.SPRUE), line=float(np.exp(rng.uniform(low, high))))


def answers(count: int, seed: int) -> None:
    """Print how many photos are answered, and how many rightly."""
    told, right, asked, near = 0, 0, 0, []
    for number in range(count):
        rng = np.random.default_rng([seed + number, 21])
        thing = any_line(rng)
        width = width_in_a_photo(thing, rng)
        if width is None:
            continue
        answer = is_below(width, CRISP.value)
        if answer is None:
            asked += 1
            near.append(abs(thing.line - CRISP.value) / MM)
            continue
        told += 1
        right += answer is (thing.line < CRISP.value)
    print(f"{told + asked} photos read of {count}: {told} answered, {right} rightly "
          f"({100 * right / told:.0f} %, goal at least 95 %); {asked} left to the eye "
          f"({100 * asked / (told + asked):.0f} %, goal at most 14 %)")  # fmt: skip
    if near:
        print(f"  those lay within {max(near):.2f} mm of the limit")


def moves(count: int, seed: int, grown: float) -> None:
    """Print how many pairs of photos of one slice are called a move."""
    moved = read = 0
    for number in range(count):
        rng = np.random.default_rng([seed + number, 22])
        thing = replace(any_line(rng), line=float(rng.uniform(0.3, 0.9)) * MM)
        later = replace(thing, line=thing.line + grown)
        first, last = width_in_a_photo(thing, rng), width_in_a_photo(later, rng)
        if first is not None and last is not None:
            read += 1
            moved += has_moved(change(first, last))
    goal = "at least 95 %" if grown else "at most 10 %"
    print(f"{read} pairs, the line grown by {grown / MM:.1f} mm: {moved} called a move "
          f"({100 * moved / read:.0f} %, goal {goal})")  # fmt: skip


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--photos", type=int, default=160)
    parser.add_argument("--pairs", type=int, default=60)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    answers(asked.photos, asked.seed)
    moves(asked.pairs, asked.seed, 0.0)
    moves(asked.pairs, asked.seed, GREW)


if __name__ == "__main__":
    main()
