"""What a run's photos say of its looks and of creep, by figures that were told."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from partline.errors import Impossible, NotFound
from partline.services.run_photos import gallery, photos_due, run_photos, tell_photo_look
from partline.services.runs.log import sentence
from partline.services.runs.recall import pin, set_aside
from partline.services.verdicts import answer_looks, run_verdict
from tests.services.photo_hand import PhotoHand, with_photos

CRISP, SMEARED = (0.4, 0.5, 0.6), (2.2, 2.4, 2.6)


@pytest.fixture(scope="module")
def shed(tmp_path_factory) -> Iterator[PhotoHand]:
    with with_photos(tmp_path_factory.mktemp("looks")) as hand:
        yield hand


@pytest.fixture
def hand(shed) -> PhotoHand:
    """Begin another run of the shed's."""
    return shed.another()


def told(hand: PhotoHand) -> Any:
    return run_photos(hand.workshop, hand.code)


def looks(hand: PhotoHand) -> dict[str, Any]:
    return {each["look"]: each for each in told(hand)["looks"]}


def test_a_line_within_its_doubt_of_the_limit_is_left_to_the_eye(hand):
    hand.says("sprue", 0, line_width_mm=(0.8, 0.95, 1.1))
    said = looks(hand)["sprue_crisp"]
    assert said["answer"] is None
    assert "within its doubt of the limit. Look yourself." in said["says"]
    with pytest.raises(Impossible, match="do not settle"):
        tell_photo_look(hand.workshop, hand.code, "sprue_crisp")
    with pytest.raises(NotFound, match="changes"):
        tell_photo_look(hand.workshop, hand.code, "changes")


def test_slices_that_disagree_are_left_to_the_eye_and_their_shots_tell_the_first_apart(hand):
    hand.says("sprue", 0, shot=1, line_width_mm=SMEARED)
    hand.says("sprue", 0, shot=2, line_width_mm=CRISP)
    found = looks(hand)
    assert found["sprue_crisp"]["answer"] is None
    assert "do not settle it" in found["sprue_crisp"]["says"]
    assert found["first_only"]["answer"] is True
    hand.says("sprue", 0, shot=3, line_width_mm=SMEARED)
    assert looks(hand)["first_only"]["answer"] is None


def test_a_first_shot_as_good_as_the_others_is_not_spoiled_alone(hand):
    for shot in (1, 2):
        hand.says("slice", 0, shot=shot, line_width_mm=CRISP)
    assert looks(hand)["first_only"]["answer"] is False
    assert looks(hand)["belly_crisp"]["answer"] is True


def test_a_refusal_for_want_of_a_line_asks_the_eye_and_any_other_says_nothing(hand):
    hand.says("sprue", 0, refused="no line")
    hand.says("slice", 0, refused="glare")
    found = looks(hand)
    assert found.keys() == {"sprue_crisp"}
    assert found["sprue_crisp"]["answer"] is None
    assert "there is none, or a half is as grey as the card" in found["sprue_crisp"]["says"]


@pytest.mark.parametrize(
    ("step", "answer"), [((0.0, 0.4, 1.2), True), ((40, 44, 48), False), ((1.0, 2.0, 3.0), None)]
)
def test_no_step_is_said_where_barely_ends(hand, step, answer):
    hand.says("slice", 0, lightness_step=step)
    assert looks(hand)["no_step"]["answer"] is answer


def test_a_line_that_was_crisp_and_is_smeared_a_week_later_has_crept(hand):
    first = hand.says("slice", 0, line_width_mm=CRISP, halves=(39, 41, 43))
    last = hand.says("slice", 7, line_width_mm=SMEARED, halves=(38, 40, 42))
    found = told(hand)
    said = looks(hand)["worse_later"]
    assert said["answer"] is True
    assert "+1.90 mm (+1.68 to +2.12): it moved" in said["says"]  # √(0.2² + 0.1²) either way
    assert said["photos"] == [first, last]
    line, halves = found["creep"]
    assert [day["day"] for day in line["days"]] == [0, 7]
    assert line["days"][1]["has_moved"] is True
    assert halves["days"][1]["has_moved"] is False
    assert "no change beyond doubt" in halves["says"]


def test_a_line_that_was_smeared_on_the_day_is_no_creep(hand):
    hand.says("slice", 0, line_width_mm=SMEARED)
    hand.says("slice", 7, line_width_mm=(3.0, 3.2, 3.4))
    assert looks(hand)["worse_later"]["answer"] is False
    assert "not fine on the day either" in looks(hand)["worse_later"]["says"]


def test_on_the_day_itself_nothing_can_have_crept(hand):
    hand.says("slice", 0, line_width_mm=CRISP)
    hand.says("slice", 0, line_width_mm=SMEARED)
    assert "worse_later" not in looks(hand)
    assert (
        told(hand)["creep"][0]["says"] == "Line: one day so far, nothing to compare it with yet."
    )


