"""The commands that answer a question, as text or as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import hint, say, say_json, writing
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.recipe import Recipe
from partline.records.exchange import read_file, read_shelf
from partline.services.check import check_file
from partline.services.plan import PlanAnswer, plan_as_json, plan_pour
from partline.services.runcard import card_material
from partline.services.shelf import shelf_as_json
from partline.services.warming import is_compiled
from partline.services.workshop import SHELF, Sources, now, open_at

Answer = Mapping[str, Any]

#: A range wider than this share of its amount is told beside it. [-]
WIDE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a command was given: files or names, and where to look names up."""

    recipe: str
    mould: str
    bench: str = ""
    shelf: Path | None = None
    workshop: Path | None = None

    def find(self) -> tuple[Recipe, Mould, Shelf]:
        """Return the recipe, the mould and the shelf."""
        sources = self._sources()
        found = sources.recipe(self.recipe), sources.mould(self.mould)
        return (*found, sources.shelf_for(self.recipe))

    def plan(self, count: int) -> PlanAnswer:
        """Return the plan for so many good baits."""
        recipe, mould, shelf = self.find()
        bench = self._sources().bench(self.bench)
        return plan_pour(recipe, mould, bench, shelf, good=count)

    def _sources(self) -> Sources:
        return Sources(folder=self.workshop, shelf=self.shelf)


def check_document(path: Path, shelf_file: Path | None, *, as_json: bool) -> None:
    """Check a file."""
    shelf = read_shelf(read_file(shelf_file)) if shelf_file else None
    checked = check_file(path, shelf)
    if as_json:
        say_json({"ok": True, "kind": checked.kind, "summary": checked.summary,
                  "remarks": list(checked.remarks)})  # fmt: skip
        return
    say(checked.summary)
    for remark in checked.remarks:
        say(f"Note: {remark}")


def _range(figure: Answer, digits: int) -> str:
    low, high = figure["low"], figure["high"]
    return f"{figure['value']:.{digits}f} ({low:.{digits}f}–{high:.{digits}f})"


def prepare() -> None:
    """Say why the first look on a machine takes its time."""
    if not is_compiled():
        hint("Preparing the light solver, once on this machine: about half a minute…")


def show_plan(asked: Asked, count: int, *, as_json: bool) -> None:
    """Plan a pour."""
    answer = plan_as_json(asked.plan(count))
    if as_json:
        say_json(answer)
    else:
        _tell_plan(answer)


def _amount(ingredient: Answer) -> str:
    grams, (low, high) = ingredient["grams"], ingredient["grams_range"]
    text = f"{grams:g} g {ingredient['supply']}"
    if high - low > WIDE * grams:
        text += f" ({low:g}–{high:g} g)"
    if ingredient["drops"] is not None:
        text += f" = {ingredient['drops']} drops ({ingredient['drops_exact']:.1f})"
    if ingredient["teaspoons"]:
        text += f" ≈ {_range(ingredient['teaspoons'], 2)} US tsp"
    text += f", {ingredient['when']}"
    return text + (f". {ingredient['caution']}" if ingredient["caution"] else "")


def _tell_plan(answer: Answer) -> None:
    both = "" if answer["cup_b_g"] is None else f", cup B {answer['cup_b_g']:.1f} g"
    say(
        f"{answer['good']} good baits: {answer['moulded']} to mould, {answer['shots']} shots, "
        f"{answer['melts']} melt(s). In all: cup A {answer['cup_a_g']:.1f} g{both}."
    )
    fit = answer["fit"]
    say(
        f"Fullest cup {fit['cup_hot_ml']:.0f} of {fit['cup_limit_ml']:.0f} mL hot; "
        f"a syringe takes {fit['syringe_ml']:.0f} of {fit['syringe_limit_ml']:.0f} mL."
    )
    for melt in answer["melt_plan"]:
        say()
        say(f"Melt {melt['melt']}: {melt['shots']} shots")
        for cup in ("A", "B"):
            mass = melt[f"cup_{cup.lower()}_g"]
            if mass is None:
                continue
            say(f"  Cup {cup}: {mass:.1f} g")
            for ingredient in melt["ingredients"]:
                if ingredient["cup"] == cup:
                    say(f"    {_amount(ingredient)}")
    say()
    for note in answer["notes"]:
        say(f"Note: {note}")
    for caution in answer["cautions"]:
        say(f"! {caution}")


def write_card(asked: Asked, count: int, output: Path, paper: str, *, as_json: bool) -> None:
    """Write a run card of a plan that is not kept."""
    from partline.interfaces.cards import card_of, paper_named

    plan = asked.plan(count)
    prepare()
    about = f"{plan.recipe.name} version {plan.recipe.version}, {plan.mould.name}, {count} good"
    pdf = card_of(
        card_material(plan),
        code=f"{plan.recipe.name} v{plan.recipe.version}",
        link=f"Partline: {about}",
        paper=paper_named(paper),
        printed=now().date(),
    )
    with writing(output):
        output.write_bytes(pdf)
    if as_json:
        say_json({"card": str(output), "bytes": len(pdf), "paper": paper})
    else:
        say(f"Run card written to {output}.")


def list_shelf(file: Path | None, workshop: Path | None, *, as_json: bool) -> None:
    """List a shelf's supplies."""
    if file is not None:
        shelf = read_shelf(read_file(file))
    else:
        with open_at(workshop) as opened:
            shelf = opened.shelves.named(SHELF).content
    supplies: list[Any] = shelf_as_json(shelf)
    if as_json:
        say_json({"supplies": supplies})
        return
    for supply in supplies:
        lot = f", lot {supply['lot']}" if supply["lot"] else ""
        say(f"{supply['name']} ({supply['kind']}{lot}): {supply['summary']}")
        say(f"  {'; '.join(_standing(supply))}")


def _standing(supply: Any) -> list[str]:
    """Return what is left of a supply, what it cost, and where its hazard sheet is."""
    left, gross, price = supply["mass_now_g"], supply["gross_g"], supply["price_per_kg"]
    told = []
    if left is not None:
        told.append(f"{left['value']:.0f} g left ({left['low']:.0f}–{left['high']:.0f})")
    elif gross is not None:
        told.append(f"{gross['value']:.0f} g with its jar")
    if price is not None:
        told.append(f"{price:.2f} ¤/kg")
    return [*told, f"hazard sheet: {supply['hazard_sheet'] or 'not noted'}"]
