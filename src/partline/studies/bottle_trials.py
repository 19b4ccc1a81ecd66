"""What a scale and a printed card say of a bottle: the mass of its drop, the strength of a lot."""

from __future__ import annotations

from math import exp, hypot, log, sqrt

import numpy as np

from partline.errors import Imbalance, InputError, OutOfRange
from partline.materials.supply import Colourant
from partline.process.appearance import card_hiding
from partline.process.chip_side import chip_side
from partline.process.guessed_optics import HIDING_SPREAD
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin, propagate

#: A drop lies between these. Common practice, no source. [kg]
LEAST_DROP, MOST_DROP = 5e-6, 100e-6
#: Half range of a count of drops that was judged by eye to look alike. [drops]
COUNTED = 0.5
#: A card reading outside these says nothing of strength: too much or too little is hidden. [-]
LEAST_HIDING, MOST_HIDING = 0.05, 0.95
#: Multiples of the loading that a lot's strength is looked for at, and between. [-]
TRIED = np.geomspace(1 / 32, 32.0, 61)
WEAKEST, STRONGEST = 0.05, 20.0


def drop_from_weighing(count: int, net: float, step: float) -> Estimate:
    """Return the mass of one drop from many on a scale. [kg]

    Parameters
    ----------
    count : int
        Drops on the scale, at least 10.
    net : float
        What they weigh together. [kg]
    step : float
        Smallest step that the scale shows. [kg]

    Returns
    -------
    Estimate
        Measured. Empty and full are read to half a step each; added in quadrature they leave
        ± step/√2 on the whole, and that divided by the count on a drop. Rounding alone stays
        within it 9 times in 10; the rest is left to the scale.

    Raises
    ------
    OutOfRange
        If a drop would weigh what no drop weighs, or the drops are too few.
    Imbalance
        If the scale's step is as much as the drops.
    """
    if count < 10:
        message = f"{count} drops are too few to weigh: a scale hardly moves."
        raise OutOfRange(message, low=10, field="count", given=str(count),
                         remedy="Count 50 onto the scale.")  # fmt: skip
    drop = net / count
    if not LEAST_DROP <= drop <= MOST_DROP:
        low, high = (count * each * 1e3 for each in (LEAST_DROP, MOST_DROP))
        raise OutOfRange(
            f"{count} drops of {net * 1e3:.4g} g would be {drop * 1e6:.4g} mg a drop; a drop "
            f"weighs 5 to 100 mg, so {count} of them {low:.3g} to {high:.3g} g.",
            low=low,
            high=high,
            unit="g",
            field="net",
            given=f"{net * 1e3:.4g} g",
            remedy="Set the scale to zero with the empty cup on it, and count again.",
        )
    off = step / sqrt(2) / count
    if off > drop / 2:
        raise Imbalance(
            f"The scale shows steps of {step * 1e3:g} g, and all drops weigh {net * 1e3:.4g} g: "
            "too coarse to say what one weighs.",
            field="step",
            given=f"{step * 1e3:g} g",
            remedy="Count more drops, or take a finer scale.",
        )
    return Estimate(
        value=drop,
        low=drop - off,
        high=drop + off,
        origin=Origin.MEASURED,
        source=f"{count} drops of {net * 1e3:.4g} g on a scale of {step * 1e3:g} g steps",
        count=count,
    )


def strength_from_drops(old: float, new: float) -> Estimate:
    """Return a new lot's strength against the old from loadings that look alike. [-]

    Parameters
    ----------
    old, new : float
        Drops of each in 100 g.
    """
    for field, drops in (("old_drops", old), ("new_drops", new)):
        if drops < 1:
            message = f"{drops:g} drops are too few to compare lots by."
            raise OutOfRange(message, low=1, field=field, given=f"{drops:g}",
                             remedy="Pour chips of at least one drop each.")  # fmt: skip
    ratio = propagate(
        lambda a, b: a / b,
        [
            Estimate(
                value=drops, low=drops - COUNTED, high=drops + COUNTED, origin=Origin.MEASURED
            )
            for drops in (old, new)
        ],
    )
    return _ratio(ratio, f"{new:g} drops of the new lot look like {old:g} of the old", "new_drops")


