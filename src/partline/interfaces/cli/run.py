"""`partline run`: a command for each thing done to a run. Heavy imports stay in functions."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

run_app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, add_completion=False)

AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
Workshop = Annotated[
    Path | None,
    typer.Option(
        "--workshop", help="Folder of the workshop. [default: this person's data folder]"
    ),
]
Code = Annotated[str, typer.Argument(help="The run's code.")]


@run_app.command(name="list")
def list_(workshop: Workshop = None, as_json: AsJson = False) -> None:
    """List the runs, newest first."""
    from partline.interfaces.cli.running import list_runs

    list_runs(workshop, as_json=as_json)


@run_app.command()
def begin(
    plan: Annotated[str, typer.Argument(help="Code of a kept plan, as on its card.")],
    *,
    moulds: Annotated[int, typer.Option("--moulds", help="Alike moulds in rotation.")] = 1,
    device: Annotated[str, typer.Option("--device", help="What begins it.")] = "command line",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Begin a run of a kept plan and say its code."""
    from partline.interfaces.cli.running import begin_run

    begin_run(plan, moulds, device, workshop, as_json=as_json)


@run_app.command()
def show(code: Code, workshop: Workshop = None, as_json: AsJson = False) -> None:
    """Show where a run stands, recomputed from its events."""
    from partline.interfaces.cli.running import show_run

    show_run(code, workshop, as_json=as_json)


@run_app.command()
def tell(
    code: Code,
    kind: Annotated[str, typer.Argument(help="What happened, such as stir, reading or shot.")],
    words: Annotated[
        list[str] | None,
        typer.Argument(help="A figure with its unit, such as 174C; key=value for the rest."),
    ] = None,
    *,
    cup: Annotated[str, typer.Option("--cup", help="A or B. [default: both]")] = "",
    at: Annotated[
        str, typer.Option("--at", help="When, such as 2026-03-01T18:30:00Z. [default: now]")
    ] = "",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Tell one thing that happened; nothing is ever taken out again, only corrected."""
    from partline.interfaces.cli.running import tell_run

    tell_run(code, kind, words or [], {"cup": cup, "at": at}, workshop, as_json=as_json)


@run_app.command()
def export(
    code: Code,
    *,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", help="File to write: .json or .csv. [default: the screen]"),
    ] = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Write out all events of a run with their corrections, for reading elsewhere."""
    from partline.interfaces.cli.running import export_run_to

    export_run_to(code, output, workshop, as_json=as_json)
