"""A chip of one bottle in plain plastic, as a side whose light can be asked for."""

from __future__ import annotations

from partline.materials.spectrum import Optics, Shape, Spectrum, Term
from partline.materials.supply import Colourant, Grade
from partline.process.composition import LOADING_BASIS, Composition, Part
from partline.process.optics import SideOptics, side_optics
from partline.process.plain_light import PLAIN
from partline.quantities.estimate import Estimate, Origin

_A, _FALL, _S, _WANE, _G = PLAIN

#: Nearly clear fused plastic, as chips are made of. A default: its heat is never asked for.
PLAIN_PLASTIC = Grade(
    name="plain plastic",
    density=Estimate.exact(1016.0, Origin.DEFAULT),
    resin_share=Estimate.exact(0.15, Origin.DEFAULT),
    expansion=Estimate.exact(7e-4, Origin.DEFAULT),
    band_low=423.15,
    band_high=438.15,
    target=448.15,
    ceiling=453.15,
    optics=Optics(
        absorption=Spectrum(terms=(Term(shape=Shape.POWER, height=_A, spread=_FALL),)),
        scattering=Spectrum(terms=(Term(shape=Shape.POWER, height=_S, spread=_WANE),)),
        anisotropy=_G,
    ),
)


def chip_side(
    colour: Colourant, *, drops: float | None = None, share: float | None = None
) -> SideOptics:
    """Return what a chip of one bottle does to light.

    Parameters
    ----------
    colour : Colourant
        Measured or not.
    drops : float, optional
        In every 100 g; this or `share`.
    share : float, optional
        Mass share of the colourant. [-]
    """
    if share is None:
        share = (drops or 0.0) * colour.drop_mass.value / LOADING_BASIS
    parts = (
        Part(supply=PLAIN_PLASTIC, share=1.0 - share),
        Part(supply=colour, share=share, drops=drops),
    )
    return side_optics(Composition(parts=parts))
