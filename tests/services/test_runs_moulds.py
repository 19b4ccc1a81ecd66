"""Moulds in rotation: what a shot of plastic heats them by is one shot, however it was drawn."""

from __future__ import annotations

from dataclasses import replace

from partline.services.opening import WARM_MOULD
from partline.services.runs.moulds import mould_timers
from partline.services.runs.standing import followed, standing
from tests.services.bench_hand import at_the_bench


def test_a_shot_out_of_a_draw_for_two_opens_when_one_of_its_own_draw_does(tmp_path, monkeypatch):
    with at_the_bench(tmp_path, monkeypatch, moulds=1) as hand:
        hand.set_up()
        hand.heat_to(163, 162)
        for _ in range(3):
            hand.tap("draw")
            hand.wait(8)
            hand.tap("shot", mould=1)
            hand.wait(240)
            hand.tap("open", mould=1)
        hand.tap("draw")
        hand.tap("shot", mould=1)
        run = followed(hand.workshop, hand.code)
        events = hand.workshop.runs.events(hand.code)
        state = standing(run, events, hand.clock[0]).state
    plan = run.plan
    both = replace(
        plan,
        bench=replace(plan.bench, syringes=replace(plan.bench.syringes, shots_per_draw=2)),
        melts=tuple(
            replace(
                melt, cups={k: replace(cup, draw=2 * cup.draw) for k, cup in melt.cups.items()}
            )
            for melt in plan.melts
        ),
    )
    told = [
        mould_timers(state, each, run.mould, count=1, wall=WARM_MOULD)[0].opens
        for each in (plan, both)
    ]
    assert told[0] is not None
    assert told[0] == told[1]
