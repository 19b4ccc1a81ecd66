"""Compare any picture of a body with the kept references; needs no Mitsuba.

``python -m benchmarks.references.compare`` does so with the provisional slab picture.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from benchmarks.references.cases import CASES, EYES, LIGHTS, MOULDS, Case
from partline.physics.colorimetry import WEIGHTS, srgb_to_xyz, xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.physics.response.body import Body
from partline.process.rendering import Setting, View, in_air
from partline.process.slab_renderer import SlabRenderer

Floats = NDArray[np.floating]
Flags = NDArray[np.bool_]
#: Takes a view, places x along and q across [m], each (points,); returns XYZ (points, 3). [-]
PictureAt = Callable[[str, Floats, Floats], Floats]

#: A body is straight where its half width and half heights change by less than this. [m/m]
STRAIGHT = 0.1
#: Points along each side of a pixel at which a picture is asked.
POINTS = 4
#: What a picture's body and media may be off from those of the reference. [-]
ALIKE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reference:
    """One view of one case, path-traced.

    Parameters
    ----------
    x, q, along, across : ndarray, shape (pixels,)
        Centres and sides of the pixels. Back and belly views keep q > 0 alone. [m]
    cover : ndarray, shape (pixels,)
        Share of the pixel that the body fills. [-]
    xyz : ndarray, shape (halves, lights, pixels, 3)
        Mean of the covered part for light of 1 from the eye's half space and from behind, under
        D65, the skin's gloss left out; two halves of their own random numbers. [-]
    is_straight : ndarray of bool, shape (pixels,)
        Whether the body hardly tapers there.
    """

    x: Floats
    q: Floats
    along: Floats
    across: Floats
    cover: Floats
    xyz: Floats
    is_straight: Flags

    @property
    def seen(self) -> Floats:
        """XYZ under the benchmark's light, shape (pixels, 3). [-]"""
        return np.einsum("l,hlpc->pc", LIGHTS, self.xyz) / len(self.xyz)

    @property
    def noise(self) -> Floats:
        """Half of what the halves differ by: about the standard error, (pixels,). [ΔE00]"""
        halves = np.einsum("l,hlpc->hpc", LIGHTS, self.xyz)
        return 0.5 * ciede2000(*xyz_to_lab(halves))


def sizes_at(body: Body, x: Floats) -> Floats:
    """Return half width and half heights above and below the line, shape (3, ...). [m]"""
    places = np.linspace(0.0, body.length, len(body.half_width))
    squares = (body.half_width**2, body.above**2, body.below**2)
    return np.sqrt([np.interp(x, places, each) for each in squares])


def is_inside(body: Body, view: str, x: Floats, q: Floats) -> Flags:
    """Return whether the body covers each point of a view."""
    width, above, below = sizes_at(body, x)
    within = (x >= 0) & (x <= body.length)
    low, high = (below, above) if view == "side" else (width, width)
    return within & (q <= high) & (q >= -low)


def load(case: Case) -> dict[str, Reference]:
    """Return the views of a case.

    Raises
    ------
    ValueError
        If the case's body or media are no longer those that were traced.
    """
    with np.load(case.path) as kept:
        _check_same(case, kept)
        views = {}
        for view in EYES:
            x, along = kept[f"{view}_x"], kept[f"{view}_along"]
            rise = sizes_at(case.body, x + along / 2) - sizes_at(case.body, x - along / 2)
            views[view] = Reference(
                x=x,
                q=kept[f"{view}_q"],
                along=along,
                across=kept[f"{view}_across"],
                cover=kept[f"{view}_cover"],
                xyz=kept[f"{view}_xyz"].astype(float),
                is_straight=(np.abs(rise) < STRAIGHT * along).all(axis=0),
            )
    return views


def _check_same(case: Case, kept: np.lib.npyio.NpzFile) -> None:
    body = case.body
    shape = [body.half_width, body.above, body.below, *body.boxed.T]
    pairs = [
        (kept["shape"], np.stack(shape)),
        (kept["length"], body.length),
        (kept["index"], case.index),
        (kept["lights"], np.array(LIGHTS)),
    ]
    for side, medium in zip(("back_side", "belly_side"), case.media, strict=True):
        pairs += [
            (kept[f"{side}_absorption"], medium.absorption),
            (kept[f"{side}_lobes"], medium.lobes),
            (kept[f"{side}_anisotropy"], medium.anisotropy),
        ]
    for traced, present in pairs:
        if traced.shape != np.shape(present) or not np.allclose(traced, present, rtol=ALIKE):
            message = (
                f"{case.name} was traced with another body or other media than it has now: "
                f"run python -m benchmarks.references.make --case {case.name}."
            )
            raise ValueError(message)


