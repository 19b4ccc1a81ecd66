"""Plates strewn and turned at random against what is known of them exactly."""

import numpy as np
import pytest

from partline.materials.supply import FlakeShape
from partline.physics.flake import covered_share, hexagon, hexagon_outline, mirrored_cosine, tilted
from partline.process.glints import Cut, flat_depths, strew


@pytest.mark.published(
    law="Area that flakes cover",
    source="S. N. Chiu, D. Stoyan, W. S. Kendall, J. Mecke, Stochastic Geometry and its "
    "Applications, 3rd ed., Wiley 2013 (from memory)",
    where="section 3.1: area fraction of a Boolean model, 1 − exp(−λ·mean area)",
)
@pytest.mark.parametrize("cover", [0.1, 0.5, 0.9])
def test_strewn_hexagons_cover_as_a_boolean_model(deviation, cover):
    depth, size = 3e-3, 0.5e-3
    number = -np.log(1 - cover) / (depth * hexagon(size).area / 2)
    assert covered_share(number * hexagon(size).area / 2, depth) == pytest.approx(cover)
    patch = flat_depths((60, 60), depth, 0.0, 0.25e-3)
    cut = Cut(side=0, shape=FlakeShape.HEXAGON, size=size, number=float(number))
    found = np.array([strew.__wrapped__(patch, (cut,), seed).covered for seed in range(30)])
    deviation(found.mean() / cover - 1)
    assert found.mean() == pytest.approx(cover, abs=4 * found.std(ddof=1) / 30**0.5)


@pytest.mark.published(
    law="Shadow of flake",
    source="A. Cauchy, 1841 (from memory)",
    where="mean projected area of a convex body is a quarter of its surface: a thin plate's is "
    "half its face",
)
def test_outlines_turned_at_random_show_half_their_face(deviation):
    drawn = np.random.default_rng(5).random((100_000, 3))
    x, y = np.moveaxis(
        tilted(hexagon_outline(1.0), drawn[:, 0], *(6.2832 * drawn[:, 1:].T)), -1, 0
    )
    shown = np.abs(np.sum(x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1), axis=1)) / 2
    deviation(shown.mean() / (hexagon(1.0).area / 2) - 1)
    assert shown.mean() == pytest.approx(hexagon(1.0).area / 2, rel=0.008)  # 4 standard errors


@pytest.mark.published(
    law="Light that flakes mirror",
    source="H. C. van de Hulst, Light Scattering by Small Particles, Wiley 1957 (from memory)",
    where="section 8.42: large convex mirrors in random attitude reflect like a mirror sphere, "
    "evenly to all sides",
)
def test_mirrors_turned_at_random_bring_light_from_all_directions_alike(deviation):
    cosine = np.random.default_rng(6).random(200_000)
    # A line of sight meets each in proportion to the area that it shows.
    share, edges = np.histogram(mirrored_cosine(cosine), 10, range=(-1, 1), weights=cosine)
    share /= share.sum()
    deviation(float(np.abs(share * 10 - 1).max()))
    assert np.diff(edges) == pytest.approx(0.2)
    # The rarest tenth holds some 10,000 of them, unequally weighted: 1.2 % each.
    assert share * 10 == pytest.approx(np.ones(10), abs=0.05)
