"""`partline match`: drops for a wanted look, as text and as JSON."""

from __future__ import annotations

import pytest

from tests.process.shed import SHED, demo_path

REED = SHED / "moulds" / "reed-130.toml"


def words(*more: object) -> list[object]:
    return ["match", demo_path(3), "--mould", REED, *more]


def test_the_drops_are_told_for_the_actual_cup(run):
    ran = run(*words("--back", "Lab 22 18 34", "--cup-back", "160 g"))
    assert (ran.status, ran.err) == (0, "")
    for told in ("Wanted of the back: Lab 22 18 34", "Cup A, 160 g, the back", "drops Peat",
                 "ΔE00", "provisional", "Pour one trial chip"):  # fmt: skip
        assert told in ran.out
    assert "bleed" not in ran.out.lower()


def test_as_json_it_says_the_same(run):
    ran = run(*words("--back", "#6b5a33", "--belly", "photo #dcd888", "--most-drops", "20",
                     "--most-colourants", 3, "--most-grams", "2 g", "--json"))  # fmt: skip
    assert ran.status == 0
    limits = ran.json["limits"]
    assert (limits["most_colourants"], limits["most_drops_per_100_g"]) == (3, 20.0)
    assert limits["most_g_per_100_g"] == 2.0
    for match in ran.json["matches"]:
        for side in match["sides"]:
            assert len(side["drops"]) <= 3
            assert sum(dose["per_100_g"] for dose in side["drops"]) <= 20.001


def test_the_look_of_a_recipe_without_one_bottle_is_a_substitute(run):
    ran = run(*words("--like", demo_path(3), "--side", "belly", "--without", "Rind", "--json"))
    assert ran.status == 0
    assert ran.json["limits"]["without"] == ["Rind"]
    assert not ran.json["reach"]["is_within"]
    assert "yellow" in ran.json["reach"]["help"]["bottle"]
    used = {dose["supply"] for match in ran.json["matches"] for side in match["sides"]
            for dose in side["drops"]}  # fmt: skip
    assert "Rind" not in used
    assert [side["half"] for side in ran.json["matches"][0]["sides"]] == ["belly"]


def test_an_old_lot_may_stand_on_a_shelf_of_its_own(run, tmp_path):
    old = tmp_path / "old.toml"
    text = (SHED / "shelf.toml").read_text("utf-8")
    old.write_text(text.replace("height = 0.07, place = 400", "height = 0.14, place = 400"))
    ran = run(*words("--like", demo_path(3), "--like-shelf", old, "--side", "back",
                     "--only", "Peat", "--json"))  # fmt: skip
    assert ran.status == 0
    # The old Peat was twice as strong, so twice as many of today's drops look like it.
    assert ran.json["matches"][0]["sides"][0]["drops"][0]["drops"] == pytest.approx(18, abs=2)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ([], "Nothing says what the bait should look like"),
        (["--back", "mud"], "“mud” is no colour"),
        (["--back", "#6b5a33", "--most-colourants", "0"], "1 to 6"),
        (["--back", "#6b5a33", "--only", "Penny"], "is no bottle of colour"),
        (["--back", "#6b5a33", "--without", "Nobody"], "No supply on the shelf is called"),
        (["--back", "#6b5a33", "--cup-back", "160"], "cup_back"),
        (["--like", "nothing of that name"], "nothing of that name"),
    ],
)
def test_what_cannot_be_used_leaves_with_a_sentence_and_status_2(run, more, says):
    ran = run(*words(*more))
    assert ran.status == 2
    assert says in ran.err
    assert "Traceback" not in ran.err