def pixel_means(case: Case, view: str, reference: Reference, picture: PictureAt) -> Floats:
    """Return a picture's mean over the covered part of each pixel, shape (pixels, 3). [-]"""
    step = (np.arange(POINTS) + 0.5) / POINTS - 0.5
    x = reference.x[:, None, None] + reference.along[:, None, None] * step[:, None]
    q = reference.q[:, None, None] + reference.across[:, None, None] * step
    x, q = (each.reshape(len(reference.x), -1) for each in np.broadcast_arrays(x, q))
    inside = is_inside(case.body, view, x, q)
    xyz = np.zeros((*x.shape, 3))
    xyz[inside] = picture(view, x[inside], q[inside])
    return xyz.sum(axis=1) / np.maximum(inside.sum(axis=1), 1)[:, None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Differences:
    """How far a picture is off, by pixel.

    Parameters
    ----------
    difference, noise : ndarray, shape (pixels,)
        Of the picture from the reference, and of the reference from itself. [ΔE00]
    area : ndarray, shape (pixels,)
        Of the pixel, both flanks together: its weight in every percentile. [m²]
    is_full, is_straight : ndarray of bool, shape (pixels,)
        Whether the body fills the pixel wholly, and hardly tapers there.
    """

    difference: Floats
    noise: Floats
    area: Floats
    is_full: Flags
    is_straight: Flags

    @staticmethod
    def together(some: Iterable[Differences]) -> Differences:
        """Return all pixels of several views or cases."""
        every = list(some)
        return Differences(**{
            name: np.concatenate([getattr(each, name) for each in every])
            for name in ("difference", "noise", "area", "is_full", "is_straight")
        })  # fmt: skip

    def _percentile(self, values: Floats, which: Flags, percent: float) -> float:
        if not which.any():
            return float("nan")
        order = np.argsort(values[which])
        reached = np.cumsum(self.area[which][order])
        at = np.searchsorted(reached, percent / 100 * reached[-1])
        return float(values[which][order][min(at, len(order) - 1)])

    @property
    def median(self) -> float:
        """Over the whole body, pixels that it fills. [ΔE00]"""
        return self._percentile(self.difference, self.is_full, 50)

    @property
    def straight(self) -> float:
        """95th percentile over the straight part, pixels that it fills. [ΔE00]"""
        return self._percentile(self.difference, self.is_full & self.is_straight, 95)

    @property
    def whole(self) -> float:
        """95th percentile over the whole body, pixels that it fills. [ΔE00]"""
        return self._percentile(self.difference, self.is_full, 95)

    @property
    def edges(self) -> tuple[float, float]:
        """Median and 95th percentile of the pixels that the outline cuts. [ΔE00]"""
        cut = ~self.is_full
        return self._percentile(self.difference, cut, 50), self._percentile(
            self.difference, cut, 95
        )

    @property
    def floor(self) -> tuple[float, float]:
        """Median and 95th percentile of the reference's own noise, filled pixels. [ΔE00]"""
        return self._percentile(self.noise, self.is_full, 50), self._percentile(
            self.noise, self.is_full, 95
        )

    def row(self, name: str) -> str:
        """Return the figures as a line under `HEAD`."""
        figures = (self.median, self.straight, self.whole, *self.edges, *self.floor)
        return f"{name:<40}" + "".join(f"{each:9.2f}" for each in figures)


HEAD = (
    f"{'ΔE00 from path tracing':<40}{'median':>9}{'straight':>9}{'whole':>9}{'edge 50':>9}"
    f"{'edge 95':>9}{'noise 50':>9}{'noise 95':>9}"
)


def compare(case: Case, picture_xyz_at: PictureAt) -> dict[str, Differences]:
    """Compare a picture with a case's references.

    Parameters
    ----------
    case : Case
        Of `CASES`.
    picture_xyz_at : callable
        Takes a view ("back", "side" or "belly") and places x along the body and q across it
        (y, or z seen from the side, from the line), shape (points,) [m]; returns XYZ under D65
        without the skin's gloss, shape (points, 3), for light of 1 from the eye's half space and
        0.4 from behind. [-]

    Returns
    -------
    dict of Differences
        By view; `Differences.together` joins them.

    Raises
    ------
    ValueError
        If the case's body or media are no longer those that were traced.
    """
    found = {}
    for view, reference in load(case).items():
        xyz = pixel_means(case, view, reference, picture_xyz_at)
        flanks = 1.0 if view == "side" else 2.0
        found[view] = Differences(
            difference=ciede2000(xyz_to_lab(xyz), xyz_to_lab(reference.seen)),
            noise=reference.noise,
            area=flanks * reference.along * reference.across,
            is_full=reference.cover == 1,
            is_straight=reference.is_straight,
        )
    return found


def slab_picture(case: Case) -> PictureAt:
    """Return the provisional picture, with the light from behind in place of a card."""
    pixel = 0.1e-3
    renderer = SlabRenderer(pixel=pixel)
    drawn = {}
    for view in EYES:
        setting = Setting(angle=View(view).angle)
        light = replace(in_air(setting), weights=WEIGHTS, back=np.full(len(WEIGHTS), LIGHTS[1]))
        srgb = renderer.picture(case.sides, MOULDS[case.mould], setting, light)
        drawn[view] = srgb_to_xyz(srgb)

    def at(view: str, x: Floats, q: Floats) -> Floats:
        xyz = drawn[view]
        column = np.clip((x / pixel).astype(int), 0, xyz.shape[1] - 1)
        row = np.rint((xyz.shape[0] - 1) / 2 - q / pixel).astype(int)
        return xyz[np.clip(row, 0, xyz.shape[0] - 1), column]

    return at


def report(picture_of: Callable[[Case], PictureAt]) -> None:
    """Print a line for every kept case and one for all."""
    print(HEAD)
    every = []
    for case in CASES.values():
        if not case.path.exists():
            print(f"{case.name:<40} not kept here")
            continue
        views = compare(case, picture_of(case))
        every += views.values()
        print(Differences.together(views.values()).row(case.name))
    if every:
        print(Differences.together(every).row("all"))


if __name__ == "__main__":
    report(slab_picture)
