"""One level spoon on the scale makes spoons a measurement."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from partline.errors import EditedElsewhere, InputError, Invalid
from partline.process.ingredients import TEASPOON
from partline.quantities.estimate import Origin
from partline.records.workshop import Workshop
from partline.services.runcard import keep_plan
from partline.services.spoons import keep_spoon, powders, spoon_density, with_bulk_density
from partline.services.workshop import load_demo, open_at
from tests.process.shed import SHED, shelf

ONE = {"supply": "Penny", "count": "1", "spoon": "US tsp", "weighed": "1.9 g"}


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    with open_at(tmp_path / "shed") as opened:
        load_demo(opened)
        yield opened


@pytest.mark.published(
    source="NIST Handbook 44, Appendix C: US teaspoon 4.929 mL", where="units of volume"
)
def test_a_level_us_teaspoon_of_1_9_g_weighs_0_385_g_a_millilitre():
    # 1.9 g / 4.929 mL, by hand, to three digits.
    assert spoon_density(1, "US tsp", "1.9 g").value == pytest.approx(385.5, abs=0.5)


def test_a_weighing_is_measured_and_says_what_was_weighed():
    found = spoon_density(5, "US tsp", "9.4 g")
    assert (found.origin, found.count) == (Origin.MEASURED, 5)
    assert found.source == "5 level US tsp weighed 9.4 g"


def test_more_spoons_are_narrower():
    one, five = (spoon_density(n, "US tsp", f"{1.9 * n:.1f} g") for n in (1, 5))
    assert five.high - five.low < one.high - one.low


def test_a_weighing_narrows_what_was_guessed():
    before = next(each for each in powders(shelf()) if each.name == "Penny").bulk_density
    assert before is not None
    after = spoon_density(1, "US tsp", "1.9 g")
    assert (after.high - after.low) / after.value < (before.high - before.low) / before.value / 2


def test_spoons_on_the_next_card_are_measured(workshop):
    keep_spoon(workshop, ONE, based_on=1)
    parts = {
        "recipe_id": workshop.recipes.named("peat-over-chalk").version.document_id,
        "mould_id": workshop.moulds.named("reed-130").version.document_id,
        "bench_id": workshop.benches.named("Vessary Shed").version.document_id,
    }
    plan: Any = keep_plan(workshop, recipe_version=3, good=80, **parts).answer["plan"]
    penny = next(each for each in plan["ingredients"] if each["supply"] == "Penny")
    spoons = penny["teaspoons"]
    assert spoons["origin"] == "measured"
    # By the one weighing: so many times 1.9 g; the plan rounds both to hundredths.
    assert spoons["value"] == pytest.approx(penny["grams"] / 1.9, abs=0.01)


def test_the_shelfs_comments_and_order_survive(workshop):
    text = (SHED / "shelf.toml").read_text("utf-8")
    edited = with_bulk_density(text, "Penny", spoon_density(1, "US tsp", "1.9 g"))
    kept = [line for line in edited.splitlines() if not line.startswith("bulk_density")]
    assert kept == text.splitlines()


def test_two_who_weigh_at_once_lose_nothing(workshop):
    keep_spoon(workshop, ONE, based_on=1)
    with pytest.raises(EditedElsewhere):
        keep_spoon(workshop, ONE | {"supply": "Moss"}, based_on=1)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("supply", "Peat"), ("supply", ""), ("count", "0"), ("count", "51"), ("count", "one"),
        ("spoon", "tsp"), ("weighed", "1.9"), ("weighed", "0 g"), ("weighed", "-1 g"),
        ("weighed", "190 g"), ("weighed", "1,9 g"), ("weighed", ""),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_beside_its_field(workshop, field, value):
    with pytest.raises(Invalid) as refusal:
        keep_spoon(workshop, ONE | {field: value}, based_on=1)
    (problem,) = refusal.value.problems
    assert problem.field == field
    assert workshop.shelves.named("shelf").version.number == 1


def test_a_bottle_is_no_powder():
    assert {each.name for each in powders(shelf())} == {"Penny", "Moss", "Ink", "fine salt"}
    with pytest.raises(InputError):
        spoon_density(1, "cup", "3 g")
    assert pytest.approx(4.929e-6, rel=1e-4) == TEASPOON
