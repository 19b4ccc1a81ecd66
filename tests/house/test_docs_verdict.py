"""The page of answers names every key of a verdict, and no other."""

from __future__ import annotations

from partline.services import runs
from partline.services.verdicts import (
    answer_looks,
    confirm_cause,
    run_verdict,
    take_change,
)
from tests.house.test_docs_answers import documented, is_met, paths, unknown
from tests.services.bench_hand import Hand, at_the_bench
from tests.services.test_verdicts import poured


def test_every_key_of_a_verdict_is_on_the_page(tmp_path, monkeypatch):
    known = documented("`partline verdict`")
    answers = []
    with at_the_bench(tmp_path, monkeypatch, version=1) as hand:
        poured(hand, 163.0, 162.0, 6.0)
        answers.append(run_verdict(hand.workshop, hand.code))
        answer_looks(hand.workshop, hand.code, {"changes": True, "tail_worse": True})
        answers.append(run_verdict(hand.workshop, hand.code))
        take_change(hand.workshop, hand.code)
        hand.tap("judge", good=0, moulded=8)
        hand.wait(86_400)
        second = Hand(
            hand.workshop, runs.begin(hand.workshop, hand.state["plan"]), hand.clock, hand.count
        )
        second.tap("judge", good=7, moulded=8)
        confirm_cause(hand.workshop, second.code, "see-through")
        answers.append(run_verdict(hand.workshop, hand.code))
    for answer in answers:
        assert not {
            each
            for each in unknown(answer, known)
            if each not in ("change", "next_look", "taken", "after_it", "cases")
        }
    met = {path.removesuffix("[]") for answer in answers for path in paths(answer)}
    assert not {path for path in known if not is_met(path, met)}
