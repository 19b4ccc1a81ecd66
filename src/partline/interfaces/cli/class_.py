"""`partline class`: paper and results for several groups at one bench."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

class_app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, add_completion=False)

AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
Workshop = Annotated[
    Path | None,
    typer.Option(
        "--workshop", help="Folder of the workshop. [default: this person's data folder]"
    ),
]
Code = Annotated[str, typer.Argument(help="The class's code.")]
Output = Annotated[Path, typer.Option("--output", "-o", help="Where the PDF is written.")]
Sheet = Annotated[str, typer.Option("--paper", help="a4 or letter.")]


@class_app.command()
def begin(
    recipe: Annotated[str, typer.Argument(help="A kept recipe's name.")],
    mould: Annotated[str, typer.Argument(help="A kept mould's name.")],
    bench: Annotated[str, typer.Argument(help="A kept bench's name.")],
    *,
    count: Annotated[int, typer.Option("--count", help="Good baits for each group.")] = 8,
    groups: Annotated[int, typer.Option("--groups", help="How many groups.")] = 8,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Plan the same pour for every group and say the class's code."""
    from partline.interfaces.cli.teaching import begin_class

    begin_class((recipe, mould, bench), count, groups, workshop, as_json=as_json)


@class_app.command()
def cards(code: Code, output: Output, paper: Sheet = "a4", workshop: Workshop = None) -> None:
    """Print every group's card."""
    from partline.interfaces.cli.teaching import print_cards

    print_cards(code, output, paper, workshop)


@class_app.command()
def wall(
    bench: Annotated[str, typer.Argument(help="A kept bench's name.")],
    output: Output,
    paper: Sheet = "a4",
    workshop: Workshop = None,
) -> None:
    """Print the bench's rules for the wall."""
    from partline.interfaces.cli.teaching import print_wall

    print_wall(bench, output, paper, workshop)


@class_app.command()
def exercise(
    number: Annotated[int, typer.Argument(help="The same number gives the same baits.")],
    output: Output,
    paper: Sheet = "a4",
) -> None:
    """Print three spoiled baits to diagnose, their answers on a second page."""
    from partline.interfaces.cli.teaching import print_exercise

    print_exercise(number, output, paper)


@class_app.command()
def results(code: Code, workshop: Workshop = None, as_json: AsJson = False) -> None:
    """Show what every group made, by number and without names."""
    from partline.interfaces.cli.teaching import show_results

    show_results(code, workshop, as_json=as_json)
