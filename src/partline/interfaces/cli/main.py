"""`partline`: one command for each thing a maker does. Heavy imports stay inside functions."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from partline.errors import Error
from partline.interfaces.cli.class_ import class_app
from partline.interfaces.cli.run import run_app
from partline.interfaces.cli.speak import accept_any_terminal, fail, fault_of_ours, misspoken

app = typer.Typer(
    name="partline",
    help="Predict a two-colour soft-plastic pour before any plastic is heated.",
    no_args_is_help=True,
    rich_markup_mode=None,
    add_completion=False,
    pretty_exceptions_enable=False,
)

app.add_typer(
    class_app, name="class", help="A class: a card for each group, rules, baits to diagnose."
)
app.add_typer(
    run_app, name="run", help="Runs at the bench: begin one, tell what happens, show, write out."
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
LetIn = Annotated[
    bool,
    typer.Option(
        "--let-in", help="Let phones on this network in, each with a one-time code under Devices."
    ),
]
Called = Annotated[
    list[str] | None,
    typer.Option(
        "--called", help="Name of this machine on that network. [default: its address there]"
    ),
]


@app.command()
def demo(
    port: Port = 8437,
    no_open: NoOpen = False,
    let_in: LetIn = False,
    called: Called = None,
    workshop: DemoWorkshop = None,
) -> None:
    """Serve the demo workshop on this machine."""
    from partline.interfaces.cli.serving import Door, serve_demo

    names = tuple(called or ())
    serve_demo(workshop, Door(port=port, lets_in=let_in, names=names, opens_browser=not no_open))


@app.command()
def serve(
    port: Port = 8437,
    no_open: NoOpen = False,
    let_in: LetIn = False,
    called: Called = None,
    workshop: Workshop = None,
) -> None:
    """Serve this person's workshop on this machine."""
    from partline.interfaces.cli.serving import Door, serve_workshop

    names = tuple(called or ())
    door = Door(port=port, lets_in=let_in, names=names, opens_browser=not no_open)
    serve_workshop(workshop, door)


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
    turn: Annotated[
        str, typer.Option(help="Degrees of the turned picture: 0 back, 90 side, 180 belly.")
    ] = "45",
    card: Annotated[str, typer.Option(help="Card behind: pale, grey or dark.")] = "pale",
    light: Annotated[
        str, typer.Option(help="daylight, overcast, shade, lamp, warm led or cool led.")
    ] = "daylight",
    gloss: Annotated[bool, typer.Option("--gloss", help="Show what the skin mirrors.")] = False,
    around: Annotated[str, typer.Option("--in", help="air, lake or sea.")] = "air",
    lake: Annotated[str, typer.Option(help="clear, green, tea-stained or muddy.")] = "green",
    secchi: Annotated[str, typer.Option(help="Where a white disk goes out of sight.")] = "",
    sea: Annotated[str, typer.Option(help="Jerlov's type: I, IA, IB, II, III, 1C to 9C.")] = "II",
    depth: Annotated[str, typer.Option(help="Of the bait in the water.")] = "",
    distance: Annotated[str, typer.Option(help="From the eye to the bait.")] = "",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Predict the look: hiding, see-through and distinctness, with advice."""
    from partline.interfaces.cli.answers import Asked
    from partline.interfaces.cli.looking import show_look

    asked = Asked(recipe=recipe, mould=mould, shelf=shelf, workshop=workshop)
    scene = {
        "turn": turn, "card": card, "light": light, "gloss": gloss, "around": around,
        "lake": lake, "secchi": secchi, "sea": sea, "depth": depth, "distance": distance,
    }  # fmt: skip
    show_look(asked, picture, scene, as_json=as_json)


@app.command()
def tables(
    mould: Annotated[str, typer.Argument(help="Mould: file, or name in the workshop.")],
    *,
    around: Annotated[str, typer.Option("--in", help="air, or lake or sea for water.")] = "air",
    preview: Annotated[bool, typer.Option("--preview", help="The first pass only.")] = False,
    status: Annotated[bool, typer.Option("--status", help="Only say where it stands.")] = False,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Make a mould's fine pictures: light traced through its own shape, kept for every recipe."""
    from partline.interfaces.cli.tables import make_tables

    make_tables(mould, around, workshop, is_preview=preview, is_status=status, as_json=as_json)


