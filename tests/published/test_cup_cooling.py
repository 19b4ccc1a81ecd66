"""The course of a cooling cup against the printed solutions of a lumped body."""

import numpy as np
import pytest

from partline.physics.heat_conduction import lumped_share
from partline.studies.countdown import CupHistory, Reading
from partline.studies.countdown.history import course_of

BOOK = (
    "F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, 5th ed., Wiley "
    "2002 (from memory)"
)
READ = (Reading(at=0.0, temperature=447.15),)


@pytest.mark.published(
    law="Cooling of a cup",
    source=BOOK,
    where="eq. 5.6: lumped capacitance, θ/θi = exp(−t/τ)",
)
def test_without_a_bend_a_cup_cools_as_a_lumped_body(deviation):
    course = course_of(CupHistory(room=295.15, readings=READ, bend=1e-8), 0.0)
    time = np.linspace(0, 600, 25)
    share = np.exp(-course.fall(time, 1100.0, 152.0, 1e9, 1.0))
    exact = lumped_share(time, 1100.0)
    deviation(np.max(np.abs(share / exact - 1)))
    np.testing.assert_allclose(share, exact, rtol=1e-8)  # the bend left in


@pytest.mark.published(
    law="Cooling of a cup",
    source=BOOK,
    where="section 5.3: lumped body with a loss that grows with the lead, "
    "θ = θi [1 + n C θiⁿ t]^(−1/n)",
)
@pytest.mark.parametrize("lead", [60.0, 140.0, 170.0])
def test_with_a_bend_a_cup_cools_as_a_body_in_natural_convection(deviation, lead):
    course = course_of(CupHistory(room=295.15, readings=READ, bend=0.25), 0.0)
    time = np.linspace(0, 900, 25)
    share = np.exp(-course.fall(time, 1100.0, lead, 1e9, 1.0))
    # τ is told at a lead of 140 K: C θiⁿ = (θi/140)ⁿ/τ.
    exact = (1 + 0.25 * (lead / 140.0) ** 0.25 * time / 1100.0) ** -4
    deviation(np.max(np.abs(share / exact - 1)))
    np.testing.assert_allclose(share, exact, rtol=1e-12)
