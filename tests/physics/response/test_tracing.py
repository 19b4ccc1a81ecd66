"""Light followed backwards through a body."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.fresnel import fresnel_reflectance
from partline.physics.layered_media import Scene, slab_solver
from partline.physics.response import Body, places_of
from partline.physics.response.body import directions
from partline.physics.response.direct import Direct
from partline.physics.response.grid import tabled_anisotropy, tabled_scattering
from partline.physics.response.kernel import EXIT_TIMES, TABLED, _room, level
from partline.physics.response.making import ANGLES
from partline.physics.scattering import henyey_greenstein_moments
from tests.physics.response.bodies import INDEX, QUICK, rod, scattered, spindle

ABOVE = np.array([5e3, 0.3, 0.95])
"""On a rod's back, a little off its middle, in half widths."""


def on_rod(angle: float):
    """A start on the rod that faces the eye."""
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    y, z = turn @ np.array([0.3, np.sqrt(1 - 0.3**2)]) * (1 - 1e-9)
    return np.array([[5e3, y, z]])


def whole(start, angle, reduced, absorption, **more):
    """Scattered and unscattered light from the front and from behind."""
    spread = scattered(rod(), start[0], angle, reduced, absorption, **more)
    through = Direct.of(rod(), start, angle, INDEX)
    extinction = (np.asarray(absorption) + tabled_scattering(reduced))[None]
    front = through.light(extinction, np.zeros(1))[0, 0]
    both = through.light(extinction, np.ones(1))[0, 0]
    return spread + np.array([front, both - front])


@settings(max_examples=20, deadline=None)
@given(
    st.floats(0, np.pi),
    st.floats(0.01, 80),
    st.floats(0.01, 80),
)
def test_without_absorption_all_light_of_an_even_world_arrives(angle, above, below):
    seen = whole(on_rod(angle), angle, (above, below), (0.0, 0.0), paths=200)
    # Exits too weak to be kept are all that is lost.
    assert seen.sum() == pytest.approx(1.0, abs=4e-3)
    assert np.all(seen >= 0)


@pytest.mark.parametrize("angle", [0.0, np.pi / 2, np.pi])
def test_more_absorption_never_lets_more_light_through(angle):
    seen = [
        whole(on_rod(angle), angle, (2.0, 0.5), (a, 0.3)).sum() for a in (0.0, 0.1, 0.5, 2.0, 9.0)
    ]
    assert np.all(np.diff(seen) < 0)


def test_light_comes_from_the_half_that_is_seen():
    dark_below = whole(on_rod(0.0), 0.0, (30.0, 30.0), (0.02, 8.0)).sum()
    dark_above = whole(on_rod(0.0), 0.0, (30.0, 30.0), (8.0, 0.02)).sum()
    assert dark_below > 3 * dark_above


@pytest.mark.parametrize(
    ("reduced", "absorption"), [(0.5, 0.1), (3.0, 0.02), (3.0, 0.5), (20.0, 0.2)]
)
def test_the_middle_of_a_flat_wide_body_looks_as_its_slab(reduced, absorption):
    # A slab under light from all round, seen straight down: the solver of another method.
    flat = Body.straight(60.0, 1.0, 1.0, boxed_above=1.0, boxed_below=1.0)
    unit = flat.reference
    size = (np.array([reduced] * 2) * unit, np.array([absorption] * 2) * unit)
    start = np.array([5e3, 0.0, (1 - 1e-9) / unit])
    tabled = float(tabled_scattering(size[0][0])) / unit
    forward = float(tabled_anisotropy(size[0][0]))
    solver = slab_solver(Scene(nodes=16, index=INDEX))
    media = solver.media(
        np.array([[absorption]]), np.array([[tabled]]),
        moments=henyey_greenstein_moments(np.full((1, 1), forward), 17)[None].reshape(1, 17, 1),
    )  # fmt: skip
    dark = solver.reflectance(media, np.array([[0]]), np.array([[2.0]]), 0.0).normal[0, 0]
    gloss = float(fresnel_reflectance(1.0, INDEX))
    expected = dark / (1 - gloss)  # both without gloss; ours without the loss on entry as well
    paths = 8000
    front = scattered(flat, start, 0.0, *size, paths=paths)[0]
    front += Direct.of(flat, start[None], 0.0, INDEX).light(
        (size[1] + tabled_scattering(size[0]))[None], np.zeros(1)
    )[0, 0]
    error = np.sqrt(expected * (1 - expected) / paths)
    assert front == pytest.approx(expected, abs=4 * error + 0.004 * expected)


