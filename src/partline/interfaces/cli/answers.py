"""The commands that answer a question, as text or as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import hint, say, say_json, writing
from partline.interfaces.figures import bait_png
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.recipe import Recipe
from partline.records.exchange import read_file, read_shelf
from partline.services.check import check_file
from partline.services.look import draw_scene, look_as_json, preview_look
from partline.services.plan import PlanAnswer, plan_as_json, plan_pour
from partline.services.runcard import card_material
from partline.services.scene import Pictures, scene_as_json, scene_of
from partline.services.shelf import shelf_as_json
from partline.services.warming import is_compiled
from partline.services.workshop import SHELF, Sources, now, open_at

Answer = Mapping[str, Any]


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


def _span(value: float, ends: list[float], digits: int) -> str:
    return f"{value:.{digits}f} ({ends[0]:.{digits}f}–{ends[1]:.{digits}f})"


def _prepare() -> None:
    """Say why the first look on a machine takes its time."""
    if not is_compiled():
        hint("Preparing the light solver, once on this machine: about half a minute…")


def show_look(
    asked: Asked, folder: Path | None, given: Mapping[str, object], *, as_json: bool
) -> None:
    """Predict a look, and draw it in a scene."""
    scene = scene_of(given)
    recipe, mould, shelf = asked.find()
    _prepare()
    answer: dict[str, Any] = look_as_json(
        preview_look(recipe, mould, shelf, condition=scene.condition)
    )
    if folder is not None or scene.water is not None:
        drawn = draw_scene(recipe, mould, shelf, scene)
        answer["scene"] = scene_as_json(scene, drawn)
        if folder is not None:
            answer["picture"]["files"] = _write_pictures(drawn, folder)
    if as_json:
        say_json(answer)
    else:
        _tell_look(answer)


def _write_pictures(drawn: Pictures, folder: Path) -> list[str]:
    written = []
    every = drawn.views | {f"{name}-unadapted": srgb for name, srgb in drawn.unadapted.items()}
    with writing(folder):
        folder.mkdir(parents=True, exist_ok=True)
        for name, srgb in every.items():
            path = folder / f"{name}.png"
            path.write_bytes(bait_png(srgb, enlarged=2))
            written.append(str(path))
    return written


def _tell_look(answer: Answer) -> None:
    recipe = answer["recipe"]
    say(f"{recipe['name']}, version {recipe['version']}, in {answer['mould']}")
    names = {"back_belly": "Back against belly", "side": "Halves from the side"}
    for key, words in names.items():
        difference = answer["distinctness"][key]
        if difference:
            say(f"{words}: ΔE00 {_range(difference, 1)}, {difference['verdict']}")
    for half, seen in answer["halves"].items():
        who = "bait" if half == "whole" else half
        hiding = _range(seen["hiding"], 2)
        say(f"The {who} hides {hiding} at the {seen['station']} station: {seen['verdict']}")
    say()
    halves = list(answer["halves"])
    heads = "".join(f"{half + ' hides':<20}" for half in halves)
    size = "half mm" if len(halves) == 2 else "mm"
    say(f"{'station':<12}{size:>8}  {heads}".rstrip())
    for station in answer["stations"]:
        row = "".join(
            f"{_span(station[f'{half}_hiding'], station[f'{half}_hiding_range'], 2):<20}"
            for half in halves
        )
        say(f"{station['name']:<12}{station['half_thickness_mm']:>8.1f}  {row}".rstrip())
    say()
    for advice in answer["advice"]:
        say(f"Advice: {advice['text']}")
    for note in answer["notes"]:
        say(f"Note: {note}")
    if "scene" in answer:
        _tell_scene(answer["scene"])
    if answer["picture"]["provisional"]:
        picture = answer["picture"]
        say(
            f"The picture behind these is provisional: ΔE00 {picture['error_median']:.1f} off in "
            f"the middle case, {picture['error_95']:.0f} or more in 1 of 20."
        )


def _tell_scene(scene: Answer) -> None:
    contrast = scene["stands_out"]
    if contrast:
        way = "darker" if contrast["value"] < 0 else "brighter"
        low, high = (round(100 * contrast[end]) for end in ("low", "high"))
        say(
            f"From the side the bait is {abs(round(100 * contrast['value']))} % {way} than the "
            f"open water ({low} to {high} %)."
        )
    for note in scene["notes"]:
        say(f"Note: {note}")


def show_plan(asked: Asked, count: int, *, as_json: bool) -> None:
    """Plan a pour."""
    answer = plan_as_json(asked.plan(count))
    if as_json:
        say_json(answer)
    else:
        _tell_plan(answer)


def _amount(ingredient: Answer) -> str:
    text = f"{ingredient['grams']:g} g {ingredient['supply']}"
    if ingredient["drops"] is not None:
        text += f" = {ingredient['drops']} drops ({ingredient['drops_exact']:.1f})"
    if ingredient["teaspoons"]:
        text += f" ≈ {_range(ingredient['teaspoons'], 2)} US tsp"
    text += f", {ingredient['when']}"
    return text + (f". {ingredient['caution']}" if ingredient["caution"] else "")


def _tell_plan(answer: Answer) -> None:
    both = "" if answer["cup_b_g"] is None else f", cup B {answer['cup_b_g']:.1f} g"
    say(
        f"{answer['good']} good baits: {answer['to_mould']} to mould, {answer['shots']} shots, "
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
    _prepare()
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
