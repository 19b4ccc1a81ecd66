"""Compiled kernels of `partline.process.glints`: outlines on a grid of pixels, and colours."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from partline.numerics.compiled import compiled

Array = NDArray[np.floating]
Indices = NDArray[np.integer]

kernel = compiled(__file__)


@kernel
def _add_edge(x0: float, y0: float, x1: float, y1: float, ahead: Array) -> None:
    """Add what lies to the right of an edge, row by row, to the differences between pixels."""
    if y0 == y1:
        return
    sign = 1.0
    if y0 > y1:
        x0, y0, x1, y1, sign = x1, y1, x0, y0, -1.0
    slope = (x1 - x0) / (y1 - y0)
    for row in range(int(y0), min(math.ceil(y1), ahead.shape[0])):
        top = max(y0, float(row))
        bottom = min(y1, row + 1.0)
        tall = sign * (bottom - top)
        a = x0 + (top - y0) * slope
        b = x0 + (bottom - y0) * slope
        left = max(min(a, b), 0.0)
        right = max(a, b)
        first = int(left)
        last = min(int(right), ahead.shape[1] - 2)
        if first >= last:
            part = tall * (0.5 * (left + right) - first)
            ahead[row, first] += tall - part
            ahead[row, first + 1] += part
            continue
        for column in range(first, last + 1):
            start = max(left, float(column))
            end = min(right, column + 1.0)
            share = tall * (end - start) / (right - left)
            part = share * (0.5 * (start + end) - column)
            ahead[row, column] += share - part
            ahead[row, column + 1] += part


class Entries(NamedTuple):
    """Sparse coverage: pixel (row by row), flake, and the share of the pixel it covers; and the
    share of every pixel that none covers.
    """  # noqa: D205

    pixel: Indices
    flake: Indices
    cover: Array
    bare: Array


@kernel
def lay(corners: Array, depth: Array, side: Indices, reach: Array, entries: Entries) -> int:
    """Fill the entries with every flake's exact area in every pixel; return how many there are.

    `corners` are (flakes, corners, 2) as column and row, the last one repeated where an outline
    has fewer. `reach` (sides, rows, columns) is how deep each side is met in each pixel: a flake
    beyond that is not in the plastic.
    """
    _, rows, columns = reach.shape
    flakes, n, _ = corners.shape
    found = 0
    for flake in range(flakes):
        low_x, low_y = corners[flake, 0, 0], corners[flake, 0, 1]
        high_x, high_y = low_x, low_y
        for k in range(1, n):
            low_x = min(low_x, corners[flake, k, 0])
            high_x = max(high_x, corners[flake, k, 0])
            low_y = min(low_y, corners[flake, k, 1])
            high_y = max(high_y, corners[flake, k, 1])
        if high_x <= 0.0 or high_y <= 0.0 or low_x >= columns or low_y >= rows:
            continue
        left = math.floor(low_x)
        top = math.floor(low_y)
        wide = math.ceil(high_x) - left
        tall = math.ceil(high_y) - top
        ahead = np.zeros((tall, wide + 2))
        for k in range(n):
            after = (k + 1) % n
            _add_edge(
                corners[flake, k, 0] - left, corners[flake, k, 1] - top,
                corners[flake, after, 0] - left, corners[flake, after, 1] - top, ahead,
            )  # fmt: skip
        for y in range(max(0, -top), min(tall, rows - top)):
            sum_ = 0.0
            for x in range(min(wide, columns - left)):
                sum_ += ahead[y, x]
                cover = min(abs(sum_), 1.0)
                if left + x < 0 or cover < 1e-12:
                    continue
                if depth[flake] >= reach[side[flake], top + y, left + x]:
                    continue
                entries.pixel[found] = (top + y) * columns + left + x
                entries.flake[found] = flake
                entries.cover[found] = cover
                found += 1
    return found


@kernel
def hide(entries: Entries, side: Indices, first: Indices) -> None:
    """Take off each flake's cover what nearer ones hide; leave in `bare` what no flake covers.

    Flakes come nearest first within their side; the side met first lies before the other.
    """
    for behind in range(2):
        for entry in range(entries.pixel.size):
            pixel = entries.pixel[entry]
            if (side[entries.flake[entry]] != first[pixel]) != (behind == 1):
                continue
            seen = entries.cover[entry] * entries.bare[pixel]
            entries.bare[pixel] -= seen
            entries.cover[entry] = seen


class Tables(NamedTuple):
    """Light along lines of sight over its mean, at pairs of depths of the two layers.

    Nodes are even in the root of depth over `reach` (first side, layer), own × other from `start`
    on for each side that is met first. `course` is (nodes, layers, depths, 3, channels): Σκg, its
    integral up to each depth, and what comes from behind. `lit` is (nodes, layers, kinds,
    directions, depths, channels).
    """

    reach: Array
    start: Indices
    own: int
    other: int
    course: Array
    lit: Array


@kernel
def _place(value: float, most: float, count: int) -> float:
    """Place of a depth among nodes that are even in its root."""
    if most <= 0.0:
        return 0.0
    return min(math.sqrt(max(value, 0.0) / most), 1.0) * (count - 1)


@kernel
def _corners(
    first: int, own: float, other: float, tables: Tables, node: Indices, weight: Array
) -> None:
    """Fill the four table entries round a pixel's depths, and their weights."""
    place = _place(own, tables.reach[first, 0], tables.own)
    i = min(int(place), tables.own - 2)
    u = place - i
    place = _place(other, tables.reach[first, 1], tables.other)
    j = min(int(place), tables.other - 2)
    v = place - j
    start = tables.start[first] + i * tables.other + j
    node[0], node[1] = start, start + 1
    node[2], node[3] = start + tables.other, start + tables.other + 1
    weight[0], weight[1] = (1 - u) * (1 - v), (1 - u) * v
    weight[2], weight[3] = u * (1 - v), u * v


