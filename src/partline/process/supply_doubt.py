"""How far a supply may be off what its label or its file says of its light."""

from __future__ import annotations

from enum import Enum, auto
from math import hypot, log

from partline.materials.supply import Additive, AdditiveKind, Colourant, Flake, Grade
from partline.process.composition import Part
from partline.process.haze import SALT_DOUBT
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin

#: Haze and own colour of plain fused plastic against what its shelf says, where nobody has
#: measured them. Rigid PVC sheet absorbs 0.05 /mm at 550 nm (Zhang X. et al. 2020, Appl. Opt.
#: 59:2337, read as an index k): the 15 % resin of a soft grade would alone bring three times what
#: is usually written for it. For the haze of soft PVC no source was found.
PLAIN_DOUBT = Estimate.within(
    1.0, 2.0, Origin.DEFAULT,
    source="plain plastic against its shelf: a guess, wide on purpose, a factor of three",
    narrows="a chip of the plastic without colour on the printed card",
)  # fmt: skip
#: The same where its spectra were read off a chip: another spot, another pour of the same jug.
PLAIN_READ = Estimate.within(
    1.0, 0.2, Origin.PRACTICE, source="plain plastic against a chip of it",
    narrows="a second chip of the plastic without colour",
)  # fmt: skip
#: Film as sold, against its label (common practice, no source).
FILM_DOUBT = Estimate.within(
    1.0, 0.15, Origin.PRACTICE, source="film against its label",
    narrows="ten flakes stacked, under a micrometer",
)  # fmt: skip
#: The same where it was read: a stack of ten by a hundredth of a millimetre.
FILM_READ = Estimate.within(
    1.0, 0.04, Origin.PRACTICE, source="film by a stack of ten flakes", narrows="a second stack"
)


class Cause(Enum):
    """What may be in doubt."""

    AMOUNT = auto()  # of a colourant: its drop mass or strength
    BOTTLE = auto()  # what an unmeasured colourant does to light
    SALT = auto()  # haze of real grains
    FILM = auto()  # thickness of flake: so much of it, so many plates
    HAZE = auto()  # of the plain plastic
    TINT = auto()  # its own absorption
    HEAT = auto()  # what yellowing adds
    BUBBLES = auto()  # what air adds
    THICKNESS = auto()  # of the mould


def log_spread(estimate: Estimate) -> float:
    """Return the standard deviation of the logarithm that a positive 80 % range implies. [-]"""
    if estimate.is_exact or estimate.low <= 0:
        return 0.0
    return log(estimate.high / estimate.low) / (2 * HALF_RANGE)


def plain_doubt(grade: Grade) -> Estimate:
    """Return how far plain plastic may be off its coefficients. [-]

    Only what was measured of it counts: another maker's plastic says little of this jug's.
    """
    return PLAIN_READ if grade.optics_origin is Origin.MEASURED else PLAIN_DOUBT


def film_doubt(flake: Flake) -> Estimate:
    """Return how far a flake's film may be off the thickness that stands in its file. [-]"""
    return FILM_READ if flake.thickness_origin is Origin.MEASURED else FILM_DOUBT


def part_doubt(part: Part) -> tuple[Cause, float]:
    """Return what of a part's light is in doubt, and the standard deviation of its logarithm.

    Parameters
    ----------
    part : Part
        Of a side; of a grade, its haze: its own colour is in doubt as much, by itself.
    """
    match part.supply:
        case Grade() as grade:
            return Cause.HAZE, log_spread(plain_doubt(grade))
        case Colourant() as colour:
            # What was read off a chip counted in drops holds for a drop, whatever the drop
            # weighs: only a bottle known one way and dosed the other asks for its drop's mass.
            is_converted = (part.drops is not None) is colour.is_known_by_mass
            counted = log_spread(colour.drop_mass) if is_converted else 0.0
            return Cause.AMOUNT, hypot(counted, log_spread(colour.lot_strength))
        case Flake() as flake:
            return Cause.FILM, log_spread(film_doubt(flake))
        case Additive(kind=AdditiveKind.SALT):
            return Cause.SALT, log_spread(SALT_DOUBT)
        case _:
            return Cause.AMOUNT, 0.0