@app.command()
def compare(
    before: RecipeName,
    after: RecipeName,
    *,
    mould: MouldName,
    shelf: ShelfFile = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Compare two recipes, or two versions of one: what changed, and how both look."""
    from partline.interfaces.cli.comparing import compare_recipes

    compare_recipes(before, after, mould, shelf, workshop, as_json=as_json)


@app.command()
def match(
    recipe: RecipeName,
    *,
    mould: MouldName,
    back: Annotated[
        str, typer.Option("--back", help="Colour wanted: Lab 40 5 20, #6b5a33, or photo #6b5a33.")
    ] = "",
    belly: Annotated[str, typer.Option("--belly", help="The same for the belly.")] = "",
    like: Annotated[
        str, typer.Option("--like", help="Recipe whose look is wanted: file, name or name@2.")
    ] = "",
    like_shelf: Annotated[
        Path | None,
        typer.Option("--like-shelf", help="Shelf file it was poured from, such as an old lot's."),
    ] = None,
    side: Annotated[str, typer.Option("--side", help="back or belly, to match that alone.")] = "",
    cup_back: Annotated[
        str, typer.Option("--cup-back", help="Filling of the back's cup. [default: 100 g]")
    ] = "",
    cup_belly: Annotated[
        str, typer.Option("--cup-belly", help="Filling of the belly's cup. [default: 100 g]")
    ] = "",
    without: Annotated[
        list[str] | None, typer.Option("--without", help="Bottle to leave alone; may be repeated.")
    ] = None,
    only: Annotated[
        list[str] | None, typer.Option("--only", help="Bottle to choose from; may be repeated.")
    ] = None,
    most_colourants: Annotated[
        str, typer.Option("--most-colourants", help="Bottles in one side. [default: 4]")
    ] = "",
    most_drops: Annotated[
        str, typer.Option("--most-drops", help="Drops in 100 g of one side.")
    ] = "",
    most_grams: Annotated[
        str, typer.Option("--most-grams", help="Colour in 100 g of one side. [default: 3 g]")
    ] = "",
    shelf: ShelfFile = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Match a colour with the bottles on the shelf: drops for the actual cups."""
    from partline.interfaces.cli.matching import Asked, tell_match

    wish = {
        "back": back, "belly": belly, "side": side, "cup_back": cup_back, "cup_belly": cup_belly,
        "most_colourants": most_colourants, "most_drops": most_drops, "most_grams": most_grams,
        "only": tuple(only or ()), "without": tuple(without or ()),
    }  # fmt: skip
    asked = Asked(
        recipe=recipe, mould=mould, wish=wish, like=like, shelf=shelf, like_shelf=like_shelf,
        workshop=workshop,
    )  # fmt: skip
    tell_match(asked, as_json=as_json)


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


@app.command()
def cool(
    *,
    reading: Annotated[
        list[str] | None,
        typer.Option(
            "--reading", help="Time and temperature, such as 40s=168.6C or B:1:20=165C unstirred."
        ),
    ] = None,
    start: Annotated[
        str, typer.Option("--start", help="Upper end of the working band, such as 163C.")
    ] = "",
    stop: Annotated[str, typer.Option("--stop", help="Lower end of the working band.")] = "",
    room: Annotated[
        str, typer.Option("--room", help="The room. [default: the bench's, or 22C]")
    ] = "",
    mass: Annotated[str, typer.Option("--mass", help="Plastic in a cup, such as 162g.")] = "",
    now: Annotated[
        str, typer.Option("--now", help="Moment it is now. [default: that of the last reading]")
    ] = "",
    draw: Annotated[str, typer.Option("--draw", help="Taken out of a cup, a draw.")] = "",
    every: Annotated[str, typer.Option("--every", help="From draw to draw, such as 45s.")] = "",
    draws: Annotated[str, typer.Option("--draws", help="Draws wanted. [default: 20]")] = "",
    bench: Annotated[
        str, typer.Option("--bench", help="Bench file or name: vessel, room and thermometer.")
    ] = "",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Count a cooling cup down to its start and its stop, with a range."""
    from partline.interfaces.cli.cooling import tell_cooling

    given = {
        "start": start, "stop": stop, "room": room, "mass": mass, "now": now, "draw": draw,
        "every": every, "draws": draws,
    }  # fmt: skip
    tell_cooling(reading or (), given, bench, workshop, as_json=as_json)


@app.command()
def heat(
    recipe: RecipeName,
    *,
    mould: MouldName,
    bench: BenchName,
    count: Count,
    melt: Annotated[int, typer.Option("--melt", help="Which melt of the plan.")] = 1,
    heat: Annotated[int, typer.Option("--heat", help="Which heat of it; 2 is a top-up.")] = 1,
    moulds: Annotated[int, typer.Option("--moulds", help="Alike moulds in rotation.")] = 1,
    begins: Annotated[
        str, typer.Option("--from", help="The cups as they are read now, such as 22C.")
    ] = "",
    shelf: ShelfFile = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Plan the bursts of a heat: seconds, stirs, what goes in when, and what to read."""
    from partline.interfaces.cli.answers import Asked
    from partline.interfaces.cli.heating import tell_heating

    asked = Asked(recipe=recipe, mould=mould, bench=bench, shelf=shelf, workshop=workshop)
    which = {"melt": melt, "heat": heat, "moulds": moulds}
    tell_heating(asked, count, which, begins, as_json=as_json)


@app.command(name="open")
def open_(
    mould: Annotated[str, typer.Argument(help="Mould: file, or name in the workshop.")],
    *,
    pour: Annotated[
        str, typer.Option("--from", help="The plastic as it enters, such as 163C.")
    ] = "",
    wall: Annotated[
        str, typer.Option("--wall", help="The mould, as it reads while it works. [default: 40C]")
    ] = "",
    open_at: Annotated[
        str, typer.Option("--open-at", help="Core to open at. [default: 60C]")
    ] = "",
    shots: Annotated[
        int, typer.Option("--shots", help="Follow the warming mould through so many shots.")
    ] = 0,
    every: Annotated[
        str, typer.Option("--every", help="From one filling to the next. [default: 5 min]")
    ] = "",
    mould_mass: Annotated[
        str, typer.Option("--mould-mass", help="The mould on a scale; guessed when left out.")
    ] = "",
    bench: Annotated[
        str, typer.Option("--bench", help="Bench file or name: room and thermometer.")
    ] = "",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Say when a mould may be opened, and how that lengthens as it warms."""
    from partline.interfaces.cli.opening import tell_opening

    given = {
        "from": pour, "wall": wall, "open-at": open_at, "every": every, "mould-mass": mould_mass,
    }  # fmt: skip
    tell_opening(mould, bench, given, shots, workshop, as_json=as_json)


@app.command()
def shots(
    recipe: RecipeName,
    *,
    mould: MouldName,
    bench: BenchName,
    count: Count,
    moulds: Annotated[int, typer.Option("--moulds", help="Alike moulds in rotation.")] = 1,
    wall: Annotated[
        str, typer.Option("--wall", help="The moulds before their first shot. [default: 40C]")
    ] = "",
    mould_mass: Annotated[
        str, typer.Option("--mould-mass", help="One mould on a scale; guessed when left out.")
    ] = "",
    shelf: ShelfFile = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Plan the heats: shots per heat with so many moulds, and which mould when."""
    from partline.interfaces.cli.answers import Asked
    from partline.interfaces.cli.opening import tell_shots

    asked = Asked(recipe=recipe, mould=mould, bench=bench, shelf=shelf, workshop=workshop)
    given = {"wall": wall, "mould-mass": mould_mass}
    tell_shots(asked, count, moulds, given, as_json=as_json)


@app.command()
def verdict(
    code: Annotated[str, typer.Argument(help="Code of the run.")],
    *,
    confirmed: Annotated[
        str,
        typer.Option(
            "--confirmed",
            metavar="CAUSE",
            help="Tell first what it was after all, such as “wrap-round”; “none” takes it back.",
        ),
    ] = "",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Say what spoiled a run: causes, actions, the next look, and the one change to make."""
    from partline.interfaces.cli.verdict import tell_verdict

    tell_verdict(code, workshop, confirmed=confirmed, as_json=as_json)


@app.command()
def learn(
    bench: Annotated[
        str, typer.Argument(help="Bench in the workshop; may be left out where there is one.")
    ] = "",
    *,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Say what runs have taught of a bench: before, from what, and now."""
    from partline.interfaces.cli.learning import tell_learned

    tell_learned(bench, workshop, as_json=as_json)


@app.command()
def luck(
    first: Annotated[str, typer.Argument(help="Good and counted, such as 3/4.")],
    second: Annotated[str, typer.Argument(help="Another count: is it the better one?")] = "",
    *,
    per_shot: Annotated[
        int, typer.Option("--per-shot", help="Baits of one shot, which share a fate.")
    ] = 1,
    as_json: AsJson = False,
) -> None:
    """Say what so many good baits tell, whether two runs differ, and how many it would take."""
    from partline.interfaces.cli.recalling import tell_luck

    tell_luck(first, second, per_shot, as_json=as_json)


@app.command()
def forecasts(workshop: Workshop = None, as_json: AsJson = False) -> None:
    """Hold the forecasts of good baits against what came, beside habit and the rule of thumb."""
    from partline.interfaces.cli.forecasts import tell_scores

    tell_scores(workshop, as_json=as_json)


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


@app.command(name="mould")
def show_mould(
    mould: Annotated[str, typer.Argument(help="Mould file, or a kept mould as name or name@2.")],
    *,
    photo: Annotated[
        Path | None, typer.Option("--photo", help="Keep this photo of a kept mould.")
    ] = None,
    shows: Annotated[
        str, typer.Option("--shows", help="What the photo shows: bottom_mark or slice.")
    ] = "bottom_mark",
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Show a mould: its stations, its volume by shape and by weighing, its photos."""
    from partline.interfaces.cli.mould import tell_mould

    tell_mould(mould, workshop, photo, shows, as_json=as_json)


@app.command(name="photo-card")
def photo_card(
    output: Output,
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    number: Annotated[int, typer.Option(help="Which print this is; photos of it tell.")] = 1,
    as_json: AsJson = False,
) -> None:
    """Print the card that photos of baits and slices are measured on."""
    from partline.interfaces.cli.photo import print_photo_card

    print_photo_card(output, paper, number, as_json=as_json)


@app.command()
def photo(
    file: Annotated[Path, typer.Argument(help="Photo on the printed card: JPEG, PNG or WebP.")],
    *,
    kind: Annotated[str, typer.Option("--kind", help="bait, slice or sprue.")] = "bait",
    line: Annotated[
        str, typer.Option("--line", help="The card's line under a ruler, such as “99.2 mm”.")
    ] = "",
    tap: Annotated[
        list[str] | None,
        typer.Option("--tap", help="Where it lies, in pixels, as “1210,860”; back, then belly."),
    ] = None,
    stripped: Annotated[
        Path | None,
        typer.Option("--stripped", help="Write a copy without place, time and camera."),
    ] = None,
    run: Annotated[
        str, typer.Option("--run", help="Keep the photo, and what it says, with this run.")
    ] = "",
    day: Annotated[
        str, typer.Option("--day", help="With --run: days since the pour. [default: today]")
    ] = "",
    shot: Annotated[str, typer.Option("--shot", help="With --run: number of the shot.")] = "",
    baits: Annotated[str, typer.Option("--baits", help="With --run: which baits.")] = "",
    keep_refused: Annotated[
        bool, typer.Option("--keep", help="With --run: keep a refused photo too, unmeasured.")
    ] = False,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Measure a photo: contrast of back and belly, or of a slice's halves and its line."""
    from partline.interfaces.cli.photo import pointed_by, tell_photo

    if not run:
        tell_photo(file, kind, line, tap or [], stripped, as_json=as_json)
        return
    from partline.interfaces.cli.run_photos import Typed, keep_photo

    typed = Typed(
        run=run, kind=kind, day=day, shot=shot, baits=baits, line=line, keeps_refused=keep_refused
    )
    pointed = pointed_by(file, kind, tap or [], stripped)
    keep_photo(file, typed, workshop, pointed=pointed, stripped=stripped, as_json=as_json)


@app.command(name="photo-due")
def photo_due(workshop: Workshop = None, as_json: AsJson = False) -> None:
    """Say which runs' baits are to be photographed: on the day, after a week, after a month."""
    from partline.interfaces.cli.run_photos import tell_due

    tell_due(workshop, as_json=as_json)


@app.command(name="bench")
def show_bench(
    bench: Annotated[str, typer.Argument(help="Bench file, or a kept bench as name or name@2.")],
    lock: Annotated[
        str, typer.Option("--lock", help="Lock its own ceiling, such as '175 °C'.")
    ] = "",
    unlock: Annotated[bool, typer.Option("--unlock", help="Let it be changed again.")] = False,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Show a bench: what stays behind, cups, syringes, oven, thermometer; lock its ceiling."""
    from partline.interfaces.cli import workshop as shown

    if lock or unlock:
        shown.hold_ceiling(bench, lock, workshop, unlock=unlock)
    shown.show_bench(bench, workshop, as_json=as_json)


@app.command()
def keep(
    file: Annotated[Path, typer.Argument(help="Recipe, mould, bench or shelf file.")],
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Keep a file in the workshop, as its next version when its name is there already."""
    from partline.interfaces.cli.workshop import keep_file

    keep_file(file, workshop, as_json=as_json)


@app.command()
def bottle(
    name: Annotated[str, typer.Argument(help="The bottle's name; a new one is entered.")],
    *,
    clarity: Annotated[
        str, typer.Option("--clarity", help="clear, opaque, pearl or fluorescent.")
    ] = "",
    lot: Annotated[str, typer.Option("--lot", help="Code of its lot.")] = "",
    patch: Annotated[
        str, typer.Option("--patch", help="Colour of a chip over white, as #7a5a2b.")
    ] = "",
    hiding: Annotated[
        str, typer.Option("--hiding", help="Share of the printed card's step a chip hides.")
    ] = "",
    loading: Annotated[
        str, typer.Option("--loading", help="Of the chip, such as “3 drops”.")
    ] = "",
    thickness: Annotated[
        str, typer.Option("--thickness", help="Of the chip, such as “2 mm”.")
    ] = "",
    drops: Annotated[str, typer.Option("--drops", help="Drops counted onto the scale.")] = "",
    net: Annotated[str, typer.Option("--net", help="What they weigh, such as “1.5 g”.")] = "",
    gross: Annotated[str, typer.Option("--gross", help="Cup and drops, with --tare.")] = "",
    tare: Annotated[str, typer.Option("--tare", help="The empty cup.")] = "",
    step: Annotated[
        str, typer.Option("--step", help="Smallest step of the scale. [default: 0.1 g]")
    ] = "",
    old: Annotated[
        str, typer.Option("--old", help="The old lot: drops, or the hiding of its chip.")
    ] = "",
    new: Annotated[
        str, typer.Option("--new", help="The new lot, looking alike or in a like chip.")
    ] = "",
    shelf: Annotated[
        Path | None, typer.Option("--shelf", help="Shelf file; the workshop's when left out.")
    ] = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Show a bottle; enter it, weigh its drop, or compare a new lot of it."""
    from partline.interfaces.cli.bottle import Typed, tell_bottle

    typed = Typed(
        name=name, clarity=clarity, lot=lot, patch=patch, hiding=hiding, loading=loading,
        thickness=thickness, drops=drops, net=net, gross=gross, tare=tare, step=step,
        old=old, new=new,
    )  # fmt: skip
    tell_bottle(typed, shelf, workshop, as_json=as_json)


@app.command()
def chip(
    photo: Annotated[
        Path | None,
        typer.Argument(help="Photo of a stepped chip on the printed card; or give --step."),
    ] = None,
    *,
    bottle: Annotated[str, typer.Option("--bottle", help="The bottle's name.")],
    lot: Annotated[
        str, typer.Option("--lot", help="Code of the chip's lot. [default: the lot in use]")
    ] = "",
    loading: Annotated[
        str, typer.Option("--loading", help="Of the chip in 100 g: “3 drops” or “0.1 g”.")
    ] = "",
    thickness: Annotated[
        str, typer.Option("--thickness", help="Steps by calliper: “1.05, 2.1, 3.9 mm”.")
    ] = "",
    step: Annotated[
        list[str] | None,
        typer.Option("--step", help="L* a* b* of one: “2 mm: 62 10 30 / 20 3 8” (white / black)."),
    ] = None,
    doubt: Annotated[
        str, typer.Option("--doubt", help="How far a typed colour may be off. [default: 1]")
    ] = "",
    date: Annotated[str, typer.Option("--date", help="When it was read. [default: today]")] = "",
    against: Annotated[
        str, typer.Option("--against", help="Compare the lot with this older one's chips.")
    ] = "",
    take: Annotated[bool, typer.Option("--take", help="The lot is in use from now on.")] = False,
    shelf: Annotated[
        Path | None, typer.Option("--shelf", help="Shelf file; the workshop's when left out.")
    ] = None,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Measure a bottle's lot with a stepped chip, and compare a new lot with an old one."""
    from partline.interfaces.cli.chip import Said, tell_chip

    said = Said(
        bottle=bottle, lot=lot, loading=loading, date=date, doubt=doubt, thickness=thickness,
        steps=tuple(step or ()), photo=photo, against=against, takes_lot=take,
    )  # fmt: skip
    tell_chip(said, shelf, workshop, as_json=as_json)


@app.command()
def instrument(
    kind: Annotated[str, typer.Argument(help="thermometer, scale or oven.")],
    read: Annotated[
        list[str],
        typer.Argument(help="What was read, as “readings=95.9, 95.6 °C” “against=boiling”."),
    ],
    *,
    bench: Annotated[
        str, typer.Option("--bench", help="Kept bench; may be left out where there is one.")
    ] = "",
    keep: Annotated[bool, typer.Option("--keep", help="Keep it with the bench.")] = False,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Check a bench's thermometer, scale or oven by readings."""
    from partline.interfaces.cli.checking import tell_instrument

    tell_instrument(kind, read, bench, workshop, keeps=keep, as_json=as_json)


@app.command()
def grade(
    kind: Annotated[str, typer.Argument(help="yellowing or viscosity.")],
    read: Annotated[
        list[str],
        typer.Argument(help="What was read, as “fresh=4” “heated=10.5” “thickness=4 mm”."),
    ],
    *,
    name: Annotated[str, typer.Option("--grade", help="The grade's name.")],
    keep: Annotated[bool, typer.Option("--keep", help="Keep it with the grade.")] = False,
    workshop: Workshop = None,
    as_json: AsJson = False,
) -> None:
    """Check how fast a grade yellows, by chips, or how thick it runs hot, by a timed flow."""
    from partline.interfaces.cli.checking import tell_grade

    tell_grade(kind, read, name, workshop, keeps=keep, as_json=as_json)


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
        status = app(standalone_mode=not as_json)
    except Error as error:
        fail(error, as_json=as_json)
    except typer.TyperException as error:  # reaches us only where it must be told as JSON
        fail(misspoken(error), as_json=as_json)
    except Exception as error:  # noqa: BLE001 (the one place that speaks of bugs)
        fault_of_ours(error)
    if status:
        raise SystemExit(status)
