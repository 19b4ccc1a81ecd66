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


Off = Annotated[bool, typer.Option("--off", help="Take it back; both stay in the record.")]


@run_app.command()
def pin(
    code: Code,
    *,
    off: Off = False,
    text: Annotated[str, typer.Option("--text", help="Why it is a good one.")] = "",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Pin a run as a good one to go back to."""
    from partline.interfaces.cli.recalling import pin_run

    pin_run(code, text, workshop, off=off, as_json=as_json)


@run_app.command()
def aside(
    code: Code,
    *,
    off: Off = False,
    why: Annotated[str, typer.Option("--why", help="Why nothing should be learned from it.")] = "",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Set a run aside: nothing is learned from it, and nothing goes back to it."""
    from partline.interfaces.cli.recalling import set_run_aside

    set_run_aside(code, why, workshop, off=off, as_json=as_json)


@run_app.command()
def changed(
    code: Annotated[str, typer.Argument(help="Code of a run, or of a plan: today's set-up.")],
    *,
    since: Annotated[
        str,
        typer.Option(
            "--from",
            help="Run to go back to. [default: the newest pinned one of this mould and colours]",
        ),
    ] = "",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Say what changed since the last good run, the largest first."""
    from partline.interfaces.cli.recalling import tell_changes

    tell_changes(code, since, workshop, as_json=as_json)


@run_app.command()
def find(
    where: Annotated[
        list[str] | None,
        typer.Argument(help="Such as “start < 160 C” or “belly colourant = Chalk”; all must fit."),
    ] = None,
    *,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Find runs by what they were: colour, mould, start, push, good share."""
    from partline.interfaces.cli.recalling import find_runs

    find_runs(where or [], workshop, as_json=as_json)


@run_app.command()
def photos(code: Code, workshop: Workshop = None, as_json: AsJson = False) -> None:
    """Say what a run's photos tell: figures, answers to looks, and whether anything crept."""
    from partline.interfaces.cli.run_photos import tell_photos

    tell_photos(code, workshop, as_json=as_json)
