"""Outlines of sections in a mould's file: read, refused with the point, written back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from partline.errors import Ambiguous, InputError, Invalid
from partline.materials.mould import SectionPoint, SectionShape, Station
from partline.records.exchange import read_mould, write_mould
from tests.process.shed import mould_of

HEAD = """
name = "keel-60"
cavities = 2
bait_mass = "4.1 g"
sprue_mass = "7.2 g"
length = "60 mm"
[[stations]]
name = "belly"
position = 0.35
"""
#: Across and up of one flank. [mm]
KEEL = ((0, 4.2), (3.1, 3.4), (5, 0.5), (4, -2), (0, -5))


def text(points=KEEL, shape="outline", more="") -> str:
    listed = ", ".join(f'{{ across = "{a} mm", up = "{u} mm" }}' for a, u in points)
    return f'{HEAD}shape = "{shape}"\n{more}points = [{listed}]\n'


def changed(place: int, point: tuple[float, float]) -> str:
    return text((*KEEL[:place], point, *KEEL[place + 1 :]))


def problems(document: str) -> dict[str, InputError]:
    with pytest.raises(Invalid) as refusal:
        read_mould(document)
    return {each.field.removeprefix("stations[0]."): each for each in refusal.value.problems}


def test_sizes_of_an_outline_are_those_of_its_points():
    station = read_mould(text()).widest
    assert station.shape is SectionShape.OUTLINE
    assert (station.width, station.back_half, station.belly_half) == (0.010, 0.0042, 0.005)
    assert station.points[2] == SectionPoint(across=0.005, up=0.0005)


@st.composite
def convex_flanks(draw) -> tuple[SectionPoint, ...]:
    """One flank of the convex hull of points and their mirror images, in whole 10 nm. [m]"""
    low, high = draw(st.integers(-3_000_000, -100_000)), draw(st.integers(100_000, 3_000_000))
    inner = st.tuples(st.integers(100_000, 3_000_000), st.integers(low, high))
    points = np.array([(0, high), (0, low), *draw(st.lists(inner, min_size=3, max_size=12))])
    both = np.concatenate([points, points * [-1, 1]])
    hull = both[ConvexHull(both).vertices]
    flank = hull[hull[:, 0] >= 0]
    flank = flank[np.argsort(-flank[:, 1], kind="stable")]
    return tuple(SectionPoint(across=float(a / 1e8), up=float(u / 1e8)) for a, u in flank)


@given(convex_flanks().filter(lambda flank: len(flank) >= 4))
def test_any_convex_outline_comes_back_exactly_as_it_was_written(flank):
    station = Station(
        name="belly", position=0.4, shape=SectionShape.OUTLINE, points=flank,
        width=2 * max(each.across for each in flank), back_half=flank[0].up,
        belly_half=-flank[-1].up,
    )  # fmt: skip
    mould = mould_of(station)
    assert read_mould(write_mould(mould)) == mould


def test_an_outline_is_written_by_its_points_a_line_each_and_no_size_beside_them():
    written = write_mould(read_mould(text()))
    assert '    { across = "3.1 mm", up = "3.4 mm" },\n' in written
    assert "width" not in written


def test_three_points_are_too_few_and_it_is_said_why():
    found = problems(text(KEEL[:2] + KEEL[-1:]))["points"]
    assert "has 3 points; at least 4 are wanted" in str(found)
    assert "no more than an ellipse" in str(found)


def test_sixty_points_are_read_and_one_more_is_not():
    turn = np.linspace(0, np.pi, 61)
    round_ = tuple(zip(10 * np.sin(turn).round(3), 10 * np.cos(turn).round(3), strict=True))
    assert "61 points; at most 60" in str(problems(text(round_))["points"])
    assert len(read_mould(text(round_[:29] + round_[30:])).widest.points) == 60


def test_an_outline_without_points_asks_for_them():
    found = problems(f'{HEAD}shape = "outline"\n')
    assert list(found) == ["points"]
    assert "from the highest down one flank" in found["points"].remedy


def test_a_point_above_the_one_before_is_named():
    found = problems(changed(2, (5, 3.6)))["points[2].up"]
    assert "Point 3 of “belly” lies 3.6 mm up, above point 2 at 3.4 mm" in str(found)


def test_a_hollow_is_named_with_the_nearest_point_that_makes_none():
    found = problems(changed(2, (3, 0.5)))["points[2].across"]
    assert "from point 2 to point 4: the flank would be hollow there" in str(found)
    # On the line from (3.1, 3.4) to (4, −2) at 0.5 mm up: 3.1 + 0.9·2.9/5.4 = 3.583 mm.
    assert "The nearest that would do is 3.59 mm across" in found.remedy
    assert read_mould(changed(2, (3.59, 0.5))).widest.points[2].across == 0.00359
    problems(changed(2, (3.55, 0.5)))


def test_a_level_stretch_is_no_hollow_and_there_and_back_on_it_is_one():
    level = ((0, 4), (3, 4), (5, 0), (5, -2), (2, -2))
    assert read_mould(text(level)).widest.belly_half == 0.002
    assert "hollow" in str(problems(text(((0, 4), (5, 4), (3, 4), (5, -2))))["points[2].across"])


def test_a_point_across_the_middle_is_told_that_one_flank_is_enough():
    found = problems(changed(3, (-4, -2)))["points[3].across"]
    assert "Point 4 of “belly”, across: “-4 mm” is out of range" in str(found)
    assert "the other is its mirror image" in found.remedy


@pytest.mark.parametrize(("off", "side"), [(6, "above"), (-6, "below")])
def test_an_outline_on_one_side_of_the_line_is_refused(off, side):
    (found,) = problems(text(tuple((a, u + off) for a, u in KEEL))).values()
    assert f"lies {side} the line with all of its points" in str(found)


def test_the_same_point_twice_is_named():
    assert "where point 3 does" in str(problems(changed(3, KEEL[2]))["points[3].across"])


def test_sizes_no_bait_has_are_refused_at_the_point_or_the_outline():
    assert "-40 to 40 mm" in str(problems(changed(4, (0, -45)))["points[4].up"])
    thin = problems(text(tuple((a / 50, u) for a, u in KEEL)))["points"]
    assert "Width of “belly” is 0.2 mm by its points; it must lie in 0.4 to 150 mm" in str(thin)


def test_a_point_without_a_unit_is_asked_about():
    found = problems(text().replace('"3.1 mm"', "3.1"))["points[1].across"]
    assert isinstance(found, Ambiguous)
    assert "Point 2 of “belly”, across: “3.1” has no unit" in str(found)


@pytest.mark.parametrize("size", ["round", "elliptic", "flat-bottomed"])
def test_points_belong_to_an_outline_alone(size):
    found = problems(text(shape=size))
    assert list(found) == ["points"]
    assert f"“belly” is {size}, and has the points of an outline" in str(found["points"])


def test_sizes_beside_points_may_agree_and_not_contradict():
    agreeing = 'width = "10.2 mm"\nback_half = "4.2 mm"\nbelly_half = "5 mm"\n'
    assert read_mould(text(more=agreeing)) == read_mould(text())
    found = problems(text(more='width = "8 mm"\n'))["width"]
    assert "is 8 mm, but 10 mm by the points of its outline" in str(found)


def test_pairs_in_place_of_named_sizes_are_told_how_to_be_written():
    pairs = HEAD + 'shape = "outline"\npoints = [["0 mm", "4.2 mm"]]\n'
    assert "across = " in problems(pairs)["points[0]"].remedy


def test_diameters_belong_to_a_round_body_and_not_to_an_outline():
    more = "".join(f'[[outline]]\nposition = {at}\ndiameter = "1 mm"\n' for at in (0, 1))
    assert "not every station is round" in str(problems(text() + more)["outline"])


def test_a_tail_by_its_outline_is_thicker_than_the_body_at_its_points():
    tail = text().partition("[[stations]]")[2].replace("belly", "tail").replace("0.35", "1")
    body = 'shape = "round"\nwidth = "4 mm"\nback_half = "2 mm"\nbelly_half = "2 mm"\n'
    with pytest.raises(Invalid) as refusal:
        read_mould(f"{HEAD}{body}[[stations]]{tail}")
    assert [each.field for each in refusal.value.problems] == ["stations[1].points"]
