"""A bench as a text file, there and back."""

from __future__ import annotations

from partline.process.bench import Bench, Oven, Scale, Syringes, Thermometer, Vessel
from partline.quantities.units import Kind
from partline.records.exchange.amount import (
    Span,
    without_blanks,
    write_amount,
    write_estimate,
    write_number,
)
from partline.records.exchange.document import format_toml, parse_toml
from partline.records.exchange.table import Table

ROOM = Span(low=-10, high=50, unit="°C")
REJECTS = Span(low=0, high=90, unit="%", why="Above 90 % hardly a bait comes out good.")
CAPACITY = Span(low=20, high=20_000, unit="mL")
FILL = Span(low=5, high=95, unit="%", why="Hot plastic rises and has to be stirred.")
CUP_MASS = Span(low=5, high=5000, unit="g")
FILM = Span(low=0, high=100, unit="g")
BARREL = Span(low=5, high=2000, unit="mL")
USABLE = Span(low=10, high=100, unit="%")
LOSS = Span(low=0, high=50, unit="g")
BARREL_MASS = Span(low=5, high=5000, unit="g")
PREHEAT = Span(low=10, high=200, unit="°C", why="Hotter than the melt it would scorch it.")
POWER = Span(low=50, high=5000, unit="W")
HEAT_SHARE = Span(low=1, high=100, unit="%")
FACTOR = Span(low=0.5, high=2, why="A scale that far off is broken, or in another unit.")
EMISSIVITY = Span(low=0.05, high=1, why="Plastic is near 0.95, bare metal near 0.1.")
READING = Span(low=0, high=50, unit="K")
OFFSET = Span(low=-40, high=40, unit="K", why="A thermometer that far off is broken.")
CEILING = Span(low=120, high=230, unit="°C", why="Cooler, nothing fuses; hotter, all breaks down.")


def read_bench(text: str) -> Bench:
    """Return the bench that a document says.

    Raises
    ------
    Invalid
        If anything in it cannot be used; carries every problem with its field.
    InputError
        If it is not a TOML document at all.
    """
    document = Table(parse_toml(text))
    bench = Bench(
        name=document.text("name"),
        room=document.amount("room", Kind.TEMPERATURE, ROOM),
        reject_share=document.amount("reject_share", Kind.SHARE, REJECTS),
        vessel=_vessel(document.table("vessel")),
        syringes=_syringes(document.table("syringes")),
        block_loss=document.table("block").estimate("loss", Kind.MASS, LOSS),
        oven=_oven(document.table("oven")) if "oven" in document else None,
        thermometer=(
            _thermometer(document.table("thermometer")) if "thermometer" in document else None
        ),
        scale=_scale(document.table("scale")) if "scale" in document else None,
        reads_fahrenheit=document.flag("fahrenheit"),
        ceiling=(
            document.amount("ceiling", Kind.TEMPERATURE, CEILING)
            if "ceiling" in document
            else None
        ),
        is_ceiling_locked=_ceiling_locked(document),
        guesses=document.guesses(),
    )
    document.finish("This bench")
    return bench


def _ceiling_locked(document: Table) -> bool:
    is_locked = document.flag("ceiling_locked")
    if is_locked and "ceiling" not in document:
        document.refuse(
            "ceiling_locked", "There is no ceiling to lock.", "Write one, or leave this out."
        )
    return is_locked


def _vessel(table: Table) -> Vessel:
    return Vessel(
        capacity=table.amount("capacity", Kind.VOLUME, CAPACITY),
        fill_limit=table.amount("fill_limit", Kind.SHARE, FILL),
        mass=table.estimate("mass", Kind.MASS, CUP_MASS) if "mass" in table else None,
        film=table.estimate("film", Kind.MASS, FILM),
    )


def _syringes(table: Table) -> Syringes:
    barrel = "barrel_mass" in table
    preheat = "preheat" in table
    return Syringes(
        capacity=table.amount("capacity", Kind.VOLUME, BARREL),
        usable_share=table.amount("usable_share", Kind.SHARE, USABLE),
        heel=table.estimate("heel", Kind.MASS, LOSS),
        barrel_mass=table.estimate("barrel_mass", Kind.MASS, BARREL_MASS) if barrel else None,
        preheat=table.amount("preheat", Kind.TEMPERATURE, PREHEAT) if preheat else None,
        shots_per_draw=table.count("shots_per_draw", 1, 50, default=1),
    )


