"""A recipe as a text file, there and back."""

from __future__ import annotations

import math
from decimal import Decimal

from partline.errors import Imbalance
from partline.process.recipe import (
    GradeShare,
    Half,
    Handling,
    Loading,
    Measure,
    Recipe,
    Side,
    Wanted,
)
from partline.quantities.estimate import Origin
from partline.quantities.units import Kind, parse_loading
from partline.records.exchange.amount import (
    Span,
    plain,
    without_blanks,
    write_amount,
    write_number,
)
from partline.records.exchange.document import format_toml, parse_toml
from partline.records.exchange.table import UNREAD, Table

START = Span(
    low=80,
    high=230,
    unit="°C",
    why="Below 80 °C plastisol does not flow again; above 230 °C it burns and gives off acid.",
)
PUSH = Span(low=0.2, high=120, unit="s")
SHARE = Span(low=0, high=100, unit="%")
HIDING = Span(low=0, high=1, why="1 hides the card wholly.")
#: Most that one loading may ask for in every 100 g. [drops, g]
MOST_DROPS, MOST_GRAMS = 500.0, 60.0
#: How far the shares of a blend may miss 100 % by rounding. [-]
SHARE_TOLERANCE = 1e-6


def read_recipe(text: str) -> Recipe:
    """Return the recipe that a document says.

    Raises
    ------
    Invalid
        If anything in it cannot be used; carries every problem with its field.
    InputError
        If it is not a TOML document at all.
    """
    document = Table(parse_toml(text))
    name = document.text("name")
    version = document.count("version", 1, 1_000_000, default=1)
    note = document.text("note", default="", longest=4000)
    sides = _sides(document)
    wanted = _wanted(document)
    handling = _handling(document)
    document.finish("This recipe")
    return Recipe(
        name=name, version=version, note=note, sides=sides, wanted=wanted, handling=handling
    )


def _sides(document: Table) -> tuple[Side, ...]:
    given = [half for half in Half if half.value in document]
    if Half.WHOLE in given and len(given) > 1:
        message = "A recipe is [whole], or [back] and [belly]; this one has both."
        document.refuse("whole", message, "Take one of them away.")
    elif given in ([Half.BACK], [Half.BELLY]):
        there = given[0]
        missing = Half.BELLY if there is Half.BACK else Half.BACK
        message = f"There is a [{there}] but no [{missing}]."
        remedy = f"Add [{missing}], or call it [whole] if the bait has one colour."
        document.refuse(missing.value, message, remedy)
    elif not given:
        message = "The recipe says nothing about what is poured."
        document.refuse("", message, "Add [back] and [belly], or [whole] for one colour.")
    return tuple(_side(document.table(half.value), half) for half in given)


def _side(table: Table, half: Half) -> Side:
    loadings = tuple(_loading(each, half) for each in table.tables("load"))
    names = [loading.supply.casefold() for loading in loadings if loading.supply]
    for name in sorted({name for name in names if names.count(name) > 1}):
        message = f"“{name}” stands more than once in the {half}."
        table.refuse("load", message, "Write it once, with the amounts added up.")
    grams = math.fsum(each.amount for each in loadings if each.measure is Measure.GRAMS)
    if grams >= 100:
        over = f"The loadings of the {half} come to {grams:g} g in every 100 g"
        message = f"{over}: nothing is left for the plastisol."
        with table.collecting("load"):
            raise Imbalance(message, remedy=f"Take more than {grams - 100:g} g away.")
    return Side(half=half, blend=_blend(table, half), loadings=loadings)


def _blend(table: Table, half: Half) -> tuple[GradeShare, ...]:
    if "blend" not in table:
        return (GradeShare(grade=table.text("grade"), share=1.0),)
    if "grade" in table:
        message = f"The {half} has both a grade and a blend."
        table.refuse("grade", message, "Keep the blend, and take the line “grade” away.")
    shares = table.table("blend")
    blend = tuple(
        GradeShare(grade=name, share=shares.amount(name, Kind.SHARE, SHARE))
        for name in shares.names()
    )
    total = math.fsum(each.share for each in blend)
    if abs(total - 1.0) > SHARE_TOLERANCE:
        off = abs(total - 1.0) * 100
        remedy = f"Take {off:.4g} % away." if total > 1 else f"Add {off:.4g} %."
        with table.collecting("blend"):
            message = f"The blend of the {half} adds up to {total * 100:.6g} %."
            raise Imbalance(message, remedy=remedy)
    return blend


