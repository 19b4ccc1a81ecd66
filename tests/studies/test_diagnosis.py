"""The verdict on a spoiled run, against the worked odds of the trade's table."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import InputError, NotFound
from partline.studies.diagnosis import ANSWERS, LOOKS, Action, Case, Cause, Source, verdict

#: The demo's run 1 as far as it was looked at from outside.
OUTSIDE = {"changes": True, "tail_worse": True}


def share(found, cause: Cause) -> float:
    return next(each.share for each in found.causes if each.cause is cause)


def acts(found, action: Action) -> float:
    return next(each.share for each in found.actions if each.action is action)


def test_with_nothing_looked_at_all_causes_are_level_and_nothing_is_told():
    found = verdict({}, day=7)
    assert {round(each.share, 12) for each in found.causes} == {round(1 / 7, 12)}
    assert not found.is_cause_told
    assert not found.is_action_told
    assert found.next_look is not None


@pytest.mark.parametrize(
    ("seen", "expected"),
    [(OUTSIDE, 0.69), ({**OUTSIDE, "sprue_crisp": True}, 0.81)],
)
def test_run_one_of_the_demo_is_see_through_as_worked_by_hand(seen, expected):
    """Equal starting odds, same day: 69 %, with the sprue slice 81 % (worked on paper)."""
    found = verdict(seen)
    assert share(found, Cause.SEE_THROUGH) == pytest.approx(expected, abs=0.005)
    assert found.causes[0].cause is Cause.SEE_THROUGH
    assert found.is_cause_told


def test_two_cuts_share_what_they_tell():
    """Untempered the belly slice would make it 87 %; as half of a pair it makes less."""
    one = verdict({**OUTSIDE, "sprue_crisp": True})
    both = verdict({**OUTSIDE, "sprue_crisp": True, "belly_crisp": True})
    assert share(one, Cause.SEE_THROUGH) < share(both, Cause.SEE_THROUGH) < 0.87


def test_run_two_cannot_be_told_apart_and_need_not_be():
    """Marbled, a ring on one side, worse near the gate; hot, fast and unmatched by the record."""
    found = verdict(
        {
            "sprue_crisp": False, "belly_crisp": False, "ring": True, "changes": False,
            "gate_worse": True, "hot_or_fast": True, "cups_apart": True,
        }
    )  # fmt: skip
    first, second = found.causes[:2]
    assert {first.cause, second.cause} == {Cause.MIXED, Cause.WRAPPED}
    assert not found.is_cause_told
    assert found.is_action_told
    assert found.actions[0].action is Action.CALMER
    assert found.actions[0].share > 0.9
    assert found.next_look is None  # whatever else is looked at, the same would be done


def test_on_the_day_itself_nothing_has_crept():
    assert share(verdict({"worse_later": True}, day=0), Cause.CREPT) == 0.0
    assert verdict({"worse_later": True}, day=7).causes[0].cause is Cause.CREPT


def test_the_next_look_is_the_one_that_makes_the_action_surest():
    found = verdict({"changes": True})
    assert found.next_look is not None
    told = found.next_look
    assert told.expected >= told.now - 1e-12
    for key, look in LOOKS.items():
        if key == "changes" or look.source is Source.RECORD:
            continue
        yes, no = (verdict({"changes": True, key: answer}) for answer in (True, False))
        after = max(yes.actions[0].share, no.actions[0].share)
        assert after >= told.now - 1e-9 or key != told.look.key


@given(
    st.dictionaries(st.sampled_from(sorted(LOOKS)), st.booleans()),
    st.floats(0, 60),
)
def test_shares_add_up_and_actions_gather_their_causes(seen, day):
    found = verdict(seen, day=day)
    assert sum(each.share for each in found.causes) == pytest.approx(1.0)
    assert sum(each.share for each in found.actions) == pytest.approx(1.0)
    for action in Action:
        gathered = sum(share(found, cause) for cause in Cause if ANSWERS[cause] is action)
        assert acts(found, action) == pytest.approx(gathered)


@given(st.dictionaries(st.sampled_from(sorted(LOOKS)), st.booleans()))
def test_the_order_of_looking_changes_nothing(seen):
    turned = dict(reversed(list(seen.items())))
    one, other = verdict(seen), verdict(turned)
    for cause in Cause:
        assert share(one, cause) == pytest.approx(share(other, cause))


def test_a_law_that_foretells_see_through_moves_the_odds_before_any_look():
    found = verdict({}, law={Cause.SEE_THROUGH: 5.0})
    assert found.causes[0].cause is Cause.SEE_THROUGH
    assert share(found, Cause.SEE_THROUGH) == pytest.approx(5 / 10)


def test_confirmed_cases_replace_the_guesses_little_by_little():
    cases = tuple(
        Case(cause=Cause.MIXED, seen={"sprue_crisp": True}) for _ in range(20)
    )  # on this bench mixing begins after the gate
    guessed = share(verdict({"sprue_crisp": True}), Cause.MIXED)
    learned = share(verdict({"sprue_crisp": True}, cases=cases), Cause.MIXED)
    assert learned > 2 * guessed


def test_each_cause_is_scored_by_itself_as_well():
    found = verdict({**OUTSIDE, "no_step": True})
    ratio = {each.cause: each.ratio for each in found.causes}
    assert ratio[Cause.SEE_THROUGH] > 1
    assert ratio[Cause.INVERTED] < 1


def test_what_no_single_cause_explains_is_told_as_two_at_once():
    found = verdict(
        {"changes": True, "tail_worse": True, "ring": True, "sprue_crisp": False,
         "cups_apart": True, "first_only": False, "dark_down": False}
    )  # fmt: skip
    assert found.together is not None
    assert set(found.together.pair) == {Cause.SEE_THROUGH, Cause.WRAPPED}
    assert {each.cause for each in found.causes[:2]} == {Cause.SEE_THROUGH, Cause.WRAPPED}
    assert found.is_action_told
    assert sum(each.share for each in found.causes) == pytest.approx(1.0)


def test_what_a_single_cause_explains_is_never_told_as_two():
    assert verdict({**OUTSIDE, "sprue_crisp": True, "belly_crisp": True}).together is None
    assert (
        verdict({"sprue_crisp": False, "belly_crisp": False, "gate_worse": True}).together is None
    )
    assert verdict({}).together is None


def test_what_a_law_foretells_of_this_run_stands_for_the_tables_guess():
    seen = {"first_only": True, "sprue_crisp": False}
    plain = share(verdict(seen), Cause.MIXED)
    warmer_first = verdict(seen, foretold={("first_only", Cause.MIXED): 0.45})
    assert share(warmer_first, Cause.MIXED) > 1.5 * plain


def test_nonsense_is_refused_in_a_sentence():
    with pytest.raises(NotFound, match="no look called “smell”"):
        verdict({"smell": True})
    with pytest.raises(InputError, match="not below 0"):
        verdict({}, day=-1)
    with pytest.raises(InputError, match="must be possible"):
        verdict({}, law=dict.fromkeys(Cause, 0.0))
