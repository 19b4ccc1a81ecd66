"""Compiled kernels of the layered-media solver; `explanation` of the method in the package.

Every array ends in LANES wavelengths that are worked on side by side, and every inner loop runs
over them, so that the compiler fills the processor's vector registers. Symmetric matrices use
their lower triangle only. All kernels stand in this one file (see `partline.numerics.compiled`).

Notation: at an interface u = √(μw)·I holds the light of each direction, s = u_out + u_in and
d = u_in − u_out seen from the body below. A body is known by its admittance Y: d = Y s. In the
modes of a medium, s = Z ŝ and d = Z⁻ᵀ d̂, a layer is diagonal.
"""

from __future__ import annotations

import math

import numpy as np

from partline.numerics.compiled import compiled

# Kernels read the number of lanes from their arrays: the compiler unrolls a loop of constant
# length before it thinks of vectors, and then finds none.
LANES = 32
MOST_SWEEPS = 16

kernel = compiled(__file__)


@kernel
def decompose(albedo, moments, inverse_cosine, legendre, rate, to_space, from_sum):
    """Find the modes of each medium: decay rates Λ, Z, and X = Z⁻ᵀ; return the sweeps needed."""
    lanes = rate.shape[-1]
    blocks, n = rate.shape[0], rate.shape[1]
    odd = np.empty((n, n, lanes))
    even = np.empty((n, n, lanes))
    work = np.empty((n, n, lanes))
    turn = np.empty((n, n, lanes))
    most = 0
    for block in range(blocks):
        _collisions(albedo[block], moments[block], 1, inverse_cosine, legendre, odd)
        _collisions(albedo[block], moments[block], 0, inverse_cosine, legendre, even)
        _cholesky(odd)
        _product_lower(even, odd, work, turn)
        most = max(most, _eigen(work, turn))
        for i in range(n):
            for lane in range(lanes):
                # A conservative medium has one rate of zero: a floor keeps tanh(Λτ)/Λ = τ there.
                rate[block, i, lane] = math.sqrt(max(work[i, i, lane], 1e-28))
        _lower_times(odd, turn, to_space[block])
        _solve_transposed(odd, turn, from_sum[block])
    return most


@kernel
def _collisions(albedo, moments, first, inverse_cosine, legendre, out):
    """Fill out = diag(1/μ) − a Σ χ_k v_k v_kᵀ over every other k from `first`."""
    lanes = out.shape[-1]
    n = out.shape[0]
    for i in range(n):
        for j in range(i + 1):
            row = out[i, j]
            start = inverse_cosine[i] if i == j else 0.0
            for lane in range(lanes):
                row[lane] = start
            for k in range(first, legendre.shape[0], 2):
                factor = legendre[k, i] * legendre[k, j]
                moment = moments[k]
                for lane in range(lanes):
                    row[lane] -= factor * albedo[lane] * moment[lane]


@kernel
def _cholesky(a):
    """Replace the lower triangle of a by its Cholesky factor L, with 1/L_jj on the diagonal."""
    lanes = a.shape[-1]
    n = a.shape[0]
    for j in range(n):
        pivot = a[j, j]
        for k in range(j):
            left = a[j, k]
            for lane in range(lanes):
                pivot[lane] -= left[lane] * left[lane]
        for lane in range(lanes):
            pivot[lane] = 1.0 / math.sqrt(pivot[lane])
        for i in range(j + 1, n):
            entry = a[i, j]
            for k in range(j):
                left = a[i, k]
                right = a[j, k]
                for lane in range(lanes):
                    entry[lane] -= left[lane] * right[lane]
            for lane in range(lanes):
                entry[lane] *= pivot[lane]