def _loading(table: Table, half: Half) -> Loading:
    supply = table.text("supply")
    entered = table.written("per_100_g")
    label = f"{supply or 'Loading'} in the {half}"
    amount, measure = UNREAD, Measure.DROPS
    if entered:
        with table.collecting("per_100_g"):
            amount, measure = read_loading(entered, label)
    origin = table.choice("origin", Origin, default=Origin.ENTERED)
    return Loading(supply=supply, amount=amount, measure=measure, entered=entered, origin=origin)


def read_loading(text: str, label: str = "Loading") -> tuple[float, Measure]:
    """Return the amount in every 100 g of the filled cup, and what it counts.

    Raises
    ------
    InputError
        If it is negative, too much, has more than one reading or none.

    Examples
    --------
    >>> read_loading("0.25 g")
    (0.25, <Measure.GRAMS: 'g'>)
    """
    loading = parse_loading(text)
    if loading.unit == "drops":
        most, measure, amount = MOST_DROPS, Measure.DROPS, loading.value
    else:
        # Twelve decimals are finer than any scale, and coarser than the float's own noise.
        most, measure, amount = MOST_GRAMS, Measure.GRAMS, round(loading.value * 100, 12)
    Span(low=0, high=most, unit=measure.value).number(label, write_number(amount))
    return amount, measure


def _wanted(document: Table) -> Wanted:
    if "wanted" not in document:
        return Wanted()
    table = document.table("wanted")
    if "hiding" not in table:
        return Wanted()
    return Wanted(hiding=table.amount("hiding", Kind.NUMBER, HIDING), is_default=False)


def _handling(document: Table) -> Handling:
    if "handling" not in document:
        return Handling()
    table = document.table("handling")
    return Handling(
        start=table.amount("start", Kind.TEMPERATURE, START) if "start" in table else None,
        push=table.amount("push", Kind.TIME, PUSH) if "push" in table else None,
    )


def write_recipe(recipe: Recipe) -> str:
    """Return a recipe as a document that `read_recipe` reads to the same recipe.

    A loading is written as it was typed; one that nobody typed is written from its amount.
    """
    handling = recipe.handling
    start, push = handling.start, handling.push
    document: dict[str, object] = {"name": recipe.name, "version": recipe.version}
    document |= without_blanks({"note": recipe.note})
    document |= {side.half.value: _side_document(side) for side in recipe.sides}
    if not recipe.wanted.is_default:
        document["wanted"] = {"hiding": write_number(recipe.wanted.hiding)}
    document |= without_blanks(
        {
            "handling": without_blanks(
                {
                    "start": start and write_amount(start, "°C", Kind.TEMPERATURE),
                    "push": push and write_amount(push, "s", Kind.TIME),
                }
            )
        }
    )
    return format_toml(document)


def _side_document(side: Side) -> dict[str, object]:
    loads = [
        {"supply": each.supply, "per_100_g": each.entered or loading_text(each)}
        | ({} if each.origin is Origin.ENTERED else {"origin": each.origin.value})
        for each in side.loadings
    ]
    if len(side.blend) == 1:
        return {"grade": side.blend[0].grade} | without_blanks({"load": loads})
    blend = {each.grade: write_amount(each.share, "%", Kind.SHARE) for each in side.blend}
    return {"blend": blend} | without_blanks({"load": loads})


def loading_text(loading: Loading) -> str:
    """Return a loading as a maker would type it, such as ``9 drops``.

    Examples
    --------
    >>> loading_text(Loading(supply="Peat", amount=1, measure=Measure.DROPS))
    '1 drop'
    >>> loading_text(Loading(supply="Peat", amount=9.5, measure=Measure.DROPS))
    '9.5 drops'
    """
    amount = plain(Decimal(write_number(loading.amount)))
    unit = "drop" if loading.measure is Measure.DROPS and loading.amount == 1 else loading.measure
    return f"{amount} {unit}"
