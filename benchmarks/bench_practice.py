"""The demo's whole run on pretended benches: shots in the band, forecasts held, time to enter.

Each run is driven by a hand that presses what the screen says (`tests/journeys/practice_hand`),
on a bench whose workings are not the tool's model. The reference beside it is the same hand with
a stopwatch alone, which always waits the middle of these very truths: a rule of thumb that knows
its bench already, so that it flatters the reference.

    python -m benchmarks.bench_practice [--runs 6]
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

import numpy as np

from partline.services.runs import practice
from partline.services.workshop import load_demo, open_at
from tests.journeys.practice_hand import TAP, at_bench


def main() -> None:
    """Print one line a run, then the sums."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=6)
    asked = parser.parse_args()
    in_band, truths, forecasts, held = [], [], [], []
    for seed in range(1, asked.runs + 1):
        moulds = (4, 2)[seed % 2]
        began = time.perf_counter()
        with tempfile.TemporaryDirectory() as folder, open_at(Path(folder) / "shed") as workshop:
            load_demo(workshop)
            with at_bench(workshop, moulds=moulds, seed=seed, slips=[]) as hand:
                state = hand.run()
                score = practice.score(workshop, hand.code, now=hand.at)
        for draw in score["draws"]:
            low, high = draw["band_c"]
            in_band.append(all(low - 1 <= each <= high + 1 for each in draw["reads_c"].values()))
        starts = score["starts"]
        truths += [each["true_s"] for each in starts]
        forecasts += [each["start_s"] for each in starts]
        held += [each["held"] for each in starts]
        print(
            f"seed {seed}, {moulds} moulds: {state['shots']['done']} of {state['shots']['of']} "
            f"shots, {len(hand.way)} presses, {hand.entering * TAP:.0f} s of entering, "
            f"{time.perf_counter() - began:.0f} s of this machine"
        )
    print(f"draws within 1 K of the band, as read: {np.mean(in_band):.0%} of {len(in_band)}")
    if truths:
        ours = np.abs(np.array(forecasts) - np.array(truths))
        thumb = np.abs(np.median(truths) - np.array(truths))
        print(f"starts inside their range: {np.mean(held):.0%} of {len(held)}")
        print(f"start off by {ours.mean():.0f} s; a stopwatch alone by {thumb.mean():.0f} s")


if __name__ == "__main__":
    main()
