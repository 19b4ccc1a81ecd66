"""The supplies of the trade: each knows its mass, volume and light, and nothing of a recipe."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from partline.materials.chip import HidingReading, LotChip, PatchReading
from partline.materials.spectrum import NOTHING, Optics, Spectrum
from partline.materials.stock import Stock
from partline.quantities.estimate import Estimate, Origin


class Clarity(StrEnum):
    """What a colourant does to light, in the words on a bottle."""

    CLEAR = "clear"
    OPAQUE = "opaque"
    PEARL = "pearl"
    FLUORESCENT = "fluorescent"


class AdditiveKind(StrEnum):
    """What an additive is for."""

    SALT = "salt"
    SOFTENER = "softener"
    HARDENER = "hardener"
    SCENT = "scent"


class FlakeShape(StrEnum):
    """Outline that a flake was cut to."""

    HEXAGON = "hexagon"
    SQUARE = "square"
    BAR = "bar"


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """What every supply has.

    Parameters
    ----------
    name : str
        The maker's own name for it.
    lot : str
        The maker's code of the lot in use, such as ``R0417-A3``.
    density : Estimate
        At 23 °C. [kg/m³]
    hazard_sheet : str
        Where the supplier's hazard sheet is kept.
    note : str
        Whatever the maker wants to remember.
    guesses : tuple of str
        Fields, by their key in its file, that nobody has read from its label yet.
    stock : Stock
        Price, scale readings and dates.
    """

    name: str
    density: Estimate
    lot: str = ""
    hazard_sheet: str = ""
    note: str = ""
    guesses: tuple[str, ...] = ()
    stock: Stock = field(default_factory=Stock)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade(Supply):
    """A plastisol of one hardness, with its label's temperatures.

    Parameters
    ----------
    resin_share : Estimate
        Mass share of resin. [-]
    expansion : Estimate
        Volumetric thermal expansion between 23 and 175 °C. [1/K]
    band_low, band_high : float
        The label's working band at the cup. [K]
    target : float
        Where fusion is done. [K]
    ceiling : float
        The label's maximum. [K]
    gel_line : float or None
        Where the plastic sets on cooling. [K]
    optics : Optics
        Of the plain fused plastic. [1/m]
    optics_origin : Origin
        Where those come from: a guess until a chip of it was measured.
    yellowing : Estimate or None
        What a second at 450 K adds to its absorption at 440 nm, from chips of it; None where
        nobody has looked. [1/(m·s)]
    melt_scale : Estimate or None
        K of its hot viscosity, from a timed flow; None where nobody has timed one. [-]
    refractive_index : Estimate
        Of the fused plastic. [-]
    """

    resin_share: Estimate
    expansion: Estimate
    band_low: float
    band_high: float
    target: float
    ceiling: float
    gel_line: float | None = None
    optics: Optics = field(default_factory=Optics)
    optics_origin: Origin = Origin.DEFAULT
    yellowing: Estimate | None = None
    melt_scale: Estimate | None = None
    refractive_index: Estimate = field(
        default_factory=lambda: Estimate(
            value=1.494,
            low=1.490,
            high=1.500,
            origin=Origin.COMPUTED,
            source="Lorentz–Lorenz mean of resin and plasticiser at 20 % resin",
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Colourant(Supply):
    """A liquid colour.

    Parameters
    ----------
    clarity : Clarity
        What it does to light.
    drop_mass : Estimate
        Mass of one drop of this bottle. [kg]
    strength : Estimate
        Colouring power of this lot against the constants below; 1 when they are its own. [-]
    optics : Optics or None
        What a unit mass share adds; None where nobody has measured it. [1/m per kg/kg]
    optics_origin : Origin
        Where the constants come from.
    optics_source : str
        In a few words.
    patch : PatchReading or None
        Colour of a chip of it over white.
    hiding : HidingReading or None
        How much of the printed card a chip of it hides.
    chips : tuple of LotChip
        Stepped chips of its lots, oldest first.
    is_heat_tender : bool
        Whether it is added last and not heated again.
    """

    clarity: Clarity
    drop_mass: Estimate
    strength: Estimate
    optics: Optics | None = None
    optics_origin: Origin = Origin.DEFAULT
    optics_source: str = ""
    patch: PatchReading | None = None
    hiding: HidingReading | None = None
    chips: tuple[LotChip, ...] = ()
    is_heat_tender: bool = False

    @property
    def counted_chips(self) -> tuple[LotChip, ...]:
        """The stepped chips that its look rests on.

        Those of the lot in use; where it has none, those of the lot that was read last. None
        where its constants stand in its file and are no guess: those come first.
        """
        if self.optics is not None and not self.optics_origin.is_guess:
            return ()
        lots = [_code(each.lot) for each in self.chips]
        if not lots:
            return ()
        counted = _code(self.lot) if _code(self.lot) in lots else lots[-1]
        return tuple(each for each, lot in zip(self.chips, lots, strict=True) if lot == counted)

    @property
    def is_own_chip(self) -> bool:
        """Whether its look rests on stepped chips of the very lot in use."""
        counted = self.counted_chips
        return bool(counted) and _code(counted[0].lot) == _code(self.lot)

    @property
    def lot_strength(self) -> Estimate:
        """Colouring power of the lot in use against the constants that its look rests on. [-]"""
        if not self.is_own_chip:
            return self.strength
        return Estimate.exact(1.0, Origin.MEASURED, source="its chip is of this lot")

    @property
    def is_measured(self) -> bool:
        """Whether its constants stand in its file, rather than follow from how it looks."""
        return self.optics is not None and not self.counted_chips

    @property
    def is_known_by_mass(self) -> bool:
        """Whether what it does to light is known for a gram of it, rather than for a drop."""
        if self.is_measured:
            return True
        if self.counted_chips:
            return any(each.chip.share is not None for each in self.counted_chips)
        reading = self.hiding or self.patch
        return reading is not None and reading.chip.share is not None


def _code(lot: str) -> str:
    """Return a lot's code as it is compared: case and blanks say nothing."""
    return "".join(lot.split()).casefold()


@dataclass(frozen=True, slots=True, kw_only=True)
class Flake(Supply):
    """Thin plates cut from film.

    Parameters
    ----------
    size : float
        Across flats of a hexagon, side of a square, length of a bar. [m]
    thickness : float
        Of the film. [m]
    thickness_origin : Origin
        Where that comes from: the label until a stack of flakes was read.
    shape : FlakeShape
        Outline.
    reflectance : Spectrum
        Of its face. [-]
    colour : str
        In words.
    is_metal : bool
        Whether it sparks in a microwave oven: then it is added after the last heat.
    heat_limit : float or None
        Above this it sheds or curls. [K]
    bulk_density : Estimate or None
        Loose in a spoon. [kg/m³]
    """

    size: float
    thickness: float
    thickness_origin: Origin = Origin.LABEL
    shape: FlakeShape = FlakeShape.HEXAGON
    reflectance: Spectrum = NOTHING
    colour: str = ""
    is_metal: bool = False
    heat_limit: float | None = None
    bulk_density: Estimate | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Additive(Supply):
    """Salt, softener, hardener or scent.

    Parameters
    ----------
    kind : AdditiveKind
        What it is for.
    grain : float or None
        Grain size of a powder. [m]
    bulk_density : Estimate or None
        Loose in a spoon. [kg/m³]
    """

    kind: AdditiveKind
    grain: float | None = None
    bulk_density: Estimate | None = None
