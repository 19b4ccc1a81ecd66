"""A remark that travels with an answer to the screen and the card."""

from __future__ import annotations

from dataclasses import dataclass

from partline.quantities.estimate import Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Something the maker should know beside a number.

    Parameters
    ----------
    text : str
        A sentence, with what to do where something can be done.
    about : str
        What it concerns: a supply, a station, a vessel; empty for the whole.
    origin : Origin
        Where the remark comes from.
    """

    text: str
    about: str = ""
    origin: Origin = Origin.COMPUTED
