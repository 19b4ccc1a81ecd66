"""Two grades mixed to a wanted resin share: by mass of resin, never by a hardness number."""

from __future__ import annotations

from dataclasses import replace

from partline.errors import Impossible, InputError
from partline.materials.shelf import Shelf
from partline.materials.supply import Grade
from partline.quantities.estimate import Estimate, propagate
from partline.quantities.units import Kind
from partline.records.exchange.amount import read_amount
from partline.records.exchange.shelf import RESIN

#: Shares are weighed, and written to a tenth of a per cent. [-]
STEP = 0.001


def blend_for_resin(first: Grade, second: Grade, wanted: float) -> Estimate:
    r"""Return the mass share of the first grade that gives a mixture its wanted resin share.

    .. math:: w = \frac{r - r_2}{r_1 - r_2}

    Parameters
    ----------
    first, second : Grade
        To be mixed.
    wanted : float
        Resin by mass of the mixture. [-]

    Returns
    -------
    Estimate
        Share of the first. [-] Its range comes from both labels' resin shares.

    Raises
    ------
    InputError
        If both hold as much resin as the other.
    Impossible
        If the wanted share lies outside the two; says what is nearest.

    References
    ----------
    .. [1] Conservation of mass.
    """
    one, other = first.resin_share, second.resin_share
    if abs(one.value - other.value) < STEP:
        raise InputError(
            f"{first.name} and {second.name} hold the same {_percent(one.value)} resin; "
            "no mixture of them holds another share.",
            field="resin",
            remedy="Choose a second grade of another resin share.",
        )
    low, high = sorted((one.value, other.value))
    if not low <= wanted <= high:
        nearest = first if abs(one.value - wanted) < abs(other.value - wanted) else second
        raise Impossible(
            f"{_percent(wanted)} resin is out of reach: {first.name} holds {_percent(one.value)}, "
            f"{second.name} {_percent(other.value)}, and a mixture lies between them.",
            nearest=f"Nearest is {nearest.name} alone, {_percent(nearest.resin_share.value)}.",
        )
    share = (wanted - other.value) / (one.value - other.value)
    mixed = propagate(
        lambda a, b: (wanted - b) / (a - b) if abs(a - b) > STEP else share,
        (one, other),
        source="conservation of the resin’s mass",
    )
    return replace(mixed, value=share, low=max(mixed.low, 0.0), high=min(mixed.high, 1.0))


def _percent(share: float) -> str:
    return f"{share * 100:.3g} %"


def shares_for_resin(shelf: Shelf, first: str, second: str, resin: str) -> tuple[str, str]:
    """Return both grades' shares as a recipe writes them, adding up to 100 %.

    Parameters
    ----------
    shelf : Shelf
        With both grades on it.
    first, second : str
        Their names.
    resin : str
        The wanted resin share, as typed.

    Raises
    ------
    InputError
        If a grade is not on the shelf, both are the same, or the share cannot be read.
    Impossible
        As `blend_for_resin`.
    """
    if first.casefold() == second.casefold():
        raise InputError("A blend has two different grades.", field="resin",
                         remedy="Choose another second grade.")  # fmt: skip
    try:
        wanted = read_amount("The resin share", resin.strip(), Kind.SHARE, RESIN)
    except InputError as problem:
        problem.field = "resin"
        raise
    share = blend_for_resin(shelf.grade(first), shelf.grade(second), wanted)
    tenths = round(share.value / STEP)
    return f"{tenths / 10:g} %", f"{(1000 - tenths) / 10:g} %"
