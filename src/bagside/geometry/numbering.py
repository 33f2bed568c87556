"""Numbering points and rows anew, without sorting more than once: meshes come with millions of them."""

from __future__ import annotations

import numpy as np

from bagside.geometry.surface import Floats, Ints


def compact(indices: Ints, count: int) -> tuple[Ints, Ints]:
    """Return which numbers are used, rising, and the same indices counted among them.

    Parameters
    ----------
    indices
        Numbers below ``count``, any shape.
    count
        How many numbers there are.

    Examples
    --------
    >>> [a.tolist() for a in compact(np.array([[7, 2], [2, 5]]), 9)]
    [[2, 5, 7], [[2, 0], [0, 1]]]
    """
    used = np.zeros(count, dtype=np.bool_)
    used[indices] = True
    place = np.cumsum(used) - 1
    return np.flatnonzero(used).astype(np.int64), place[indices].astype(np.int64)


def first_of(labels: Ints, count: int) -> Ints:
    """Return where each label comes first, shape (count,).

    Parameters
    ----------
    labels
        Labels 0 … count − 1, each at least once, shape (n,).
    count
        How many labels there are.
    """
    first = np.empty(count, dtype=np.int64)
    first[labels[::-1]] = np.arange(len(labels) - 1, -1, -1)
    return first


def equal_rows(rows: Floats | Ints) -> tuple[Ints, Ints]:
    """Return the first row of each kind, in order of appearance, and the kind of each row.

    Parameters
    ----------
    rows
        Numbers of eight bytes, shape (n, k); rows are of one kind when all their numbers are equal.

    Examples
    --------
    >>> [a.tolist() for a in equal_rows(np.array([[3, 1], [0, 2], [3, 1]]))]
    [[0, 1], [0, 1, 0]]
    """
    if len(rows) == 0:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    bits = np.ascontiguousarray(rows + 0).view(np.uint64)  # + 0 makes −0.0 the same as 0.0
    mixed = np.zeros(len(rows), dtype=np.uint64)
    for k in range(bits.shape[1]):
        mixed = (mixed ^ bits[:, k]) * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
    order = np.argsort(mixed, kind="stable")
    same = (bits[order[1:]] == bits[order[:-1]]).all(axis=1)
    if (mixed[order[1:]] == mixed[order[:-1]]).sum() != same.sum():  # two kinds share a key: sort by all numbers
        order = np.lexsort(bits.T[::-1])
        same = (bits[order[1:]] == bits[order[:-1]]).all(axis=1)
    begins = np.concatenate([[True], ~same])
    kind = np.empty(len(rows), dtype=np.int64)
    kind[order] = np.cumsum(begins) - 1
    first = order[begins]
    rank = np.argsort(first, kind="stable")
    place = np.empty(len(first), dtype=np.int64)
    place[rank] = np.arange(len(first))
    return first[rank].astype(np.int64), place[kind]