@kernel
def _product_lower(f, factor, out, scratch):
    """Fill the lower triangle of out = Lᵀ F L."""
    lanes = out.shape[-1]
    n = f.shape[0]
    for i in range(n):
        for j in range(n):
            entry = scratch[i, j]
            for lane in range(lanes):
                entry[lane] = 0.0
            for k in range(j, n):
                left = f[max(i, k), min(i, k)]
                right = factor[k, j]
                if k == j:
                    for lane in range(lanes):
                        entry[lane] += left[lane] / right[lane]
                else:
                    for lane in range(lanes):
                        entry[lane] += left[lane] * right[lane]
    for i in range(n):
        for j in range(i + 1):
            entry = out[i, j]
            for lane in range(lanes):
                entry[lane] = 0.0
            for k in range(i, n):
                left = factor[k, i]
                right = scratch[k, j]
                if k == i:
                    for lane in range(lanes):
                        entry[lane] += right[lane] / left[lane]
                else:
                    for lane in range(lanes):
                        entry[lane] += left[lane] * right[lane]


@kernel
def _turn(a, b, cosine, sine):
    """Rotate the pairs (a, b) of two rows or columns in each lane."""
    for i in range(a.shape[0]):
        for lane in range(a.shape[1]):
            x = a[i, lane]
            y = b[i, lane]
            a[i, lane] = cosine[lane] * x - sine[lane] * y
            b[i, lane] = sine[lane] * x + cosine[lane] * y


@kernel
def _eigen(c, q):
    """Diagonalise symmetric c (lower triangle) by cyclic Jacobi rotations; q gets the vectors."""
    lanes = c.shape[-1]
    n = c.shape[0]
    cosine = np.empty(lanes)
    sine = np.empty(lanes)
    for i in range(n):
        for j in range(n):
            for lane in range(lanes):
                q[i, j, lane] = 1.0 if i == j else 0.0
    for sweep in range(MOST_SWEEPS):
        if _is_diagonal(c, cosine, sine):
            return sweep
        for p in range(n - 1):
            for r in range(p + 1, n):
                app = c[p, p]
                arr = c[r, r]
                arp = c[r, p]
                for lane in range(lanes):
                    x = arp[lane]
                    half = 0.5 * (arr[lane] - app[lane])
                    length = abs(half) + math.sqrt(x * x + half * half) + 1e-300
                    tangent = math.copysign(1.0, half) * x / length
                    cosine[lane] = 1.0 / math.sqrt(1.0 + tangent * tangent)
                    sine[lane] = tangent * cosine[lane]
                    app[lane] -= tangent * x
                    arr[lane] += tangent * x
                    arp[lane] = 0.0
                _turn(c[p, :p], c[r, :p], cosine, sine)
                _turn(c[p + 1 : r, p], c[r, p + 1 : r], cosine, sine)
                _turn(c[r + 1 :, p], c[r + 1 :, r], cosine, sine)
                _turn(q[:, p], q[:, r], cosine, sine)
    return MOST_SWEEPS


@kernel
def _is_diagonal(c, off, diagonal):
    """True when what is left beside the diagonal is below rounding in every lane."""
    lanes = off.shape[-1]
    for lane in range(lanes):
        off[lane] = 0.0
        diagonal[lane] = 0.0
    for i in range(c.shape[0]):
        entry = c[i, i]
        for lane in range(lanes):
            diagonal[lane] += entry[lane] * entry[lane]
        for j in range(i):
            entry = c[i, j]
            for lane in range(lanes):
                off[lane] += entry[lane] * entry[lane]
    worst = 0.0
    for lane in range(lanes):
        worst = max(worst, off[lane] / diagonal[lane])
    return worst <= 1e-24


@kernel
def _lower_times(factor, q, out):
    """Fill out = L q."""
    lanes = out.shape[-1]
    n = q.shape[0]
    for i in range(n):
        for j in range(n):
            entry = out[i, j]
            left = factor[i, i]
            right = q[i, j]
            for lane in range(lanes):
                entry[lane] = right[lane] / left[lane]
            for k in range(i):
                left = factor[i, k]
                right = q[k, j]
                for lane in range(lanes):
                    entry[lane] += left[lane] * right[lane]