class View(NamedTuple):
    """Pixels of a view, each (pixels,): side met first, depths in it and in the other."""

    first: Indices
    own: Array
    other: Array


class Flakes(NamedTuple):
    """What colours each flake, each (flakes,): its depth, kind, direction and brightness."""

    depth: Array
    side: Indices
    kind: Indices
    direction: Indices
    factor: Array


@kernel
def colour(
    entries: Entries, flakes: Flakes, view: View, tables: Tables, mean: Array, out: Array
) -> None:
    """Fill out (pixels, channels): the mean times what the flakes make of it."""
    pixels, channels = out.shape
    node = np.empty((pixels, 4), np.int32)
    weight = np.empty((pixels, 4))
    last = tables.course.shape[2] - 1
    course = tables.course
    for pixel in range(pixels):
        own, other = view.own[pixel], view.other[pixel]
        if own <= 0.0:
            for channel in range(channels):
                out[pixel, channel] = mean[pixel, channel]
            continue
        _corners(view.first[pixel], own, other, tables, node[pixel], weight[pixel])
        for channel in range(channels):
            value = 1.0
            for k in range(4):
                at, part = node[pixel, k], weight[pixel, k]
                value += part * own * course[at, 0, last, 1, channel]
                value += part * other * course[at, 1, last, 1, channel]
            out[pixel, channel] = mean[pixel, channel] * entries.bare[pixel] * value
    _add_flakes(entries, flakes, view, tables, node, weight, mean, out)


@kernel
def _add_flakes(  # noqa: PLR0917 (a kernel's scratch arrays)
    entries: Entries,
    flakes: Flakes,
    view: View,
    tables: Tables,
    node: Indices,
    weight: Array,
    mean: Array,
    out: Array,
) -> None:
    """Add what each flake shows in each pixel, to lines of sight that end on it."""
    course, lit = tables.course, tables.lit
    depths, channels = course.shape[2], course.shape[4]
    light = np.empty(channels)
    for entry in range(entries.pixel.size):
        pixel, flake = entries.pixel[entry], entries.flake[entry]
        own = view.own[pixel]
        if own <= 0.0:
            continue
        layer, thick = 0, own
        if flakes.side[flake] != view.first[pixel]:
            layer, thick = 1, view.other[pixel]
        share = flakes.depth[flake] / thick
        low = min(int(math.sqrt(share) * (depths - 1)), depths - 2)
        start = (low / (depths - 1)) ** 2
        step = ((low + 1) / (depths - 1)) ** 2 - start
        part = (share - start) / step
        kind, way, factor = flakes.kind[flake], flakes.direction[flake], flakes.factor[flake]
        # The integral of what is linear between two depths, so that the mean is kept.
        ahead = thick * step * part
        after = 0.5 * ahead * part
        for channel in range(channels):
            light[channel] = 1.0
        for k in range(4):
            at, corner = node[pixel, k], weight[pixel, k]
            for channel in range(channels):
                value = thick * course[at, layer, low, 1, channel]
                value += (ahead - after) * course[at, layer, low, 0, channel]
                value += after * course[at, layer, low + 1, 0, channel]
                value -= (1.0 - part) * course[at, layer, low, 2, channel]
                value -= part * course[at, layer, low + 1, 2, channel]
                value += factor * (1.0 - part) * lit[at, layer, kind, way, low, channel]
                value += factor * part * lit[at, layer, kind, way, low + 1, channel]
                light[channel] += corner * value
            if layer == 1:
                for channel in range(channels):
                    light[channel] += corner * own * course[at, 0, depths - 1, 1, channel]
        for channel in range(channels):
            out[pixel, channel] += mean[pixel, channel] * entries.cover[entry] * light[channel]


@kernel
def look_up(view: View, tables: Tables, mean: Array, out: Array) -> None:
    """Fill out (pixels, channels) with the tables' own mean (nodes, channels)."""
    node = np.empty(4, np.int32)
    weight = np.empty(4)
    for pixel in range(view.own.size):
        own, other = view.own[pixel], view.other[pixel]
        _corners(view.first[pixel], own, other, tables, node, weight)
        for channel in range(out.shape[1]):
            value = 0.0
            for k in range(4):
                value += weight[k] * mean[node[k], channel]
            out[pixel, channel] = value if own > 0.0 else 0.0