def test_a_diffusing_point_leaves_a_sphere_after_a_sixth_on_the_mean():
    share = np.linspace(0.0, TABLED, EXIT_TIMES.size)
    tail = (1 - TABLED) * (-np.log((1 - TABLED) / 2) + 1) / np.pi**2
    # E[t] = 1/6 in units of ρ²/D for a walk in three dimensions that starts amid a sphere.
    assert np.trapezoid(EXIT_TIMES, share) + tail == pytest.approx(1 / 6, abs=2e-4)


def test_the_same_seed_gives_the_same_trace_whatever_the_workers():
    body = spindle()
    places = places_of(body, ANGLES[[0]], 3)
    one, two = (QUICK.one_pass(body, places, 0, workers=n) for n in (1, 2))
    assert one is not None
    assert two is not None
    assert np.array_equal(one.light, two.light)


def test_tracing_stops_when_told_to():
    body = spindle()
    told = []

    def step(share: float) -> bool:
        told.append(share)
        return False

    assert QUICK.one_pass(body, QUICK.places(body), 0, step=step) is None
    assert told[0] < 0.1


@pytest.mark.parametrize("height", [0.0, -1.0, float("nan")])
def test_a_body_without_thickness_is_refused(height):
    with pytest.raises(OutOfRange, match="mould"):
        Body.straight(1.0, height, height)


def keel() -> Body:
    """A long body of an outline that is neither dome nor box: a keel under a shallow roof."""
    across, up = directions()
    # Lines u + 0.4 v = 1 above and u + v = 1 below, the roof closed level at v = 1.
    roof = np.minimum(1 / (across + 0.4 * up), 1 / np.maximum(up, 1e-9)) ** 2
    under = 1 / (across + up) ** 2
    one = np.ones(3)
    radius = np.array([[roof, under]] * 3)
    return Body(length=1e4, half_width=one, above=0.8 * one, below=1.2 * one, radius=radius)


@pytest.mark.parametrize("angle", [0.0, np.pi / 4, np.pi / 2, np.pi])
@pytest.mark.parametrize("reduced", [(0.3, 0.3), (6.0, 60.0), (80.0, 3.0)])
def test_all_light_arrives_in_a_body_of_any_outline(angle, reduced):
    body = keel()
    places = places_of(body, np.array([angle]), 1)
    view, place, half, fraction = places.columns[3]
    start = places.starts[view, place, half, fraction]
    seen = scattered(body, start, angle, reduced, (0.0, 0.0), paths=400)
    through = Direct.of(body, start[None], angle, INDEX)
    direct = through.light(tabled_scattering(reduced)[None], np.ones(1))[0, 0]
    assert seen.sum() + direct == pytest.approx(1.0, abs=4e-3)


@settings(deadline=None)  # the first example compiles
@given(st.floats(-1, 1), st.floats(-1, 1))
def test_a_point_inside_any_outline_is_told_no_more_room_than_it_has(y, z):
    skin = keel().skin
    if level(skin, 5e3, y, z) >= 0:
        return
    room = _room(skin, 5e3, y, z)
    turn = np.linspace(0, 2 * np.pi, 90)
    rim = zip(y + room * np.cos(turn), z + room * np.sin(turn), strict=True)
    assert max(level(skin, 5e3, *point) for point in rim) <= 1e-9
