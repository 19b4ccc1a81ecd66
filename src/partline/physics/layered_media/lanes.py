"""Between arrays by wavelength and the kernels' blocks of lanes."""

from __future__ import annotations

from itertools import accumulate
from math import prod

import numpy as np
from numpy.typing import NDArray

from partline.physics.layered_media.kernel import LANES

Floats = NDArray[np.floating]


def in_lanes(array: Floats) -> Floats:
    """Bring wavelengths into blocks: (media, …, wavelengths) to (media, blocks, …, lanes).

    The last block is filled up with the last wavelength.
    """
    wavelengths = array.shape[-1]
    blocks = -(-wavelengths // LANES)
    index = np.minimum(np.arange(blocks * LANES), wavelengths - 1)
    filled = array[..., index].reshape(*array.shape[:-1], blocks, LANES)
    return np.ascontiguousarray(np.moveaxis(filled, -2, 1))


def out_of_lanes(array: Floats, wavelengths: int) -> Floats:
    """Undo `in_lanes`: (stacks, blocks, lanes) to (stacks, wavelengths)."""
    return array.reshape(array.shape[0], -1)[:, :wavelengths]


def carved(outer: tuple[int, ...], *shapes: tuple[int, ...]) -> list[Floats]:
    """Empty arrays (*outer, *shape) cut from one block.

    A block is asked from the system once and used again; many of this size are given back and
    fetched anew at every call, which takes longer than the arithmetic.
    """
    sizes = [prod(outer) * prod(shape) for shape in shapes]
    block = np.empty(sum(sizes))
    return [
        block[end - size : end].reshape(*outer, *shape)
        for size, end, shape in zip(sizes, accumulate(sizes), shapes, strict=True)
    ]