def _oven(table: Table) -> Oven:
    return Oven(
        power=table.estimate("power", Kind.POWER, POWER),
        share=table.estimate("share", Kind.SHARE, HEAT_SHARE),
    )


def _thermometer(table: Table) -> Thermometer:
    return Thermometer(
        emissivity=table.amount("emissivity", Kind.NUMBER, EMISSIVITY),
        between_cups=table.amount("between_cups", Kind.TEMPERATURE_STEP, READING),
        absolute=table.amount("absolute", Kind.TEMPERATURE_STEP, READING),
        offset=(
            table.estimate("offset", Kind.TEMPERATURE_STEP, OFFSET) if "offset" in table else None
        ),
    )


def _scale(table: Table) -> Scale:
    return Scale(factor=table.estimate("factor", Kind.NUMBER, FACTOR))


def write_bench(bench: Bench) -> str:
    """Return a bench as a document that `read_bench` reads to the same bench."""
    document: dict[str, object] = {
        "name": bench.name,
        "room": write_amount(bench.room, "°C", Kind.TEMPERATURE),
        "reject_share": write_amount(bench.reject_share, "%", Kind.SHARE),
        "vessel": _vessel_document(bench.vessel),
        "syringes": _syringes_document(bench.syringes),
        **without_blanks({"fahrenheit": bench.reads_fahrenheit, "guesses": list(bench.guesses)}),
        "block": {"loss": write_estimate(bench.block_loss, "g", Kind.MASS)},
    }
    if bench.ceiling is not None:
        document["ceiling"] = write_amount(bench.ceiling, "°C", Kind.TEMPERATURE)
    if bench.is_ceiling_locked:
        document["ceiling_locked"] = True
    if bench.oven is not None:
        document["oven"] = {
            "power": write_estimate(bench.oven.power, "W", Kind.POWER),
            "share": write_estimate(bench.oven.share, "%", Kind.SHARE),
        }
    if (thermometer := bench.thermometer) is not None:
        document["thermometer"] = {
            "emissivity": write_number(thermometer.emissivity),
            "between_cups": write_amount(thermometer.between_cups, "K", Kind.TEMPERATURE_STEP),
            "absolute": write_amount(thermometer.absolute, "K", Kind.TEMPERATURE_STEP),
        } | (
            {"offset": write_estimate(thermometer.offset, "K", Kind.TEMPERATURE_STEP)}
            if thermometer.offset is not None
            else {}
        )
    if bench.scale is not None:
        document["scale"] = {"factor": write_estimate(bench.scale.factor, "", Kind.NUMBER)}
    return format_toml(document)


def _vessel_document(vessel: Vessel) -> dict[str, object]:
    document: dict[str, object] = {
        "capacity": write_amount(vessel.capacity, "mL", Kind.VOLUME),
        "fill_limit": write_amount(vessel.fill_limit, "%", Kind.SHARE),
        "film": write_estimate(vessel.film, "g", Kind.MASS),
    }
    if vessel.mass is not None:
        document["mass"] = write_estimate(vessel.mass, "g", Kind.MASS)
    return document


def _syringes_document(syringes: Syringes) -> dict[str, object]:
    document: dict[str, object] = {
        "capacity": write_amount(syringes.capacity, "mL", Kind.VOLUME),
        "usable_share": write_amount(syringes.usable_share, "%", Kind.SHARE),
        "heel": write_estimate(syringes.heel, "g", Kind.MASS),
        "shots_per_draw": syringes.shots_per_draw,
    }
    if syringes.barrel_mass is not None:
        document["barrel_mass"] = write_estimate(syringes.barrel_mass, "g", Kind.MASS)
    if syringes.preheat is not None:
        document["preheat"] = write_amount(syringes.preheat, "°C", Kind.TEMPERATURE)
    return document
