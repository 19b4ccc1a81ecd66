"""Check the tracer against Mitsuba's own volumetric integrator.

``python -m benchmarks.references.check``; no other pictures are needed, about five minutes.
Mitsuba's integrator is given everything in its own terms: two media, a sheet between them that
bends nothing, a dielectric skin, all-round light, no Russian roulette. Only the gloss, which it
cannot leave out, is taken off by Fresnel's law.
"""

from __future__ import annotations

from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from benchmarks.references.cases import CASES, INDEX, LIGHTS, Case
from benchmarks.references.make import lobes_at, node_sets
from benchmarks.references.skin import CORNERS, Pixels, Triangles, ring_positions, triangles
from benchmarks.references.tracer import BACK, FRONT, LOST, Stage, Starts
from partline.data.cie import WAVELENGTHS
from partline.physics.response.body import Body

Floats = NDArray[np.floating]

#: Straight part of the bodies that is looked at from the side, in rows over their height. [m]
FROM, TO, ROWS, ROW = 17e-3, 50e-3, 10, 1.1e-3
#: Longest path that Mitsuba may follow, and so where its roulette would begin. [collisions]
DEPTH = 1_000_000
#: Paths from every sub-pixel by the references' tracer, in each of so many repeats of both.
PATHS, REPEATS = 25, 6


def mesh_of(name: str, corners: Floats, faces: Floats, parts: dict[str, Any]) -> Any:
    """Return a mesh with a surface and the media on both sides."""
    properties = mi.Properties()
    for key, value in parts.items():
        properties[key] = value
    mesh = mi.Mesh(name, len(corners), len(faces), has_vertex_normals=False, props=properties)
    values = mi.traverse(mesh)
    values["vertex_positions"] = mi.Float(corners.astype(np.float32).ravel())
    values["faces"] = mi.UInt32(faces.astype(np.uint32).ravel())
    values.update()
    return mesh


