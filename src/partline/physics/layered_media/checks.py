"""What the solver refuses, in sentences; the kernels trust what has passed here."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import InputError, OutOfRange
from partline.physics.layered_media.scene import Scene

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]


def same_scene(media: Scene, solver: Scene) -> None:
    """Refuse media that were decomposed for another scene."""
    if media != solver:
        raise InputError(f"These media were made for {media}; this solver is for {solver}.")


def coefficients(absorption: ArrayLike, scattering: ArrayLike) -> tuple[Floats, Floats]:
    """Return both as arrays (media, wavelengths), finite and not negative."""
    arrays = np.broadcast_arrays(
        _finite(absorption, "absorption"), _finite(scattering, "scattering")
    )
    for name, array in zip(("absorption", "scattering"), arrays, strict=True):
        _shaped(array, name, ("media", "wavelengths"))
        _within(array, name, 0.0, None, "1/m")
    return arrays[0], arrays[1]


def moments(given: ArrayLike, media: tuple[int, ...], orders: int) -> Floats:
    """Return moments (media, orders, wavelengths) that begin with 1 and lie within −1 to 1."""
    array = _finite(given, "moments")
    _shaped(array, "moments", ("media", "orders", "wavelengths"))
    if (array.shape[0], array.shape[2]) != media or array.shape[1] < orders:
        raise InputError(
            f"Moments have shape {array.shape}; these media need {media[0]} × at least {orders} "
            f"orders × {media[1]} wavelengths."
        )
    _within(array, "moments", -1.0, 1.0, "")
    if not np.all(np.abs(array[:, 0] - 1) < 1e-9):
        raise InputError("The first moment of a phase function must be 1: light goes somewhere.")
    return array


def stacks(layers: ArrayLike, thickness_: ArrayLike, media: int) -> tuple[Integers, Floats]:
    """Return layers and thicknesses as arrays (stacks, layers), every medium known."""
    order = np.ascontiguousarray(layers)
    _shaped(order, "layers", ("stacks", "layers"))
    if not np.issubdtype(order.dtype, np.integer):
        raise InputError(f"Layers are numbers of media, whole numbers; these are {order.dtype}.")
    if not order.shape[1]:
        raise InputError("A stack needs at least one layer.")
    _within(order, "layers", 0, media - 1, "")
    return order.astype(np.int64), thickness(thickness_, order.shape)


def thickness(given: ArrayLike, shape: tuple[int, ...]) -> Floats:
    """Return thicknesses of this shape, finite and not negative."""
    array = _finite(given, "thickness")
    _within(array, "thickness", 0.0, None, "m")
    return np.ascontiguousarray(_broadcast(array, "thickness", shape))


def backing(given: ArrayLike, stacks_: int, wavelengths: int) -> Floats:
    """Return the backing's reflectance as (stacks, wavelengths), within 0 to 1."""
    array = _finite(given, "backing")
    _within(array, "backing", 0.0, 1.0, "")
    if array.ndim == 1:
        array = array[:, None]
    return _broadcast(array, "backing", (stacks_, wavelengths))


def _finite(given: ArrayLike, name: str) -> Floats:
    array = np.asarray(given, dtype=float)
    if not np.all(np.isfinite(array)):
        raise InputError(f"A value of {name} is not a finite number.", field=name)
    return array


def _shaped(array: NDArray[np.generic], name: str, axes: tuple[str, ...]) -> None:
    if array.ndim != len(axes):
        raise InputError(
            f"{name} must have the axes {' × '.join(axes)}; it has shape {array.shape}.",
            field=name,
        )


def _broadcast(array: Floats, name: str, shape: tuple[int, ...]) -> Floats:
    try:
        return np.broadcast_to(array, shape)
    except ValueError:
        raise InputError(
            f"{name} has shape {array.shape}; it must fit {shape}.", field=name
        ) from None


def _within(
    array: NDArray[np.number], name: str, low: float, high: float | None, unit: str
) -> None:
    if array.size and (array.min() < low or (high is not None and array.max() > high)):
        worst = float(array.min() if array.min() < low else array.max())
        allowed = f"{low:g} or more" if high is None else f"{low:g} to {high:g}"
        raise OutOfRange(
            f"A value of {name} is {worst:g} {unit}".rstrip() + f"; it must be {allowed}.",
            low=low, high=high, unit=unit, field=name, given=f"{worst:g}",
        )  # fmt: skip
