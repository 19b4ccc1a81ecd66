"""The run card of one plan as PDF: words from `sheet`, layout from ``run_card.typ``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib.resources import files
from typing import Any

from partline.interfaces.cards.code import qr_svg
from partline.interfaces.cards.paper import Paper
from partline.interfaces.cards.sheet import sheet

Json = Mapping[str, Any]


def run_card(
    plan: Json,
    look: Json,
    pictures: Mapping[str, bytes],
    *,
    heat: Mapping[str, float | None],
    code: str,
    link: str,
    paper: Paper,
    printed: date,
    group: str = "",
) -> bytes:
    """Print what the bench needs for one plan.

    Parameters
    ----------
    plan : mapping
        From `partline.services.plan.plan_as_json`.
    look : mapping
        From `partline.services.look.look_as_json`, of the same recipe and mould.
    pictures : mapping of bytes
        PNG of the bait under ``back``, ``side`` and ``belly``; any may be missing.
    heat : mapping of float or None
        The label's ``band_low``, ``band_high``, ``target`` and ``ceiling``; what is missing or
        None is left as a blank to fill in by hand. [°C]
    code : str
        Names this plan and its versions, such as ``peat-over-chalk v3 · 7F2A``.
    link : str
        Address behind the QR.
    paper : Paper
        A4 or Letter.
    printed : date
        Day on the card. The same arguments give the same bytes.
    group : str
        Of a class, such as ``3 of 8``; empty outside one.

    Returns
    -------
    bytes
        PDF. One page where it fits; further pages repeat the head.

    Raises
    ------
    InputError
        If `link` is empty or longer than a QR holds.
    """
    import typst

    words = sheet(plan, look, heat=heat, code=code, link=link, printed=printed, group=group)
    data = {
        **words,
        "paper": paper.typst_name,
        "qr": qr_svg(link),
        # A picture travels as numbers: inputs are text, and nothing touches the disk.
        "pictures": {view: list(png) for view, png in pictures.items()},
    }
    template = files("partline.interfaces.cards").joinpath("run_card.typ").read_bytes()
    return typst.compile(
        template,
        ignore_system_fonts=True,
        sys_inputs={"card": json.dumps(data, ensure_ascii=False)},
        timestamp=datetime(printed.year, printed.month, printed.day, tzinfo=UTC),
    )