@kernel
def _solve_transposed(factor, q, out):
    """Fill out = L⁻ᵀ q."""
    lanes = out.shape[-1]
    n = q.shape[0]
    for i in range(n - 1, -1, -1):
        for j in range(n):
            entry = out[i, j]
            right = q[i, j]
            for lane in range(lanes):
                entry[lane] = right[lane]
            for k in range(i + 1, n):
                left = factor[k, i]
                right = out[k, j]
                for lane in range(lanes):
                    entry[lane] -= left[lane] * right[lane]
            left = factor[i, i]
            for lane in range(lanes):
                entry[lane] *= left[lane]


@kernel
def surfaces(to_space, admittance, out):
    """Fill the lower triangles of out = Zᵀ diag(admittance) Z: a surface in a medium's modes."""
    lanes = out.shape[-1]
    n = to_space.shape[1]
    for block in range(to_space.shape[0]):
        for i in range(n):
            for j in range(i + 1):
                entry = out[block, i, j]
                for lane in range(lanes):
                    entry[lane] = 0.0
                for k in range(n):
                    left = to_space[block, k, i]
                    right = to_space[block, k, j]
                    for lane in range(lanes):
                        entry[lane] += admittance[k] * left[lane] * right[lane]


@kernel
def in_modes(to_space, vector, out):
    """Fill out = Zᵀ vector: one pattern of directions in a medium's modes."""
    lanes = out.shape[-1]
    n = to_space.shape[1]
    for block in range(to_space.shape[0]):
        for i in range(n):
            entry = out[block, i]
            for lane in range(lanes):
                entry[lane] = 0.0
            for k in range(n):
                left = to_space[block, k, i]
                for lane in range(lanes):
                    entry[lane] += vector[k] * left[lane]


@kernel
def couple(upper, lower, to_space, from_sum, out):
    """Fill out = X_lowerᵀ Z_upper for each pair of media that touch."""
    lanes = out.shape[-1]
    n = to_space.shape[2]
    for pair in range(upper.size):
        for block in range(to_space.shape[1]):
            x = from_sum[lower[pair], block]
            z = to_space[upper[pair], block]
            for i in range(n):
                for j in range(n):
                    entry = out[pair, block, i, j]
                    for lane in range(lanes):
                        entry[lane] = 0.0
                    for k in range(n):
                        left = x[k, i]
                        right = z[k, j]
                        for lane in range(lanes):
                            entry[lane] += left[lane] * right[lane]


@kernel
def _change_modes(y, m, scratch):
    """Replace y by Mᵀ y M: the body below seen in the modes of the medium above."""
    lanes = y.shape[-1]
    n = y.shape[0]
    for i in range(n):
        for j in range(n):
            entry = scratch[i, j]
            for lane in range(lanes):
                entry[lane] = 0.0
            for k in range(n):
                left = y[max(i, k), min(i, k)]
                right = m[k, j]
                for lane in range(lanes):
                    entry[lane] += left[lane] * right[lane]
    for i in range(n):
        for j in range(i + 1):
            entry = y[i, j]
            for lane in range(lanes):
                entry[lane] = 0.0
            for k in range(n):
                left = m[k, i]
                right = scratch[k, j]
                for lane in range(lanes):
                    entry[lane] += left[lane] * right[lane]


@kernel
def _fade(rate, extinction, thickness, tangent, secant, depth):
    """Fill tanh(Λτ), sech(Λτ) and tanh(Λτ)/Λ of a layer, right at both ends of Λτ."""
    lanes = rate.shape[-1]
    for i in range(rate.shape[0]):
        for lane in range(lanes):
            z = rate[i, lane] * extinction[lane] * thickness
            e = math.exp(-z)
            less = -math.expm1(-z)
            square = 1.0 + e * e
            tangent[i, lane] = less * (1.0 + e) / square
            secant[i, lane] = 2.0 * e / square
            depth[i, lane] = tangent[i, lane] / rate[i, lane]


