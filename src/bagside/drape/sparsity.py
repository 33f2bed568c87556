"""Where the 21 products of each triangle go in one sparse matrix of all unknowns, worked out once a mesh."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from bagside.drape.frames import Frames

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PAIRS = tuple((i, j) for i in range(6) for j in range(i + 1))  # lower triangle of a triangle's 6 × 6 matrix


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sparsity:
    """Where the products of each triangle go in the sparse matrix of 2 n unknowns, u and v of a vertex side by side.

    Parameters
    ----------
    indptr, indices
        Compressed rows of the whole symmetric matrix.
    slot
        Position of each product in the list of distinct entries, shape (21 m,).
    slots
        Length of that list.
    mirror
        For each entry of the whole matrix the distinct entry it equals.
    diagonal
        Position of each diagonal entry in the whole matrix, shape (2 n,).
    blocks
        Positions of the four entries of each vertex's own 2 × 2 block, shape (n, 2, 2).
    """

    indptr: NDArray[np.int32]
    indices: NDArray[np.int32]
    slot: Ints
    slots: int
    mirror: Ints
    diagonal: Ints
    blocks: Ints


def sparsity_of(frames: Frames) -> Sparsity:
    """Return where the products of each triangle go.

    Parameters
    ----------
    frames
        Of the surface.

    Notes
    -----
    Pairs of vertices are sorted, not pairs of unknowns: a quarter of the work. Each pair owns four slots, row by row of
    its 2 × 2 block with the higher vertex as row; of a vertex with itself the upper right one stays empty.
    """
    n, t = frames.vertices, frames.triangles.T
    corner = [(i, j) for i in range(3) for j in range(i + 1)]
    high = np.stack([np.maximum(t[i], t[j]) for i, j in corner])
    low = np.stack([np.minimum(t[i], t[j]) for i, j in corner])
    key, pair = np.unique(high * n + low, return_inverse=True)
    pair = pair.reshape(high.shape)
    slot = np.empty((len(PAIRS), t.shape[1]), dtype=np.int64)
    for k, (i, j) in enumerate(PAIRS):
        p, q = i % 2, j % 2
        straight = t[i // 2] >= t[j // 2]
        slot[k] = 4 * pair[corner.index((i // 2, j // 2))] + np.where(straight, 2 * p + q, 2 * q + p)
    row, column = key // n, key % n
    off = row != column
    rows = np.concatenate([row, column[off]])
    columns = np.concatenate([column, row[off]])
    which = np.concatenate([np.arange(len(key)), np.flatnonzero(off)])
    order = np.argsort(rows * n + columns)
    rows, columns, which = rows[order], columns[order], which[order]
    degree = np.bincount(rows, minlength=n)
    first = np.concatenate([[0], np.cumsum(degree)])  # of each vertex's pairs
    indptr = np.concatenate([[0], np.cumsum(np.repeat(2 * degree, 2))])
    within = np.arange(len(rows)) - first[rows]
    indices = np.empty(4 * len(rows), dtype=np.int32)
    mirror = np.empty(4 * len(rows), dtype=np.int64)
    place = np.empty((len(rows), 2, 2), dtype=np.int64)
    for p in range(2):
        for q in range(2):
            at = indptr[2 * rows + p] + 2 * within + q
            indices[at] = 2 * columns + q
            down = (rows > columns) | ((rows == columns) & (p >= q))
            mirror[at] = 4 * which + np.where(down, 2 * p + q, 2 * q + p)
            place[:, p, q] = at
    blocks = place[rows == columns]
    return Sparsity(
        indptr=indptr.astype(np.int32),
        indices=indices,
        slot=slot.reshape(-1),
        slots=4 * len(key),
        mirror=mirror,
        diagonal=np.stack([blocks[:, 0, 0], blocks[:, 1, 1]], axis=1).reshape(-1),
        blocks=blocks,
    )


def matrix(sparsity: Sparsity, data: Floats) -> sp.csr_array:
    """Return the sparse matrix of some entries.

    Parameters
    ----------
    sparsity
        Where entries lie.
    data
        The entries in its order.
    """
    size = len(sparsity.indptr) - 1
    return sp.csr_array((data, sparsity.indices, sparsity.indptr), shape=(size, size))
