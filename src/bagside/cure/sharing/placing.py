"""Whether moulds find room on shelves with air around each."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations, product

MANY = 5
"""Moulds up to which every order and every turn is tried."""

Size = tuple[float, float]
Placed = tuple[int, float, float, float, float]
"""Shelf, left and lower edge, length, width [m]."""


def placed(sizes: Sequence[Size], shelves: Sequence[Size], gap: float) -> tuple[Placed, ...] | None:
    """Return where each mould stands, or nothing when no way was found.

    Parameters
    ----------
    sizes
        Length and width of each mould [m].
    shelves
        Length and width of each shelf [m].
    gap
        Air between moulds, and between a mould and the shelf's edge [m].

    Returns
    -------
    tuple or None
        In the order of the moulds.

    Notes
    -----
    Moulds are put down one after the other, each as far to the corner as it goes. Up to five, every order and every
    quarter turn is tried; beyond, the largest go first. A very tight fit of many moulds may be missed.

    Examples
    --------
    >>> placed([(0.4, 0.4), (0.4, 0.4)], [(1.0, 0.6)], 0.06) is None
    False
    >>> placed([(0.5, 0.5), (0.5, 0.5)], [(1.0, 0.6)], 0.06) is None
    True
    """
    count = len(sizes)
    wanted = sum((a + gap) * (b + gap) for a, b in sizes)
    if wanted > sum(max(a - gap, 0.0) * max(b - gap, 0.0) for a, b in shelves) + 1e-9:
        return None
    largest = sorted(range(count), key=lambda i: -sizes[i][0] * sizes[i][1])
    orders = permutations(range(count)) if count <= MANY else [tuple(largest)]
    turns = list(product((False, True), repeat=count)) if count <= MANY else [(False,) * count, (True,) * count]
    for order in orders:
        for turned in turns:
            oriented = [(b, a) if t else (a, b) for (a, b), t in zip(sizes, turned, strict=True)]
            found = _in_order(order, oriented, shelves, gap)
            if found is not None:
                return found
    return None


def _in_order(
    order: Sequence[int], sizes: Sequence[Size], shelves: Sequence[Size], gap: float
) -> tuple[Placed, ...] | None:
    put: dict[int, Placed] = {}
    for i in order:
        spot = _spot(sizes[i], list(put.values()), shelves, gap)
        if spot is None:
            return None
        put[i] = spot
    return tuple(put[i] for i in range(len(sizes)))


def _spot(size: Size, put: Sequence[Placed], shelves: Sequence[Size], gap: float) -> Placed | None:
    a, b = size
    for s, (length, width) in enumerate(shelves):
        here = [p for p in put if p[0] == s]
        for y in sorted({gap, *(p[2] + p[4] + gap for p in here)}):
            for x in sorted({gap, *(p[1] + p[3] + gap for p in here)}):
                inside = x + a + gap <= length + 1e-9 and y + b + gap <= width + 1e-9
                if inside and all(_apart(x, y, a, b, p, gap) for p in here):
                    return (s, x, y, a, b)
    return None


def _apart(x: float, y: float, a: float, b: float, p: Placed, gap: float) -> bool:
    _, px, py, pa, pb = p
    slack = gap - 1e-9
    return x >= px + pa + slack or px >= x + a + slack or y >= py + pb + slack or py >= y + b + slack
