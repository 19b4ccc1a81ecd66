"""A mould's bait as a body that light is traced through."""

from __future__ import annotations

import numpy as np

from partline.materials.mould import Mould
from partline.physics.response import Body
from partline.process.cavity import profile
from partline.process.section_form import form_of

#: Places along the bait that its skin is kept at.
PLACES = 401


def bait_body(mould: Mould) -> Body:
    """Return the body of one bait, its line at height 0.

    Parameters
    ----------
    mould : Mould
        With at least one station.

    Returns
    -------
    Body
        Sizes as in `partline.process.cavity.profile`; the outline passes evenly from one
        station's form to the next one's.
    """
    along = profile(mould, np.linspace(0.0, 1.0, PLACES))
    places = [station.position for station in mould.stations]
    shares = np.array([np.interp(along.position, places, row) for row in np.eye(len(places))])
    radius = np.einsum(
        "sp,shd->phd", shares, [form_of(station).radius for station in mould.stations]
    )
    return Body(
        length=mould.length,
        half_width=along.half_width,
        above=along.back_half,
        below=along.belly_half,
        radius=radius,
    )
