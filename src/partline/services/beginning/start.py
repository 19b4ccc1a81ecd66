"""From the answers to what is kept, and to a plan whose card can be printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import tomlkit

from partline.errors import NotFound
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant
from partline.process.bench import Bench
from partline.process.recipe import Half, Recipe
from partline.records.documents import Documents, name_key
from partline.records.exchange import read_bench, read_mould, read_recipe, read_shelf
from partline.records.exchange.edit import close_document, open_document
from partline.records.plans import KeptPlan
from partline.records.workshop import Workshop
from partline.services.beginning.answers import Answers, Bottle
from partline.services.beginning.documents import (
    bench_document,
    bottle_document,
    bottles_by_half,
    grade_document,
    mould_document,
    recipe_document,
    shot_mass,
    whole_drops,
)
from partline.services.look import preview_look
from partline.services.plan import plan_pour
from partline.services.runcard import keep_plan
from partline.services.workshop import SHELF, now

#: Baits on the first card.
GOOD = 8
#: A first try starts within these; more colour can be added, none taken out. [drops per 100 g]
LEAST_DROPS, MOST_DROPS = 2, 12
#: Draws behind the loading that is looked for: its middle is wanted, not its range.
FEW_DRAWS = 2
NOTE = "from the first questions"


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """The documents of a beginning, before anything is kept.

    Parameters
    ----------
    shelf, mould, bench, recipe : str
        Their texts; those of the mould and the bench are empty when kept ones are used.
    """

    shelf: str
    mould: str
    bench: str
    recipe: str


def begin(workshop: Workshop, answers: Answers) -> KeptPlan:
    """Keep what the answers make, and a plan for 8 good baits.

    A name that is taken gets a number; a shelf that is there gets a next version with the new
    bottles behind the old ones. Everything is planned once before any of it is kept.

    Raises
    ------
    NotFound
        If the mould or the bench that was chosen is not kept.
    Impossible
        If one shot fits no cup or no syringe; nothing is kept then.
    """
    draft = _draft(workshop, answers)
    workshop.shelves.keep(draft.shelf, now=now(), note=NOTE, name=SHELF)
    recipe = workshop.recipes.add(draft.recipe, now=now(), note=NOTE)
    mould = _kept(workshop.moulds, draft.mould, answers.mould)
    bench = _kept(workshop.benches, draft.bench, answers.bench)
    return keep_plan(
        workshop,
        recipe_id=recipe.version.document_id,
        recipe_version=recipe.version.number,
        mould_id=mould,
        bench_id=bench,
        good=GOOD,
    )


def _kept(store: Documents[Any], text: str, chosen: str) -> str:
    """Return the code of a new document, or of the one that was chosen."""
    return store.add(text, now=now(), note=NOTE).version.document_id if text else chosen


def _draft(workshop: Workshop, answers: Answers) -> Draft:
    shelf_text, names = _shelf(workshop, answers)
    shelf = read_shelf(shelf_text)
    mould_text, mould = _mould(workshop, answers)
    bench_text, bench = _bench(workshop, answers, mould)
    title = _free(workshop.recipes, " over ".join(names.values()))
    recipe_text, recipe = _recipe(title, names, mould, shelf)
    plan_pour(recipe, mould, bench, shelf, good=GOOD)
    return Draft(shelf=shelf_text, mould=mould_text, bench=bench_text, recipe=recipe_text)


def _shelf(workshop: Workshop, answers: Answers) -> tuple[str, dict[Half, str]]:
    """Return the shelf with the bottles on it, and the name that each side's goes by there."""
    try:
        text = workshop.shelves.named(SHELF).version.text
    except NotFound:
        text = ""
    shelf = read_shelf(text)
    tables: dict[str, list[dict[str, object]]] = {}
    if not shelf.grades:
        tables["grade"] = [grade_document()]
    taken = {name_key(supply.name) for supply in shelf}
    names: dict[Half, str] = {}
    added = tables.setdefault("colourant", [])
    chosen = bottles_by_half(answers)
    spare = [(None, each) for each in answers.bottles if each not in chosen.values()]
    for half, bottle in [*chosen.items(), *spare]:
        name = bottle.name
        if not _stands_there(shelf, bottle):
            name = _numbered(name, taken)
            table = bottle_document(bottle, half) | {"name": name}
            taken.add(name_key(name))
            added.append(table)
        if half:
            names[half] = name
    return _behind(text, {key: value for key, value in tables.items() if value}), names


def _stands_there(shelf: Shelf, bottle: Bottle) -> bool:
    """Whether the name alone was given, and a bottle of that name is on the shelf."""
    if bottle.clarity or bottle.patch:
        return False
    keys = {name_key(each.name) for each in shelf if isinstance(each, Colourant)}
    return name_key(bottle.name) in keys


def _behind(text: str, tables: dict[str, list[dict[str, object]]]) -> str:
    """Return a shelf's text, word for word, with new supplies behind those of their kind."""
    if not tables:
        return text
    document = open_document(text)
    for kind, supplies in tables.items():
        if kind not in document:
            document[kind] = tomlkit.aot()
        for supply in supplies:
            table = tomlkit.item(supply)
            table.add(tomlkit.nl())
            document[kind].append(table)
    return close_document(document)


def _mould(workshop: Workshop, answers: Answers) -> tuple[str, Mould]:
    if answers.mould:
        return "", workshop.moulds.get(answers.mould).content
    text = mould_document(answers, _free(workshop.moulds, "first mould"))
    return text, read_mould(text)


def _bench(workshop: Workshop, answers: Answers, mould: Mould) -> tuple[str, Bench]:
    if answers.bench:
        return "", workshop.benches.get(answers.bench).content
    bait = mould.bait_mass.value if mould.bait_mass else None
    shot = mould.cavities * bait + mould.sprue_mass.value if bait else shot_mass(answers)
    text = bench_document(answers, _free(workshop.benches, "first bench"), shot)
    return text, read_bench(text)


def _recipe(title: str, names: dict[Half, str], mould: Mould, shelf: Shelf) -> tuple[str, Recipe]:
    """Return a recipe whose sides hide what is wanted at the widest station, if they can."""
    grade = shelf.grades[0].name
    middle = {half: (name, whole_drops(4), "default") for half, name in names.items()}
    trial = read_recipe(recipe_document(title, grade, middle))
    look = preview_look(trial, mould, shelf, draws=FEW_DRAWS).look
    loads = {}
    for need, (half, name) in zip(look.needs, names.items(), strict=True):
        factor = need.factor(mould.widest.name) if need else None
        drops = MOST_DROPS if need is None or factor is None else need.now * factor
        within = min(max(drops, LEAST_DROPS), MOST_DROPS)
        loads[half] = (name, whole_drops(within), "computed" if within == drops else "default")
    text = recipe_document(title, grade, loads)
    return text, read_recipe(text)


def _free(store: Documents[Any], name: str) -> str:
    """Return a name that is not taken, with a number behind it where it must."""
    keys = {
        name_key(each.name) for hidden in (False, True) for each in store.listed(hidden=hidden)
    }
    return _numbered(name, keys)


def _numbered(name: str, taken: set[str]) -> str:
    number, free = 1, name
    while name_key(free) in taken:
        number += 1
        free = f"{name} {number}"
    return free
