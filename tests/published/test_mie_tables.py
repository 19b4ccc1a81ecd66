"""Mie's series against printed tables and an independent library."""

from pathlib import Path

import numpy as np
import pytest

from partline.physics.mie import mie_efficiencies

TABLE = Path(__file__).parent / "tables" / "mie_checks.csv"

# m, x, extinction, scattering, mean cosine
WISCOMBE = [
    (1.33 - 1e-5j, 1.0, 0.093952, 0.093923, 0.184517),
    (1.33 - 1e-5j, 100.0, 2.101321, 2.096594, 0.868959),
    (1.33 - 1e-5j, 10_000.0, 2.004089, 1.723857, 0.907840),
    (1.5 - 1j, 1.0, 2.336321, 0.663454, 0.192136),
    (1.5 - 1j, 100.0, 2.097502, 1.283697, 0.850252),
    (1.5 - 1j, 10_000.0, 2.004368, 1.236574, 0.846309),
    (0.75, 10.0, 2.232265, 2.232265, 0.896473),
    (0.75, 1_000.0, 1.997908, 1.997908, 0.844944),
    (1.5, 10.0, 2.881999, 2.881999, 0.742913),
]


@pytest.mark.published(
    law="Mie scattering",
    source="Wiscombe, NCAR Technical Note TN-140 (1979), test cases (from memory)",
    where="clear, weakly and strongly absorbing spheres, sizes 1 to 10,000",
)
@pytest.mark.parametrize(("index", "size", "extinction", "scattering", "cosine"), WISCOMBE)
def test_spheres_do_what_the_printed_cases_say(
    deviation, index, size, extinction, scattering, cosine
):
    found = [each.item() for each in mie_efficiencies(index, size)]
    worst = np.abs(np.array(found) - [extinction, scattering, cosine]).max()
    deviation(worst)
    assert worst < 2e-6  # six decimals are printed


@pytest.mark.published(
    law="Mie scattering",
    source="Bohren and Huffman 1983, appendix A, sample output (from memory)",
    where="m 1.55, x 5.213: extinction 3.10543",
)
def test_the_sphere_of_the_textbook_does_what_is_printed(deviation):
    found = mie_efficiencies(1.55, 2 * np.pi * 0.525 / 0.6328).extinction.item()
    deviation(abs(found - 3.10543))
    assert found == pytest.approx(3.10543, abs=5e-6)


@pytest.mark.published(
    law="Mie scattering",
    source="the public library miepython 3.3.0, run beside ours",
    where="tables/mie_checks.csv: nine materials, sizes 0.05 to 5,000",
)
def test_spheres_agree_with_an_independent_program(deviation):
    table = np.genfromtxt(TABLE, delimiter=",", names=True)
    found = mie_efficiencies(table["n"] - 1j * table["k"], table["size"])
    for ours, name in zip(found, ("extinction", "scattering", "anisotropy"), strict=True):
        worst = np.abs(ours / table[name] - 1)
        deviation(worst.max())
        # Twelve figures are kept; the smallest spheres cancel seven of their digits.
        assert worst.max() < 1e-6
        assert worst[table["size"] > 0.2].max() < 1e-9


@pytest.mark.published(
    law="Mie scattering of small spheres",
    source="Rayleigh's limit, in any text (from memory)",
    where="Q = (8/3) x⁴ (m² − 1)²/(m² + 2)², mean cosine to 0",
)
def test_a_small_sphere_scatters_as_rayleigh_says(deviation):
    x, m = 0.02, 1.5
    found = mie_efficiencies(m, x)
    expected = 8 / 3 * x**4 * ((m**2 - 1) / (m**2 + 2)) ** 2
    deviation(found.scattering.item() / expected - 1)
    assert found.scattering.item() == pytest.approx(expected, rel=2 * x**2)  # the next order
    assert abs(found.anisotropy.item()) < x**2


@pytest.mark.published(
    law="Haze of salt",
    source="computed by Mie's theory for the project's collection of facts",
    where="section 5: share 0.10, index ratio 1.035, 10, 50, 100, 200 µm: 34.7, 6.5, 3.0, 1.5 /mm",
)
@pytest.mark.parametrize(
    ("diameter", "printed"), [(10e-6, 34.7), (50e-6, 6.5), (100e-6, 3.0), (200e-6, 1.5)]
)
def test_salt_of_one_size_scatters_as_the_facts_say(deviation, diameter, printed):
    size = np.pi * diameter * 1.495 / 550e-9
    found = 1.5 * 0.10 * mie_efficiencies(1.035, size).scattering.item() / diameter / 1e3
    deviation(found / printed - 1)
    assert found == pytest.approx(printed, rel=0.03)  # two figures; the ripple of one size
