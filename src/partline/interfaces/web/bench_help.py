"""Spill, burn, fumes: what stands on the bench screen when there is no time to look it up.

Usual cautions only. Each begins with what the hand does next and ends with who is asked.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """One kind of trouble.

    Parameters
    ----------
    topic : str
        As it is logged.
    label : str
        On its control.
    steps : tuple of str
        In order, first things first.
    """

    topic: str
    label: str
    steps: tuple[str, ...]


_LAST = "Your local codes and the supplier's safety sheet come before these lines."

#: NOTE: cooling a burn for about 20 minutes under running water is from memory (first-aid
#: councils' usual advice), not seen by us.
HELP: tuple[Help, ...] = (
    Help(
        topic="burn",
        label="Burn",
        steps=(
            "Cool it at once under cool running water, away from the bench, about 20 minutes.",
            "Leave stuck plastic on the skin; take off rings and what is loose around it.",
            "Cover loosely. No ice, no cream.",
            "Face, hands, eyes, larger than a palm, or a child: call your emergency number now.",
            _LAST,
        ),
    ),
    Help(
        topic="spill",
        label="Spill",
        steps=(
            "Hands off and step back: it clings and stays hot for minutes.",
            "Power off. No water on hot plastic: it flashes to steam and spatters.",
            "Let it set, then lift it cold.",
            "If anything burns: out, door shut, call your emergency number.",
            _LAST,
        ),
    ),
    Help(
        topic="fumes",
        label="Fumes",
        steps=(
            "Power off at the wall if it is in reach. Leave the cup where it is, closed.",
            "Everybody out into fresh air; leave the fan on.",
            "Go back only when the air is clear. Do not heat that cup again.",
            "Short of breath, dizzy, burning eyes: call your emergency number. A cough may come "
            "hours later: see a doctor.",
            _LAST,
        ),
    ),
)
