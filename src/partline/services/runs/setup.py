"""The set-up: what is ticked off before any heat. The supplier's sheet and local codes first."""

from __future__ import annotations

from dataclasses import dataclass

from partline.process.run import RunPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One thing to see to.

    Parameters
    ----------
    key : str
        By which it is told.
    word : str
        To read at two metres.
    text : str
        What is meant.
    """

    key: str
    word: str
    text: str


def set_up_ticks(plan: RunPlan) -> tuple[Tick, ...]:
    """Return what to see to before a run, in an order that a hand can follow."""
    syringes = plan.bench.syringes
    warm = "" if syringes.preheat is None else f" warmed to {plan.bench.reading(syringes.preheat)}"
    two = len(plan.letters) > 1
    bands = "cup A solid band and disc" + (", cup B striped band and triangle" if two else "")
    mark = plan.mark or "no mark is recorded for this mould: make one, and enter it"
    told = (
        ("ware", "Ware", "Oven, cups and spoons are kept for plastic, never used for food again."),
        ("air", "Air", "Fan on, exhaust away from your face, door open. Local codes come first."),
        ("gear", "Gear", "Gloves, sleeves, eye cover; a respirator as the supplier's sheet says."),
        ("dry", "Dry", "Tools and moulds dry, stirrer of metal, no open water on the bench."),
        ("bands", "Bands", f"On cups and syringes: {bands}."),
        ("syringes", "Syringe", f"Syringes and block{warm}, plungers moving, seals dry."),
        ("mark", "BOTTOM", f"Mould clamped with its mark below: {mark}."),
        ("reach", "Reach", "Thermometer, stirrer, cutter. Cool running water for a burn, away "
         "from the bench."),
    )  # fmt: skip
    return tuple(Tick(key=key, word=word, text=text) for key, word, text in told)


def missing_ticks(plan: RunPlan, done: frozenset[str]) -> tuple[Tick, ...]:
    """Return what has not been ticked off."""
    return tuple(tick for tick in set_up_ticks(plan) if tick.key not in done)
