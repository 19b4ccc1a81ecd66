"""What runs tell of a bench's constants: against a sampler, and at its nominal rate."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.studies.bench_learning import (
    USUAL_SCATTER,
    Measured,
    learn,
    minus_log_posterior,
)

POWER = Estimate(value=360.0, low=270.0, high=450.0, origin=Origin.PRACTICE)


def told(*values: float, doubt: float = 0.05) -> list[Measured]:
    return [Measured(run=f"R{n}", value=v, doubt=doubt) for n, v in enumerate(values)]


def sampled(runs: list[Measured], before: Estimate, seed: int) -> np.ndarray:
    """Draw the constant with an ensemble of walkers and stretch moves.

    Goodman and Weare, Comm. App. Math. Comp. Sci. 5 (2010) 65 (from memory).
    """
    rng = np.random.default_rng(seed)
    y = np.array([log(r.value) for r in runs])
    s = np.array([r.doubt for r in runs])
    spread = log(before.high / before.low) / (2 * HALF_RANGE)

    def density(where: np.ndarray) -> float:
        return -minus_log_posterior(where, y, s, log(before.value), spread)

    walkers = np.stack(
        [rng.normal(log(before.value), 0.1, 40), rng.normal(log(USUAL_SCATTER), 0.3, 40)], axis=1
    )
    heights = np.array([density(w) for w in walkers])
    kept = []
    for step in range(2500):
        for half in (slice(0, 20), slice(20, 40)):
            others = walkers[20:] if half.start == 0 else walkers[:20]
            for place in range(half.start, half.stop):
                z = ((rng.random() + 1) ** 2) / 2  # a = 2
                other = others[rng.integers(20)]
                trial = other + z * (walkers[place] - other)
                height = density(trial)
                if log(rng.random()) < np.log(z) + height - heights[place]:
                    walkers[place], heights[place] = trial, height
        if step >= 500:
            kept.append(walkers[:, 0].copy())
    return np.exp(np.concatenate(kept))


@pytest.mark.parametrize(
    ("runs", "seed"),
    [
        (told(410.0), 1),
        (told(400.0, 430.0, 415.0), 2),
        (told(300.0, 420.0, 350.0, 390.0, 405.0, 310.0), 3),
    ],
    ids=["one run", "three that agree", "six that scatter"],
)
def test_the_range_is_that_of_an_ensemble_sampler(runs, seed):
    """Of the middle within a fifth of the sampler's range, of its width within a fifth."""
    found = learn(POWER, runs).after
    low, middle, high = np.quantile(sampled(runs, POWER, seed), (0.1, 0.5, 0.9))
    assert abs(found.value - middle) < 0.2 * (high - low)
    assert (found.high - found.low) == pytest.approx(high - low, rel=0.2)


def test_ranges_hold_the_truth_at_their_nominal_rate():
    """400 benches whose runs scatter by their own amount, some heavily: 80 % ± 8 %."""
    rng = np.random.default_rng(11)
    held = held_next = 0
    for _ in range(400):
        true = 360.0 * exp(rng.normal(0, log(450 / 270) / (2 * HALF_RANGE)))
        scatter = abs(rng.normal(0, USUAL_SCATTER))
        runs = [
            Measured(
                run=f"R{n}",
                value=true * exp(rng.normal(0, scatter) + rng.normal(0, 0.05)),
                doubt=0.05,
            )
            for n in range(rng.integers(1, 9))
        ]
        known = learn(POWER, runs)
        held += known.after.low <= true <= known.after.high
        following = true * exp(rng.normal(0, scatter))
        held_next += known.next_run.low <= following <= known.next_run.high
    assert 0.72 <= held / 400 <= 0.88
    assert 0.72 <= held_next / 400 <= 0.90


def test_what_all_runs_err_by_alike_stays_in_the_constant_and_not_in_the_next_run():
    """300 benches whose law is off by the same 7.5 % in every run: 80 % ± 8 %."""
    rng = np.random.default_rng(12)
    held = held_next = 0
    for _ in range(300):
        true = 360.0 * exp(rng.normal(0, log(450 / 270) / (2 * HALF_RANGE)))
        seen = true * exp(rng.normal(0, 0.075))
        scatter = abs(rng.normal(0, USUAL_SCATTER))
        runs = [
            Measured(
                run=f"R{n}",
                value=seen * exp(rng.normal(0, scatter) + rng.normal(0, 0.05)),
                doubt=0.05,
            )
            for n in range(6)
        ]
        known = learn(POWER, runs, common=0.075)
        held += known.after.low <= true <= known.after.high
        following = seen * exp(rng.normal(0, scatter))
        held_next += known.next_run.low <= following <= known.next_run.high
    assert 0.72 <= held / 300 <= 0.88
    assert 0.72 <= held_next / 300 <= 0.90


def test_without_runs_it_is_what_was_thought_before():
    known = learn(POWER, [])
    assert known.after == POWER
    assert known.next_run == POWER


@settings(deadline=None, max_examples=40)
@given(st.lists(st.floats(200, 600), min_size=1, max_size=6), st.floats(0.02, 0.3))
def test_a_run_narrows_and_the_answer_lies_between_what_was_thought_and_seen(values, doubt):
    known = learn(POWER, told(*values, doubt=doubt))
    assert min(*values, 360.0) * 0.999 <= known.after.value <= max(*values, 360.0) * 1.001
    assert known.after.high / known.after.low < POWER.high / POWER.low * 1.02
    assert known.next_run.high - known.next_run.low >= known.after.high - known.after.low


def test_the_order_of_runs_changes_nothing_and_setting_one_aside_undoes_it():
    runs = told(400.0, 300.0, 390.0)
    assert learn(POWER, runs).after.value == pytest.approx(
        learn(POWER, runs[::-1]).after.value, rel=1e-6
    )
    without = learn(POWER, [runs[0], runs[2]])
    assert learn(POWER, runs).after.value < without.after.value


def test_nonsense_is_refused():
    with pytest.raises(InputError, match="above 0"):
        learn(POWER, told(-1.0))
    with pytest.raises(InputError, match="once"):
        learn(POWER, [*told(400.0), *told(410.0)])
