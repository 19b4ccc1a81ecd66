"""A bait in water, in a maker's words."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.data.water import JERLOV
from partline.errors import OutOfRange
from partline.physics.water_column import secchi_depth
from partline.physics.water_sight import open_water_radiance
from partline.process.water import (
    MAKE_UP,
    SEA_PARTICLES,
    SECCHI_COUPLING,
    Lake,
    LakeColour,
    Sea,
    SeaType,
    Water,
    see_in_water,
    water_clarity,
)
from partline.quantities.estimate import Estimate, Origin

HALF_GREY = np.full(31, 0.5)


def lake(colour=LakeColour.GREEN, secchi=2.0, share=0.1) -> Lake:
    """A lake whose disk was read to a tenth."""
    return Lake(colour=colour, secchi=Estimate.within(secchi, share, Origin.ENTERED))


def bodies() -> list[Lake | Sea]:
    return [*(lake(colour) for colour in LakeColour), *(Sea(kind=kind) for kind in SeaType)]


@pytest.mark.parametrize("body", bodies())
def test_open_water_may_be_half_or_twice_as_bright_as_the_law_has_it(body):
    known = water_clarity(body)
    told = open_water_radiance(known.optics)[15]
    others = [open_water_radiance(each)[15] / told for each in known.variants]
    # What is thrown back is part of the loss too, so in a murky water it is less than twice.
    assert min(others) < 0.65
    assert max(others) > 1.35


def test_every_type_of_the_table_can_be_asked_for():
    assert [each.value for each in SeaType] == list(JERLOV)


@pytest.mark.parametrize("body", bodies(), ids=str)
def test_every_water_has_a_range_and_says_what_it_rests_on(body):
    known = water_clarity(body)
    assert np.all(known.beam[0] < known.optics.beam)
    assert np.all(known.optics.beam < known.beam[1])
    assert np.all(known.diffuse[0] <= known.optics.diffuse)
    assert np.all(known.optics.diffuse <= known.diffuse[1])
    assert known.secchi.low < known.secchi.value < known.secchi.high
    assert known.notes
    for each in (MAKE_UP, SEA_PARTICLES, SECCHI_COUPLING):
        assert each.source


def test_a_lake_hides_the_disk_where_it_was_read():
    known = water_clarity(lake(secchi=3.0))
    assert secchi_depth(known.optics) == pytest.approx(3.0)


def test_a_better_reading_narrows_the_range():
    rough, fine = (water_clarity(lake(share=share)) for share in (0.3, 0.02))
    assert np.all(fine.beam[1] / fine.beam[0] < rough.beam[1] / rough.beam[0])


def test_each_word_lets_its_own_colour_through():
    """The clearest wavelength at a disk depth of 2 m: stained red, muddy redder than green."""
    clearest = {
        colour: 400 + 10 * int(water_clarity(lake(colour)).optics.diffuse.argmin())
        for colour in LakeColour
    }
    assert clearest[LakeColour.CLEAR] <= 580
    assert 550 <= clearest[LakeColour.GREEN] <= 600
    assert clearest[LakeColour.TEA_STAINED] >= 620


@pytest.mark.parametrize("body", bodies(), ids=str)
def test_close_by_at_the_surface_a_bait_looks_as_in_air(body):
    seen = see_in_water(HALF_GREY, Water(body=body))
    assert seen.sight.radiance == pytest.approx(HALF_GREY)
    assert seen.notes == seen.clarity.notes


@settings(deadline=None, max_examples=25)
@given(
    body=st.sampled_from(bodies()),
    depth=st.floats(0, 3),
    near=st.floats(0, 2),
    more=st.floats(0.01, 2),
)
def test_contrast_falls_with_distance(body, depth, near, more):
    here, there = (
        see_in_water(HALF_GREY, Water(body=body, depth=depth, distance=distance)).sight
        for distance in (near, near + more)
    )
    assert np.all(np.abs(there.radiance - there.veil) <= np.abs(here.radiance - here.veil))


def test_a_bait_too_far_away_is_said_to_be_out_of_sight():
    seen = see_in_water(HALF_GREY, Water(body=lake(LakeColour.MUDDY, 0.4), distance=3.0))
    assert "out of sight" in " ".join(note.text for note in seen.notes)
    near = see_in_water(HALF_GREY, Water(body=lake(LakeColour.MUDDY, 0.4), distance=0.05))
    assert "out of sight" not in " ".join(note.text for note in near.notes)


def test_dimness_is_said_and_darkness_is_refused():
    stained = lake(LakeColour.TEA_STAINED, 1.0)
    dim = see_in_water(HALF_GREY, Water(body=stained, depth=6.0))
    assert dim.sight.brightness < 1e-4
    assert "little colour" in " ".join(note.text for note in dim.notes)
    with pytest.raises(OutOfRange, match="no light is left"):
        see_in_water(HALF_GREY, Water(body=stained, depth=60.0))


def test_what_a_fish_sees_is_never_claimed():
    seen = see_in_water(HALF_GREY, Water(body=lake(), depth=1.0))
    assert "nothing is said of what a fish sees" in " ".join(note.text for note in seen.notes)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: lake(secchi=1e-6), "Secchi depth of 1e-06 m"),
        (lambda: Lake(colour=LakeColour.CLEAR, secchi=Estimate.exact(0.0)), "Secchi depth of 0 m"),
        (lambda: lake(secchi=90.0), "0.02 to 80 m"),
        (lambda: Water(body=lake(), depth=-0.5), "counted downwards"),
        (lambda: Water(body=lake(), depth=float("nan")), "counted downwards"),
        (lambda: Water(body=lake(), distance=-2.0), "distance of -2 m"),
        (lambda: Water(body=lake(), distance=1e6), "0 to 100 m"),
    ],
)
def test_what_cannot_be_read_or_looked_at_is_refused_with_a_sentence(make, says):
    with pytest.raises(OutOfRange, match=says):
        make()
