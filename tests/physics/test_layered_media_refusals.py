"""The solver's refusals are sentences about the argument at fault."""

import numpy as np
import pytest

from partline.errors import InputError, OutOfRange
from partline.physics.layered_media import Scene, slab_solver


@pytest.fixture
def solver():
    return slab_solver(Scene(nodes=4))


@pytest.fixture
def media(solver):
    return solver.media([[1.0], [2.0]], [[3.0], [4.0]])


@pytest.mark.parametrize(
    ("scene", "field"),
    [
        ({"nodes": 1}, "nodes"),
        ({"nodes": 65}, "nodes"),
        ({"outside": 0.9}, "outside"),
        ({"outside": 1.6}, "outside"),
        ({"below": 1.6}, "below"),
    ],
)
def test_an_impossible_scene_is_refused(scene, field):
    with pytest.raises(OutOfRange) as refusal:
        Scene(**scene)
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("absorption", "scattering", "options", "words"),
    [
        ([[-1.0]], [[1.0]], {}, "absorption is -1 1/m"),
        ([[1.0]], [[np.nan]], {}, "scattering is not a finite number"),
        ([1.0], [1.0], {}, "media × wavelengths"),
        ([[1.0]], [[1.0]], {"anisotropy": 1.2}, "−1 to 1"),
        ([[1.0]], [[1.0]], {"moments": np.ones((1, 3, 1))}, "at least 5 orders"),
        ([[1.0]], [[1.0]], {"moments": np.full((1, 5, 1), 0.5)}, "must be 1"),
        ([[1.0]], [[1.0]], {"moments": np.full((1, 5, 1), 1.5)}, "moments is 1.5"),
    ],
)
def test_unfit_media_are_refused(solver, absorption, scattering, options, words):
    with pytest.raises(InputError, match=words):
        solver.media(absorption, scattering, **options)


@pytest.mark.parametrize(
    ("layers", "thickness", "backing", "words"),
    [
        ([[0, 2]], [[1e-3, 1e-3]], 0.0, "layers is 2"),
        ([[0, -1]], [[1e-3, 1e-3]], 0.0, "layers is -1"),
        ([[0.0, 1.0]], [[1e-3, 1e-3]], 0.0, "whole numbers"),
        ([0, 1], [1e-3, 1e-3], 0.0, "stacks × layers"),
        (np.empty((1, 0), int), np.empty((1, 0)), 0.0, "at least one layer"),
        ([[0, 1]], [[1e-3, -1e-3]], 0.0, "thickness is -0.001 m"),
        ([[0, 1]], [[1e-3, 1e-3, 1e-3]], 0.0, "must fit"),
        ([[0, 1]], [[1e-3, 1e-3]], 1.1, "backing is 1.1"),
        ([[0, 1]], [[1e-3, 1e-3]], [0.1, 0.2], "must fit"),
    ],
)
def test_unfit_stacks_are_refused(solver, media, layers, thickness, backing, words):
    with pytest.raises(InputError, match=words):
        solver.reflectance(media, layers, thickness, backing)


def test_media_of_another_scene_are_refused(media):
    with pytest.raises(InputError, match="made for"):
        slab_solver(Scene(nodes=4, outside=1.333)).reflectance(media, [[0]], [[1e-3]])


def test_a_solver_is_made_once_for_a_scene():
    assert slab_solver(Scene(nodes=4)) is slab_solver(Scene(nodes=4))
