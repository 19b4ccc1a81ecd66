"""What flakes shade against figures computed by Cauchy's rule elsewhere."""

import pytest

from partline.physics.flake import hexagon, mean_shadow


@pytest.mark.published(
    law="Shadow of flake",
    source="computed by Cauchy's rule for the project's collection of facts",
    where="section 5: share 0.01; 25 µm film, 0.38 and 0.89 mm: 0.226, 0.211 /mm; 50 µm, 1.02 mm: "
    "0.110 /mm",
)
@pytest.mark.parametrize(
    ("size", "film", "printed"),
    [(0.38e-3, 25e-6, 226), (0.89e-3, 25e-6, 211), (1.02e-3, 50e-6, 110)],
)
def test_hexagons_shade_as_computed(deviation, size, film, printed):
    plate = hexagon(size)
    found = 0.01 / (plate.area * film) * mean_shadow(*plate, film)
    deviation(float(found) / printed - 1)
    assert found == pytest.approx(printed, abs=0.5)
