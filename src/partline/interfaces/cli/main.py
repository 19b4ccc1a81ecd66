"""`partline`: one command for each thing a maker does. Heavy imports stay inside functions."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from partline.errors import Error
from partline.interfaces.cli.speak import accept_any_terminal, fail, fault_of_ours

app = typer.Typer(
    name="partline",
    help="Predict a two-colour soft-plastic pour before any plastic is heated.",
    no_args_is_help=True,
    rich_markup_mode=None,
    add_completion=False,
    pretty_exceptions_enable=False,
)

AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
Workshop = Annotated[
    Path | None,
    typer.Option(
        "--workshop", help="Folder of the workshop. [default: this person's data folder]"
    ),
]
DemoWorkshop = Annotated[
    Path | None,
    typer.Option(
        "--workshop", help="Folder of the demo workshop; beside this person's own when left out."
    ),
]
ShelfFile = Annotated[
    Path | None,
    typer.Option("--shelf", help="Shelf file; the recipe's or the workshop's when left out."),
]
RecipeName = Annotated[
    str, typer.Argument(help="Recipe file, or a kept recipe as name or name@2.")
]

MouldName = Annotated[str, typer.Option("--mould", help="Mould file or name.")]
BenchName = Annotated[str, typer.Option("--bench", help="Bench file or name.")]
Count = Annotated[int, typer.Option("--count", help="Good baits wanted.")]
Output = Annotated[Path, typer.Option("--output", "-o", help="PDF to write.")]
Port = Annotated[int, typer.Option("--port", help="Port on this machine; 0 takes a free one.")]
NoOpen = Annotated[bool, typer.Option("--no-open", help="Do not open a browser.")]


@app.command()
def demo(port: Port = 8437, no_open: NoOpen = False, workshop: DemoWorkshop = None) -> None:
    """Serve the demo workshop on this machine."""
    from partline.interfaces.cli.serving import serve_demo

    serve_demo(folder=workshop, port=port, open_browser=not no_open)


@app.command()
def serve(port: Port = 8437, no_open: NoOpen = False, workshop: Workshop = None) -> None:
    """Serve this person's workshop on this machine."""
    from partline.interfaces.cli.serving import serve_workshop

    serve_workshop(folder=workshop, port=port, open_browser=not no_open)


@app.command()
def check(
    file: Annotated[Path, typer.Argument(help="Recipe, mould, bench or shelf file.")],
    shelf: ShelfFile = None,
    as_json: AsJson = False,
) -> None:
    """Check a file: field, value, allowed range and remedy for all that is wrong."""
    from partline.interfaces.cli.answers import check_document

    check_document(file, shelf, as_json=as_json)


@app.command()
def look(
    recipe: RecipeName,
    *,
    mould: MouldName,
    shelf: ShelfFile = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", help="Folder to write the pictures into.")
    ] = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Predict the look: hiding, see-through and distinctness, with advice."""
    from partline.interfaces.cli.answers import Asked, show_look

    asked = Asked(recipe=recipe, mould=mould, shelf=shelf, workshop=workshop)
    show_look(asked, picture, as_json=as_json)


@app.command()
def plan(
    recipe: RecipeName,
    *,
    mould: MouldName,
    bench: BenchName,
    count: Count,
    shelf: ShelfFile = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Plan the cups: shots, melts, and what goes into each cup."""
    from partline.interfaces.cli.answers import Asked, show_plan

    asked = Asked(recipe=recipe, mould=mould, bench=bench, shelf=shelf, workshop=workshop)
    show_plan(asked, count, as_json=as_json)


@app.command()
def card(
    recipe: RecipeName,
    *,
    mould: MouldName,
    bench: BenchName,
    count: Count,
    output: Output = Path("card.pdf"),
    paper: Annotated[str, typer.Option("--paper", help="a4 or letter.")] = "a4",
    shelf: ShelfFile = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Write the run card as a PDF."""
    from partline.interfaces.cli.answers import Asked, write_card

    asked = Asked(recipe=recipe, mould=mould, bench=bench, shelf=shelf, workshop=workshop)
    write_card(asked, count, output, paper, as_json=as_json)


@app.command(name="shelf")
def show_shelf(
    file: Annotated[
        Path | None, typer.Argument(help="Shelf file. [default: the workshop's shelf]")
    ] = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """List the supplies on a shelf."""
    from partline.interfaces.cli.answers import list_shelf

    list_shelf(file, workshop, as_json=as_json)


@app.command()
def export(
    archive: Annotated[Path, typer.Argument(help="Archive to write.")],
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Write everything in the workshop into one archive."""
    from partline.interfaces.cli.keeping import export_to

    export_to(archive, workshop, as_json=as_json)


@app.command(name="import")
def import_(
    archive: Annotated[Path, typer.Argument(help="Archive to read.")],
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Read an archive into an empty workshop."""
    from partline.interfaces.cli.keeping import import_from

    import_from(archive, workshop, as_json=as_json)


def main() -> None:
    """Run the command line: 0 answered, 2 refused with a sentence, 1 a fault of ours."""
    accept_any_terminal()
    as_json = "--json" in sys.argv
    try:
        app()
    except Error as error:
        fail(error, as_json=as_json)
    except Exception as error:  # noqa: BLE001 (the one place that speaks of bugs)
        fault_of_ours(error)
