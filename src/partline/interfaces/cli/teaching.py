"""What `partline class` says and prints."""

from __future__ import annotations

from pathlib import Path

from partline.interfaces.cards import paper_named
from partline.interfaces.cards.for_class import cards_of_class, exercise_sheet, wall_rules
from partline.interfaces.cli.speak import say, say_json, writing
from partline.services import classes
from partline.services.workshop import now, open_at


def begin_class(
    names: tuple[str, str, str], count: int, groups: int, folder: Path | None, *, as_json: bool
) -> None:
    """Plan the same pour for every group of a class."""
    recipe, mould, bench = names
    with open_at(folder) as workshop:
        code = classes.begin_class(
            workshop,
            recipe_id=workshop.recipes.named(recipe).version.document_id,
            mould_id=workshop.moulds.named(mould).version.document_id,
            bench_id=workshop.benches.named(bench).version.document_id,
            good=count,
            groups=groups,
        )
    if as_json:
        say_json({"class": code, "groups": groups})
    else:
        say(f"Class {code}, {groups} groups.")


def print_cards(code: str, output: Path, paper: str, folder: Path | None) -> None:
    """Print every group's card."""
    with open_at(folder) as workshop:
        pdf = cards_of_class(
            classes.class_cards(workshop, code),
            link=lambda plan: f"Partline: plan {plan}",
            paper=paper_named(paper),
            printed=now().date(),
        )
    _write(output, pdf)


def print_wall(bench: str, output: Path, paper: str, folder: Path | None) -> None:
    """Print the rules of a bench."""
    with open_at(folder) as workshop:
        kept = workshop.benches.named(bench).content
    _write(output, wall_rules(kept, paper=paper_named(paper), printed=now().date()))


def print_exercise(number: int, output: Path, paper: str) -> None:
    """Print three spoiled baits and their answers."""
    pdf = exercise_sheet(number, paper=paper_named(paper), printed=now().date())
    _write(output, pdf)


def show_results(code: str, folder: Path | None, *, as_json: bool) -> None:
    """Show what every group made."""
    with open_at(folder) as workshop:
        found = classes.class_results(workshop, code)
    if as_json:
        say_json(found)
        return
    say(f"Class {found['class']}: {found['recipe']} in {found['mould']} on {found['bench']}")
    for each in found["groups"]:
        if each["good"] is None:
            say(f"Group {each['group']}: {'not judged' if each['run'] else 'no run'} yet.")
            continue
        low, high = (f"{100 * end:.0f}" for end in each["share"])
        cause = f", spoiled by: {each['spoiled_by']}" if each["spoiled_by"] else ""
        say(
            f"Group {each['group']}: {each['good']} of {each['moulded']} good, true share {low} "
            f"to {high} % (80 % range){cause}."
        )
    for line in found["says"]:
        say(line)


def _write(output: Path, pdf: bytes) -> None:
    with writing(output):
        output.write_bytes(pdf)
    say(f"Written to {output}.")
