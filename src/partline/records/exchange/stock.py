"""Price, scale readings and dates of a supply, there and back."""

from __future__ import annotations

from partline.errors import Ambiguous, InputError, OutOfRange
from partline.materials.stock import Price, Stock
from partline.quantities.estimate import Estimate
from partline.quantities.units import Kind
from partline.records.exchange.amount import (
    Span,
    read_amount,
    without_blanks,
    write_amount,
    write_estimate,
    write_number,
)
from partline.records.exchange.table import Table

PAID = Span(low=0.01, high=100_000, why="Money stands without a currency.")
PAID_MASS = Span(low=0.1, high=100_000, unit="g")
PAID_VOLUME = Span(low=0.1, high=100_000, unit="mL")
GROSS = Span(low=0.1, high=100_000, unit="g")
TARE = Span(low=0.1, high=20_000, unit="g")


def read_stock(table: Table) -> Stock:
    """Return what a supply's table says of its stock; everything may be left out."""
    gross, tare = _mass(table, "gross", GROSS), _mass(table, "tare", TARE)
    if gross is not None and tare is not None and tare.value > gross.value:
        message = (
            f"{table.label('tare')} is {tare.value * 1e3:.4g} g, more than the "
            f"{gross.value * 1e3:.4g} g of jar and content together."
        )
        table.refuse("tare", message, "Weigh the empty jar again, or swap the two.")
    received, opened = table.day("received"), table.day("opened")
    if received and opened and opened < received:
        message = f"{table.label('opened')} is {opened}, before it was received on {received}."
        table.refuse("opened", message, "Check both dates.")
    return Stock(
        price=_price(table), gross=gross, tare=tare, received=received, opened=opened
    )  # fmt: skip


def _mass(table: Table, key: str, span: Span) -> Estimate | None:
    return table.estimate(key, Kind.MASS, span) if key in table else None


def _price(table: Table) -> Price | None:
    paid, amount = "price" in table, "price_amount" in table
    if not paid and not amount:
        return None
    if paid is not amount:
        missing = "price_amount" if paid else "price"
        words = "how much was paid for" if paid else "what was paid"
        table.refuse(missing, f"It is not said {words}.", "Give both, or neither.")
        return None
    money = table.amount("price", Kind.NUMBER, PAID)
    mass = volume = None
    with table.collecting("price_amount"):
        label, text = table.label("price_amount"), table.raw("price_amount")
        mass, volume = _paid_for(label, text)
    return Price(paid=money, mass=mass, volume=volume) if mass or volume else None


def _paid_for(label: str, text: object) -> tuple[float | None, float | None]:
    """Return the mass or the volume that a price is for."""
    try:
        return read_amount(label, text, Kind.MASS, PAID_MASS), None
    except InputError as no_mass:
        try:
            return None, read_amount(label, text, Kind.VOLUME, PAID_VOLUME)
        except InputError as no_volume:
            raise _neither(no_mass, no_volume) from None


def _neither(no_mass: InputError, no_volume: InputError) -> InputError:
    """Return the refusal that helps, of an amount that reads as no mass and as no volume."""
    if isinstance(no_mass, Ambiguous) and isinstance(no_volume, Ambiguous):
        # A bare ounce of a liquid may be any of three; a bare number is asked about in all.
        readings = tuple(dict.fromkeys((*no_mass.readings, *no_volume.readings)))
        return Ambiguous(no_mass.message, readings=readings, given=no_mass.given)
    knows_mass = isinstance(no_mass, (Ambiguous, OutOfRange))
    return no_mass if knows_mass else no_volume


def stock_document(stock: Stock) -> dict[str, object]:
    """Return a stock as keys of its supply's table."""
    document: dict[str, object] = {}
    if (price := stock.price) is not None:
        document["price"] = write_number(price.paid)
        if price.mass is not None:
            document["price_amount"] = write_amount(price.mass, "g", Kind.MASS)
        elif price.volume is not None:
            document["price_amount"] = write_amount(price.volume, "mL", Kind.VOLUME)
    for key, mass in (("gross", stock.gross), ("tare", stock.tare)):
        if mass is not None:
            document[key] = write_estimate(mass, "g", Kind.MASS)
    return document | without_blanks({"received": stock.received, "opened": stock.opened})