def test_a_measure_corrected_counts_as_corrected_and_junk_counts_for_nothing(hand):
    code = hand.says("sprue", 0, line_width_mm=SMEARED)
    event = hand.workshop.runs.events(hand.code)[-1]
    changed = {"figures": {"line_width_mm": {"low": 0.4, "value": 0.5, "high": 0.6}}}
    hand.tell("correction", of=event.id, data=changed)
    assert looks(hand)["sprue_crisp"]["answer"] is True
    hand.tell("correction", of=event.id, data={"subject": "nose"})
    assert looks(hand) == {}
    assert code
    assert sentence(event, None).startswith("Photo of a sprue slice, day 0: line 2.40 mm")  # type: ignore[arg-type]


def due(hand: PhotoHand) -> list[tuple[str, int]]:
    found = photos_due(hand.workshop)
    rows = [("due", each) for each in found["due"]] + [("coming", e) for e in found["coming"]]
    return [(word, each["day"]) for word, each in rows if each["run"] == hand.code]


@pytest.mark.parametrize(
    ("ago", "taken", "expected"),
    [
        (0.5, [], [("due", 0)]),
        (4.0, [], []),  # too late for the day; nothing to compare a later one with
        (4.0, [0], [("coming", 7)]),
        (7.5, [0], [("due", 7)]),
        (14.9, [0], [("due", 7)]),
        (16.0, [0], [("coming", 30)]),
        (8.0, [0, 6], [("coming", 30)]),
        (31.0, [0], [("due", 30)]),
        (40.0, [0, 7, 30], []),
        (61.5, [0, 7], []),
    ],
)
def test_a_photo_is_due_on_its_days_and_where_there_is_one_to_compare(hand, ago, taken, expected):
    hand.pour(ago)
    for day in taken:
        hand.says("slice", day, line_width_mm=CRISP)
    assert due(hand) == expected


def test_nothing_is_due_of_a_run_that_goes_on_or_was_set_aside(hand):
    hand.tell("shot", ago_days=0.1, mould=1)
    assert due(hand) == []
    hand.tell("finish")
    assert due(hand) == [("due", 0)]
    set_aside(hand.workshop, hand.code, why="x")
    assert due(hand) == []
    set_aside(hand.workshop, hand.code, aside=False)
    assert due(hand) == [("due", 0)]


def groups(hand: PhotoHand, **asked: str) -> dict[str, list[Any]]:
    found = gallery(hand.workshop, **asked)["groups"]
    mine = {
        each["cause"]: [photo for photo in each["photos"] if photo["run"] == hand.code]
        for each in found
    }
    return {cause: photos for cause, photos in mine.items() if photos}


def test_photos_stand_under_the_cause_that_the_verdict_tells_or_the_maker_pins(hand):
    hand.says("sprue", 0, line_width_mm=CRISP)
    assert groups(hand).keys() == {"cause not told yet"}
    answer_looks(hand.workshop, hand.code, {"changes": True, "tail_worse": True,
                                            "sprue_crisp": True, "belly_crisp": True})  # fmt: skip
    found = groups(hand)
    assert found.keys() == {"see-through"}
    (photo,) = found["see-through"]
    assert photo["by"] == "told by the verdict"
    assert photo["alt"].startswith("Sprue slice, day 0, of run ")
    assert "see-through: line 0.50 mm (0.40–0.60)" in photo["alt"]
    hand.tell("cause", cause="wrap-round")
    assert groups(hand)["wrap-round"][0]["by"] == "confirmed by you"
    hand.tell("cause", cause=None)
    assert groups(hand).keys() == {"see-through"}
    pin(hand.workshop, hand.code)
    assert groups(hand).keys() == {"good, to compare with"}


def test_what_a_verdict_cannot_tell_apart_is_named_beside_the_photo(hand):
    hand.says("sprue", 0, line_width_mm=SMEARED)
    answer_looks(hand.workshop, hand.code, {"sprue_crisp": False, "belly_crisp": False,
                                            "ring": True, "gate_worse": True})  # fmt: skip
    (photo,) = groups(hand)["cause not told yet"]
    assert "mixed in the shot" in photo["by"]
    assert "not told apart" in photo["by"]


def test_the_gallery_is_filtered_by_mould_and_recipe(hand):
    hand.says("sprue", 0, line_width_mm=CRISP)
    assert groups(hand, mould="reed-130", recipe="peat-over-chalk")
    assert not groups(hand, mould="fry-75")
    assert not groups(hand, recipe="no such")
    found = gallery(hand.workshop, mould="fry-75")
    assert found["moulds"] == ["reed-130"]
    assert found["count"] > 0


def test_a_look_at_an_old_photo_is_as_old_as_the_photo(hand):
    hand.pour(8.0)
    photo = hand.says("slice", 0, line_width_mm=SMEARED)
    hand.tell("look", look="belly_crisp", seen=False, photo=photo)
    found = run_verdict(hand.workshop, hand.code)
    assert found["days"] == 0.0
    assert {each["cause"]: each["share"] for each in found["causes"]}["creep later"] == 0.0
    hand.tell("look", look="tail_worse", seen=True)  # at the bait itself, today
    assert run_verdict(hand.workshop, hand.code)["days"] == pytest.approx(8.0, abs=0.1)