@kernel
def _in_series(y, depth, column, share):
    """Replace y by (y⁻¹ + diag(depth))⁻¹, one mode at a time; right for depth 0 and singular y."""
    lanes = y.shape[-1]
    n = y.shape[0]
    for k in range(n):
        for i in range(n):
            entry = y[max(i, k), min(i, k)]
            for lane in range(lanes):
                column[i, lane] = entry[lane]
        for lane in range(lanes):
            share[lane] = 1.0 / (1.0 + depth[k, lane] * column[k, lane])
        for i in range(n):
            if i == k:
                continue
            for j in range(i + 1):
                if j == k:
                    continue
                entry = y[i, j]
                left = column[i]
                right = column[j]
                for lane in range(lanes):
                    entry[lane] -= depth[k, lane] * share[lane] * left[lane] * right[lane]
        for i in range(n):
            entry = y[max(i, k), min(i, k)]
            for lane in range(lanes):
                entry[lane] = column[i, lane] * share[lane]


@kernel
def _faded(y, rate, tangent, secant):
    """Replace y by Λ tanh(Λτ) + sech(Λτ) y sech(Λτ)."""
    lanes = y.shape[-1]
    n = y.shape[0]
    for i in range(n):
        for j in range(i + 1):
            entry = y[i, j]
            for lane in range(lanes):
                entry[lane] *= secant[i, lane] * secant[j, lane]
        entry = y[i, i]
        for lane in range(lanes):
            entry[lane] += rate[i, lane] * tangent[i, lane]


@kernel
def _solve(a, x):
    """Replace x by a⁻¹ x for symmetric positive a; a is overwritten by its L D Lᵀ factors."""
    lanes = a.shape[-1]
    n = a.shape[0]
    for j in range(n):
        pivot = a[j, j]
        for lane in range(lanes):
            pivot[lane] = 1.0 / pivot[lane]
        for i in range(n - 1, j, -1):
            low = a[i, j]
            for k in range(j + 1, i + 1):
                entry = a[i, k]
                right = a[k, j]
                for lane in range(lanes):
                    entry[lane] -= low[lane] * pivot[lane] * right[lane]
            for lane in range(lanes):
                low[lane] *= pivot[lane]
                x[i, lane] -= low[lane] * x[j, lane]
    for i in range(n - 1, -1, -1):
        for lane in range(lanes):
            x[i, lane] *= a[i, i, lane]
        for k in range(i + 1, n):
            low = a[k, i]
            for lane in range(lanes):
                x[i, lane] -= low[lane] * x[k, lane]


@kernel
def _start_below(surface, leak, give, y):
    """Fill y with what lies under the lowest layer: its surface, and a Lambertian backing."""
    lanes = y.shape[-1]
    n = y.shape[0]
    for i in range(n):
        for j in range(i + 1):
            entry = y[i, j]
            left = leak[i]
            right = leak[j]
            bare = surface[i, j]
            for lane in range(lanes):
                entry[lane] = bare[lane] - give[lane] * left[lane] * right[lane]


@kernel
def _copy(a, out):
    lanes = a.shape[-1]
    for i in range(a.shape[0]):
        for lane in range(lanes):
            out[i, lane] = a[i, lane]


@kernel
def _copy_lower(a, out):
    lanes = a.shape[-1]
    for i in range(a.shape[0]):
        for j in range(i + 1):
            for lane in range(lanes):
                out[i, j, lane] = a[i, j, lane]


@kernel
def _put_surface(y, surface):
    """Add a surface's admittance on top of the body y."""
    lanes = y.shape[-1]
    n = y.shape[0]
    for i in range(n):
        for j in range(i + 1):
            entry = y[i, j]
            more = surface[i, j]
            for lane in range(lanes):
                entry[lane] += more[lane]