def strength_from_hiding(
    bottle: Colourant,
    old: float,
    new: float,
    *,
    thickness: float,
    drops: float | None = None,
    share: float | None = None,
) -> Estimate:
    """Return a new lot's strength against the old from two chips alike on the card. [-]

    Parameters
    ----------
    bottle : Colourant
        What both lots are of; its constants turn hiding into strength.
    old, new : float
        Hiding of a chip of each, of one loading and thickness. [-]
    thickness : float
        Of the chips. [m]
    drops : float, optional
        In every 100 g of the chips; this or `share`.
    share : float, optional
        Mass share of the colourant. [-]

    Raises
    ------
    OutOfRange
        If a chip hides so much or so little that its strength cannot be told.
    """
    for field, hiding in (("old_hiding", old), ("new_hiding", new)):
        if not LEAST_HIDING <= hiding <= MOST_HIDING:
            raise OutOfRange(
                f"A chip that hides {hiding:g} of the card does not tell its strength; between "
                f"{LEAST_HIDING:g} and {MOST_HIDING:g} it does.",
                low=LEAST_HIDING,
                high=MOST_HIDING,
                field=field,
                given=f"{hiding:g}",
                remedy="Pour both chips thinner, or with less colour."
                if hiding > MOST_HIDING
                else "Pour both chips thicker, or with more colour.",
            )
    side = chip_side(bottle, drops=drops, share=share)
    factors = np.ones((TRIED.size, len(side.names)))
    factors[:, 1] = TRIED
    curve = np.maximum.accumulate(card_hiding(side, np.array([thickness]), factors, nodes=4)[:, 0])

    def strength(hiding: float) -> float:
        return float(np.exp(np.interp(hiding, curve, np.log(TRIED))))

    off = HALF_RANGE * HIDING_SPREAD
    ratio = propagate(
        lambda a, b: strength(b) / strength(a),
        [
            Estimate(value=each, low=max(each - off, 0.0), high=min(each + off, 1.0),
                     origin=Origin.MEASURED)
            for each in (old, new)
        ],
    )  # fmt: skip
    words = f"a chip of the new lot hides {new:g} of the card, one of the old {old:g}"
    return _ratio(ratio, words, "new_hiding")


def _ratio(ratio: Estimate, source: str, field: str) -> Estimate:
    if not WEAKEST <= ratio.value <= STRONGEST:
        raise OutOfRange(
            f"The new lot would be {ratio.value:.3g} times as strong as the old; that is another "
            "colour, not another lot.",
            low=WEAKEST,
            high=STRONGEST,
            field=field,
            given=f"{ratio.value:.3g}",
            remedy="Check which chip is which, or enter it as a bottle of its own.",
        )
    return Estimate(
        value=ratio.value,
        low=max(ratio.low, ratio.value / STRONGEST),
        high=ratio.high,
        origin=Origin.MEASURED,
        source=source,
        count=1,
    )


def new_strength(old: Estimate, ratio: Estimate) -> Estimate:
    """Return a new lot's strength against the bottle's constants. [-]

    Parameters
    ----------
    old : Estimate
        Strength of the lot that it was compared with. [-]
    ratio : Estimate
        Of the new lot against that. [-]
    """
    spreads = [log(each.high / each.low) / 2 if each.low > 0 else 0.0 for each in (old, ratio)]
    off = exp(hypot(*spreads))
    value = old.value * ratio.value
    if not WEAKEST <= value <= STRONGEST:
        message = f"The new lot would be {value:.3g} times as strong as the constants are for."
        raise InputError(message, field="new_hiding", remedy="Enter it as a bottle of its own.")
    return Estimate(
        value=value,
        low=value / off,
        high=value * off,
        origin=Origin.MEASURED,
        source=ratio.source,
        count=1,
    )
