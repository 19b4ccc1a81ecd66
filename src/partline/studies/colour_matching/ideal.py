"""Bottles that nobody owns yet: plain kinds with invented spectra, to say which would help."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from partline.materials.spectrum import Optics, Shape, Spectrum, Term
from partline.materials.supply import Clarity, Colourant
from partline.process.composition import LOADING_BASIS
from partline.process.likely_bottle import EXPONENT, LIKELY
from partline.quantities.estimate import Estimate, Origin

NM = 1e-9
#: One drop. [kg]
DROP = 30e-6
#: A coloured bottle absorbs this many times the middling absorption of its clarity in its band;
#: an opaque one, whose middle is that of whites, more. [-]
BAND = {Clarity.CLEAR: 6.0, Clarity.OPAQUE: 25.0, Clarity.PEARL: 1.0}
#: The same for black and for smoke. [-]
BLACK = {Clarity.CLEAR: 4.0, Clarity.OPAQUE: 60.0}
#: What a white still absorbs, against the middling absorption. [-]
WHITE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Where one colour absorbs.

    Parameters
    ----------
    shape : Shape
        Of the band.
    place, spread : float
        [nm]
    """

    shape: Shape
    place: float
    spread: float


_EDGE, _HILL = Shape.EDGE, Shape.HILL
#: Bands of each plain colour: defaults, no source; they stand for no bottle in particular.
BANDS = {
    "red": (Band(shape=_EDGE, place=590, spread=12),),
    "orange": (Band(shape=_EDGE, place=550, spread=14),),
    "yellow": (Band(shape=_EDGE, place=495, spread=12),),
    "green": (Band(shape=_HILL, place=650, spread=48), Band(shape=_EDGE, place=465, spread=15)),
    "blue": (Band(shape=_HILL, place=615, spread=58),),
    "purple": (Band(shape=_HILL, place=555, spread=42),),
    "brown": (Band(shape=Shape.DECAY, place=500, spread=80),),
}


@cache
def ideal_bottles() -> tuple[Colourant, ...]:
    """Return the kinds that are tried, named in plain words."""
    clear = [_bottle(f"a clear {hue}", Clarity.CLEAR, hue) for hue in BANDS]
    opaque = [_bottle(f"an opaque {hue}", Clarity.OPAQUE, hue) for hue in BANDS]
    return (
        *clear,
        _bottle("a clear smoke", Clarity.CLEAR, "black"),
        *opaque,
        _bottle("a black", Clarity.OPAQUE, "black"),
        _bottle("an opaque white", Clarity.OPAQUE, "white"),
        _bottle("a white pearl", Clarity.PEARL, "white"),
    )


def _bottle(name: str, clarity: Clarity, hue: str) -> Colourant:
    likely, drop_share = LIKELY[clarity], DROP / LOADING_BASIS
    level = likely.absorption / drop_share
    if hue in BANDS:
        absorbs = tuple(
            Term(shape=band.shape, height=BAND[clarity] * level, place=band.place * NM,
                 spread=band.spread * NM)
            for band in BANDS[hue]
        )  # fmt: skip
    else:
        factor = BLACK[clarity] if hue == "black" else WHITE
        absorbs = (Term(shape=Shape.LEVEL, height=factor * level),)
    scatters = Term(
        shape=Shape.POWER, height=likely.scattering / drop_share * (0.1 if hue == "black" else 1),
        spread=EXPONENT,
    )  # fmt: skip
    return Colourant(
        name=name,
        density=Estimate.exact(1050.0, Origin.DEFAULT),
        clarity=clarity,
        drop_mass=Estimate.exact(DROP, Origin.DEFAULT),
        strength=Estimate.exact(1.0, Origin.DEFAULT),
        optics=Optics(
            absorption=Spectrum(terms=absorbs),
            scattering=Spectrum(terms=(scatters,)),
            anisotropy=likely.anisotropy,
        ),
    )