@kernel
def reflect(
    layers, pairs, thickness, give, rate, extinction, top, bottom, light, leak, normal,
    coupling, out,
):  # fmt: skip
    """Fill out (stacks, blocks, 2, lanes): the field summed over the light, and at the normal."""
    lanes = rate.shape[-1]
    stacks, depth_count = layers.shape
    blocks, n = rate.shape[1], rate.shape[2]
    y = np.empty((n, n, lanes))
    scratch = np.empty((n, n, lanes))
    tangent = np.empty((n, lanes))
    secant = np.empty((n, lanes))
    depth = np.empty((n, lanes))
    field = np.empty((n, lanes))
    share = np.empty(lanes)
    for stack in range(stacks):
        for block in range(blocks):
            medium = layers[stack, depth_count - 1]
            _start_below(bottom[medium, block], leak[medium, block], give[stack, block], y)
            for layer in range(depth_count - 1, -1, -1):
                if layers[stack, layer] != medium:
                    medium = layers[stack, layer]
                    _change_modes(y, coupling[pairs[stack, layer], block], scratch)
                modes = rate[medium, block]
                _fade(
                    modes, extinction[medium, block], thickness[stack, layer],
                    tangent, secant, depth,
                )  # fmt: skip
                _in_series(y, depth, field, share)
                _faded(y, modes, tangent, secant)
            _put_surface(y, top[medium, block])
            _copy(light[medium, block], field)
            _solve(y, field)
            for lane in range(lanes):
                out[stack, block, 0, lane] = 0.0
                out[stack, block, 1, lane] = 0.0
            for i in range(n):
                for lane in range(lanes):
                    out[stack, block, 0, lane] += light[medium, block, i, lane] * field[i, lane]
                    out[stack, block, 1, lane] += normal[medium, block, i, lane] * field[i, lane]


@kernel
def pass_through(thickness, source, rate, extinction, top, bottom, to_space, out):
    """Fill out (media, blocks, 2, n, lanes): the field at both faces of one layer each."""
    lanes = rate.shape[-1]
    blocks, n = rate.shape[1], rate.shape[2]
    y = np.empty((n, n, lanes))
    series = np.empty((n, n, lanes))
    tangent = np.empty((n, lanes))
    secant = np.empty((n, lanes))
    depth = np.empty((n, lanes))
    field = np.empty((n, lanes))
    share = np.empty(lanes)
    for medium in range(thickness.size):
        for block in range(blocks):
            modes = rate[medium, block]
            _copy_lower(bottom[medium, block], y)
            _fade(modes, extinction[medium, block], thickness[medium], tangent, secant, depth)
            _in_series(y, depth, field, share)
            _copy_lower(y, series)
            _faded(y, modes, tangent, secant)
            _put_surface(y, top[medium, block])
            _copy(source[medium, block], field)
            _solve(y, field)
            _to_space(to_space[medium, block], field, out[medium, block, 0])
            for i in range(n):
                for lane in range(lanes):
                    field[i, lane] *= secant[i, lane]
            # At the far face ŝ = (1 + D y)⁻¹ sech(Λτ) ŝ_near, and D y/(1 + D y) = D · series.
            for i in range(n):
                for lane in range(lanes):
                    share[lane] = 0.0
                for k in range(n):
                    entry = series[max(i, k), min(i, k)]
                    for lane in range(lanes):
                        share[lane] += entry[lane] * field[k, lane]
                for lane in range(lanes):
                    tangent[i, lane] = field[i, lane] - depth[i, lane] * share[lane]
            _to_space(to_space[medium, block], tangent, out[medium, block, 1])


@kernel
def _to_space(z, modes, out):
    """Fill out = Z modes: the field by direction."""
    lanes = out.shape[-1]
    n = z.shape[0]
    for i in range(n):
        for lane in range(lanes):
            out[i, lane] = 0.0
        for k in range(n):
            left = z[i, k]
            for lane in range(lanes):
                out[i, lane] += left[lane] * modes[k, lane]
