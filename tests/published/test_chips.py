"""A chip of a pure absorber against Beer and Lambert's law behind Fresnel's surface."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from partline.materials.spectrum import Optics, Shape, Spectrum, Term
from partline.materials.supply import Clarity
from partline.physics.colorimetry import reflectance_to_xyz
from partline.process import chip_side as chips
from partline.process.appearance import chip_colour
from partline.process.card import CARD_BLACK, CARD_WHITE
from tests.process.bottles import DROP, measured

INDEX = 1.494


def surface(out: float) -> tuple[float, float]:
    """Fresnel's reflectance of unpolarised light at a cosine outside, and its cosine inside."""
    mu = np.sqrt(1 - (1 - out**2) / INDEX**2)
    parallel = (mu - INDEX * out) / (mu + INDEX * out)
    across = (INDEX * mu - out) / (INDEX * mu + out)
    return float((parallel**2 + across**2) / 2), float(mu)


def slab(out: float, tau: float) -> tuple[float, float, float]:
    """What a slab in air sends back, gloss in and gloss left out, and lets through."""
    gloss, mu = surface(out)
    once = np.exp(-tau / mu)
    around = (1 - gloss) ** 2 / (1 - (gloss * once) ** 2)
    inner = around * gloss * once**2
    return gloss + inner, inner, around * once


def closed_form(tau: float, card: float) -> float:
    """Share sent back of light along the normal by a chip that lies on a card, gloss left out."""
    back, _ = quad(lambda m: 2 * m * slab(m, tau)[0], 0, 1)
    through, _ = quad(lambda m: 2 * m * slab(m, tau)[2], 0, 1)
    _, inner, down = slab(1.0, tau)
    return inner + down * card * through / (1 - card * back)


@pytest.mark.published(
    law="Chip of a pure absorber",
    source="Beer and Lambert's law, Fresnel's equations, Lambertian card (closed form)",
    where="optical thickness 0.05 to 3, over the card's white and black, air between",
)
@pytest.mark.parametrize("tau", [0.05, 0.3, 1.0, 3.0])
@pytest.mark.parametrize("card", [CARD_WHITE, CARD_BLACK])
def test_a_chip_of_a_pure_absorber_follows_beer_and_lambert(tau, card, deviation, monkeypatch):
    clear = chips.PLAIN_PLASTIC
    monkeypatch.setattr(
        chips, "PLAIN_PLASTIC", type(clear)(**{
            **{name: getattr(clear, name) for name in clear.__dataclass_fields__},
            "optics": Optics(),
        }),
    )  # fmt: skip
    per_share = tau / 2e-3 / (3 * DROP / 0.1)
    dye = measured(
        Optics(absorption=Spectrum(terms=(Term(shape=Shape.LEVEL, height=per_share),))),
        Clarity.CLEAR,
    )
    side = chips.chip_side(dye, drops=3.0)
    seen = chip_colour(side, np.array([2e-3]), backing=card, nodes=16)[0, 1]
    white = float(reflectance_to_xyz(np.ones(31))[1])
    found = seen / white
    exact = closed_form(tau, card)
    deviation(abs(found - exact))
    assert found == pytest.approx(exact, abs=1e-4)  # 16 directions a hemisphere
