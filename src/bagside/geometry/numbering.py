"""Numbering points and rows anew, without sorting more than once: meshes come with millions of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

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


def rising(keys: Ints, bits: int) -> Ints:
    """Return the order that sorts whole numbers, equal ones as they came.

    Parameters
    ----------
    keys
        Whole numbers from zero, shape (n,).
    bits
        How many bits the largest takes.

    Notes
    -----
    Where key and place fit into 64 bits together they are sorted as one number, four times as fast as an indirect sort.

    Examples
    --------
    >>> rising(np.array([5, 2, 5, 0]), 3).tolist()
    [3, 1, 0, 2]
    """
    room = max(len(keys) - 1, 1).bit_length()
    if bits + room > 64:
        return np.argsort(keys, kind="stable").astype(np.int64)
    packed = (keys.astype(np.uint64) << np.uint64(room)) | np.arange(len(keys), dtype=np.uint64)
    packed.sort()
    out: Ints = (packed & np.uint64((1 << room) - 1)).astype(np.int64)
    return out


def kinds_of(keys: Ints, bits: int) -> tuple[Ints, Ints]:
    """Return the different whole numbers, rising, and which of them each one is.

    Parameters
    ----------
    keys
        Whole numbers from zero, shape (n,).
    bits
        How many bits the largest takes.

    Examples
    --------
    >>> [a.tolist() for a in kinds_of(np.array([5, 2, 5]), 3)]
    [[2, 5], [1, 0, 1]]
    """
    order = rising(keys, bits)
    ordered = keys[order]
    begins = np.ones(len(keys), dtype=np.bool_)
    begins[1:] = ordered[1:] != ordered[:-1]
    kind = np.empty(len(keys), dtype=np.int64)
    kind[order] = np.cumsum(begins) - 1
    return ordered[begins], kind


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
    bits = [np.ascontiguousarray(rows[:, k] + 0).view(np.uint64) for k in range(rows.shape[1])]  # + 0: −0.0 is 0.0
    mixed = np.zeros(len(rows), dtype=np.uint64)
    for column in bits:
        mixed ^= column
        mixed *= np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
    room = max(len(rows) - 1, 1).bit_length()
    mixed >>= np.uint64(room)  # what is left still tells a million rows apart, and sorts with its place as one number
    order = rising(mixed.view(np.int64), 64 - room)
    same = _as_before(bits, order)
    if (mixed[order[1:]] == mixed[order[:-1]]).sum() != same.sum():  # two kinds share a key: sort by all numbers
        order = np.lexsort(bits[::-1])
        same = _as_before(bits, order)
    begins = np.concatenate([[True], ~same])
    kind = np.empty(len(rows), dtype=np.int64)
    kind[order] = np.cumsum(begins) - 1
    first = order[begins]
    rank = rising(first, len(rows).bit_length())
    place = np.empty(len(first), dtype=np.int64)
    place[rank] = np.arange(len(first))
    return first[rank].astype(np.int64), place[kind]


def _as_before(columns: list[NDArray[np.uint64]], order: Ints) -> NDArray[np.bool_]:
    """Return whether each row but the first is the same as the one before it in an order."""
    same = np.ones(max(len(order) - 1, 0), dtype=np.bool_)
    for column in columns:
        ordered = column[order]
        same &= ordered[1:] == ordered[:-1]
    return same
