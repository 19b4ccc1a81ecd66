"""Stepped chips of a bottle's lots in a document: the calibrations that a shelf keeps."""

from __future__ import annotations

from partline.materials.chip import Chip, LotChip, StepReading
from partline.process.recipe import Measure
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, without_blanks, write_amount, write_number
from partline.records.exchange.chips import THICKNESS, chip_loading, loading_words, read_lab
from partline.records.exchange.table import Table

#: How far colours may be off where nobody says, typed in from whatever read them: each by
#: itself, and all over one backing together. Common practice, no source. [-]
USUAL_DOUBT, USUAL_SHARED = 1.0, 1.5
DOUBT = Span(low=0.1, high=20, why="In L*, a* and b*: a good photo 1, an eye 3.")
SHARED = Span(low=0, high=20, why="In L*, a* and b*, of all colours of the chip together.")
MOST_CHIPS, MOST_STEPS = 40, 8


def read_chips(table: Table) -> tuple[LotChip, ...]:
    """Return the stepped chips listed under a supply, oldest first."""
    listed = table.tables("chip")
    if len(listed) > MOST_CHIPS:
        message = f"{len(listed)} chips are listed; at most {MOST_CHIPS} fit."
        table.refuse("chip", message, "Take the oldest away; older versions still hold them.")
        return ()
    return tuple(_chip(each) for each in listed)


def _chip(table: Table) -> LotChip:
    steps = tuple(_step(each) for each in table.tables("steps"))
    if not steps or len(steps) > MOST_STEPS:
        message = f"This chip has {len(steps)} steps; it has 1 to {MOST_STEPS}."
        table.refuse("steps", message, "List each thickness that was read, once.")
    if len({step.thickness for step in steps}) < len(steps):
        message = "Two steps of this chip are equally thick."
        table.refuse("steps", message, "Keep one of them, or measure them with a calliper.")
    shared = table.amount("shared_doubt", Kind.NUMBER, SHARED, default=USUAL_SHARED)
    return LotChip(
        steps=tuple(sorted(steps, key=lambda step: step.thickness)),
        doubt=table.amount("doubt", Kind.NUMBER, DOUBT, default=USUAL_DOUBT),
        shared_doubt=shared,
        shared_black=table.amount("shared_black", Kind.NUMBER, SHARED, default=shared),
        lot=table.text("lot", default=""),
        day=table.day("date"),
        chip=_loading(table),
        photo=table.text("photo", default="", longest=80),
    )


def _loading(table: Table) -> Chip:
    if "loading" in table and (entered := table.text("loading")):
        with table.collecting("loading"):
            amount, measure = chip_loading(entered)
            if measure is Measure.DROPS:
                return Chip(drops=amount)
            return Chip(share=amount / 100)
    return Chip()


def _step(table: Table) -> StepReading:
    white = read_lab(table, "over_white") if "over_white" in table else None
    black = read_lab(table, "over_black") if "over_black" in table else None
    if "over_white" not in table and "over_black" not in table:
        message = "This step was read neither over white nor over black."
        table.refuse("over_white", message, "Write it as in: over_white = [40, 12, 25]")
    if white is not None and black is not None and black[0] > white[0] + DARKER:
        message = (
            f"L* over black is {black[0]:g}, above the {white[0]:g} over white: no chip is "
            "lighter over black."
        )
        table.refuse("over_black", message, "Check which is which.")
    return StepReading(
        thickness=table.amount("thickness", Kind.LENGTH, THICKNESS),
        is_callipered=table.flag("callipered"),
        over_white=white,
        over_black=black,
    )


#: How much lighter than over white a chip may be read over black, by its readings' doubt. [L*]
DARKER = 6.0


def chips_document(chips: tuple[LotChip, ...]) -> dict[str, object]:
    """Return stepped chips as keys of their supply's table."""
    return without_blanks({"chip": [_chip_document(each) for each in chips]})


def _chip_document(chip: LotChip) -> dict[str, object]:
    document = without_blanks(
        {
            "lot": chip.lot,
            "date": chip.day,
            "loading": loading_words(chip.chip),
            "photo": chip.photo,
        }
    )
    document["doubt"] = write_number(chip.doubt)
    document["shared_doubt"] = write_number(chip.shared_doubt)
    if chip.shared_black != chip.shared_doubt:
        document["shared_black"] = write_number(chip.shared_black)
    document["steps"] = [_step_document(step) for step in chip.steps]
    return document


def _step_document(step: StepReading) -> dict[str, object]:
    document: dict[str, object] = {"thickness": write_amount(step.thickness, "mm", Kind.LENGTH)}
    if step.is_callipered:
        document["callipered"] = True
    for key, lab in (("over_white", step.over_white), ("over_black", step.over_black)):
        if lab is not None:
            document[key] = [write_number(value) for value in lab]
    return document