def line_sheet(body: Body) -> tuple[Floats, Floats]:
    """Return corners and faces of the line between the halves, facing the back."""
    unit = 1e3 * body.reference
    places = ring_positions(body)
    edge = np.array([unit * body.outline(place, CORNERS)[CORNERS // 2, 0] for place in places])
    x = 1e3 * body.length * places
    flat = np.zeros_like(x)
    corners = np.concatenate([np.column_stack([x, s * edge, flat]) for s in (-1, 1)])
    i, n = np.arange(len(x) - 1), len(x)
    faces = np.concatenate([
        np.column_stack([i, i + 1, n + i]), np.column_stack([i + 1, n + i + 1, n + i])
    ])  # fmt: skip
    return corners, faces


def medium(scattering: float, absorption: float, anisotropy: float) -> Any:
    """Return a medium of Mitsuba's. [1/mm]"""
    extinction = scattering + absorption
    return mi.load_dict({
        "type": "homogeneous",
        "albedo": {"type": "constvolume", "value": scattering / extinction},
        "sigma_t": {"type": "constvolume", "value": extinction},
        "phase": {"type": "hg", "g": anisotropy},
    })  # fmt: skip


def light(front: float, behind: float) -> dict[str, Any]:
    """Return light all round, another from y > 0 than from behind."""
    rows = np.full((1024, 2048, 3), front, dtype=np.float32)
    rows[512:] = behind
    return {"type": "envmap", "bitmap": mi.Bitmap(rows), "scale": 1.0}


def stock(
    body: Body, skin: Triangles, media: list[tuple[float, float, float]],
    lights: tuple[float, float], paths: int, seed: int,
) -> Floats:  # fmt: skip
    """Return the radiance of every row seen from the side, back up, by Mitsuba alone, (rows,)."""
    upper, lower = (medium(*each) for each in media)
    glass = {"type": "dielectric", "int_ior": INDEX, "ext_ior": 1.0}
    is_upper = skin.corners[skin.faces][:, :, 2].mean(axis=1) > 0
    sheet = line_sheet(body)
    middle, half = 0.5e3 * (FROM + TO), 0.5e3 * (TO - FROM)
    up = mi.ScalarTransform4f
    scene = mi.load_dict({
        "type": "scene",
        "integrator": {"type": "volpath", "max_depth": DEPTH, "rr_depth": DEPTH},
        "upper": mesh_of("upper", skin.corners, skin.faces[is_upper], {
            "bsdf": mi.load_dict(glass), "interior": upper,
        }),
        "lower": mesh_of("lower", skin.corners, skin.faces[~is_upper], {
            "bsdf": mi.load_dict(glass), "interior": lower,
        }),
        "sheet": mesh_of("sheet", *sheet, {
            "bsdf": mi.load_dict({"type": "null"}), "interior": lower, "exterior": upper,
        }),
        "light": light(*lights),
        "sensor": {
            "type": "orthographic",
            "to_world": up().look_at(
                origin=[middle, 100, 0], target=[middle, 0, 0], up=[0, 0, 1]
            ) @ up().scale([half, 1e3 * ROW / 2, 1]),
            "film": {
                "type": "hdrfilm", "width": 1, "height": ROWS, "rfilter": {"type": "box"},
                "pixel_format": "luminance",
            },
            "sampler": {"type": "independent", "sample_count": paths},
        },
    })  # fmt: skip
    return np.array(mi.render(scene, seed=seed, spp=paths)).reshape(ROWS, -1)[:, 0]


def rows_grid() -> Pixels:
    """Return the rows as pixels, back up."""
    q = (ROWS / 2 - 0.5 - np.arange(ROWS)) * ROW
    one = np.ones(ROWS)
    return Pixels(0.5 * (FROM + TO) * one, q, (TO - FROM) * one, ROW * one)


def gloss(starts: Starts, lights: tuple[float, float]) -> Floats:
    """Return what the skin mirrors to the eye at each start, shape (starts,)."""
    mirrored = 1 - starts.share
    # Light comes from the front where the skin is less than 45° from facing the eye, and there
    # it mirrors less than at 45°.
    at_45 = mi.fresnel(mi.Float(np.sqrt(0.5)), INDEX)[0].numpy()[0]
    return mirrored * np.where(mirrored < at_45, *lights)


def by_row(starts: Starts, values: Floats) -> Floats:
    """Return the mean of what each row's starts see, shape (rows,); nan where there is none."""
    seen = np.bincount(starts.pixel, minlength=ROWS)
    with np.errstate(invalid="ignore"):
        return np.bincount(starts.pixel, values, ROWS) / np.where(seen, seen, np.nan)


def compare(
    case: Case, wavelength: int, paths: int, *, absorbing: float = 1.0,
    lights: tuple[float, float] = LIGHTS,
) -> None:  # fmt: skip
    """Print how far the references' tracer and Mitsuba alone are apart, in the filled rows."""
    stage = Stage(case)
    skin = triangles(stage.body)
    media = case.media
    absorption = [1e-3 * absorbing * each.absorption[wavelength] for each in media]
    lobes = tuple(
        lobes_at(each, wavelength, least) for each, least in zip(media, absorption, strict=True)
    )
    plain = [
        (lobe.scattering, least, float(lobe.cosines[0]))
        for lobe, least in zip(lobes, absorption, strict=True)
    ]
    ours, theirs, mirrored, lost = [], [], [], 0.0
    full = np.full(ROWS, True)
    for repeat in range(REPEATS):
        starts, cover = stage.starts("side", rows_grid(), 70 + repeat)
        full &= cover == 1
        share = np.full(len(starts.pixel), PATHS)
        ended = stage.follow(starts, "side", lobes, share, 80 + repeat)
        left = np.exp(-ended.above * absorption[0] - ended.below * absorption[1]) * ended.weight
        left *= np.select([ended.light == FRONT, ended.light == BACK], lights, 0.0)
        ours.append(by_row(starts, starts.share * left.reshape(-1, PATHS).mean(axis=1)))
        theirs.append(stock(stage.body, skin, plain, lights, paths // REPEATS, 90 + repeat))
        mirrored.append(by_row(starts, gloss(starts, lights)))
        lost += (ended.light == LOST).mean() / REPEATS
    own, other = np.array(ours)[:, full], (theirs - np.mean(mirrored, axis=0))[:, full]
    apart = own.mean(axis=0) - other.mean(axis=0)
    error = np.hypot(own.std(axis=0, ddof=1), other.std(axis=0, ddof=1)) / np.sqrt(REPEATS)
    off = np.sqrt(np.mean((apart / np.maximum(error, 1e-6)) ** 2))
    print(
        f"{case.name:<30} {1e9 * WAVELENGTHS[wavelength]:.0f} nm  Mitsuba alone "
        f"{other.mean():.4f}, references {own.mean():.4f}; rows apart by at most "
        f"{np.abs(apart).max():.4f}, in the mean square by {off:.2f} standard errors; "
        f"lost {lost:.0e}",
        flush=True,
    )
    if absorbing == 0:
        whole = np.abs(np.array(ours)[:, full] + np.array(mirrored)[:, full] - 1).max()
        alone = np.abs(np.array(theirs)[:, full] - 1).max()
        print(f"  white furnace: Mitsuba alone {alone:.0e}, references {whole:.0e} from 1")


def between(case: Case, wavelength: int) -> None:
    """Print what it costs to trace scattering at a few wavelengths only, by row."""
    stage, media = Stage(case), case.media
    nodes = node_sets(case)[-1]
    scale = np.log(WAVELENGTHS)
    weights = np.array(
        [np.interp(scale[wavelength], scale[nodes], one) for one in np.eye(len(nodes))]
    )
    absorption = [1e-3 * each.absorption[wavelength] for each in media]

    def rows(traced: int, seed: int) -> Floats:
        lobes = tuple(
            lobes_at(each, traced, least) for each, least in zip(media, absorption, strict=True)
        )
        starts, _ = stage.starts("side", rows_grid(), seed)
        ended = stage.follow(starts, "side", lobes, np.full(len(starts.pixel), 6 * PATHS), seed)
        left = np.exp(-ended.above * absorption[0] - ended.below * absorption[1]) * ended.weight
        left *= np.select([ended.light == FRONT, ended.light == BACK], LIGHTS, 0.0)
        return by_row(starts, starts.share * left.reshape(-1, 6 * PATHS).mean(axis=1))

    used = np.flatnonzero(weights)
    direct = np.array([rows(wavelength, 50 + seed) for seed in range(REPEATS)])
    lines = np.array([
        sum(weights[k] * rows(int(nodes[k]), seed) for k in used) for seed in range(REPEATS)
    ])  # fmt: skip
    full = stage.starts("side", rows_grid(), 0)[1] == 1
    apart = (lines - direct)[:, full].mean(axis=0)
    error = (lines - direct)[:, full].std(axis=0, ddof=1) / np.sqrt(REPEATS)
    print(
        f"{case.name:<30} {1e9 * WAVELENGTHS[wavelength]:.0f} nm between "
        f"{np.rint(1e9 * WAVELENGTHS[nodes[used]])}: mean {direct[:, full].mean():.4f}, off by "
        f"{apart.mean():+.5f}; rows by at most {np.abs(apart).max():.4f}, in the mean square by "
        f"{np.sqrt(np.mean((apart / error) ** 2)):.2f} standard errors of {error.mean():.4f}",
        flush=True,
    )


def main() -> None:
    """Compare a white furnace, then pairs of media in two bodies."""
    dr.set_thread_count(1)
    compare(CASES["elliptic-75--white-over-dark"], 0, 2000, absorbing=0.0, lights=(1.0, 1.0))
    compare(CASES["lathed-100--opaque-pair"], 22, 12000)
    compare(CASES["lathed-100--peat-over-chalk"], 5, 20000)
    compare(CASES["lathed-100--green-over-clear"], 12, 40000)
    compare(CASES["flat-90--opaque-pair"], 10, 12000)
    compare(CASES["flat-90--peat-over-chalk"], 20, 12000)
    between(CASES["lathed-100--opaque-pair"], 21)
    between(CASES["elliptic-75--white-over-dark"], 8)
    between(CASES["elliptic-75--smoke-over-pearl"], 14)


if __name__ == "__main__":
    main()
