"""What the pieces of a ply are called."""

from __future__ import annotations


def piece_labels(ply_number: int, count: int) -> tuple[str, ...]:
    """Return the labels of a ply's pieces: 3 when there is one, else 3A, 3B, … 3Z, 3AA.

    Parameters
    ----------
    ply_number
        From 1 in the order of laying.
    count
        How many pieces it has.

    Examples
    --------
    >>> piece_labels(3, 1), piece_labels(4, 2), piece_labels(5, 28)[-1]
    (('3',), ('4A', '4B'), '5AB')
    """
    if count == 1:
        return (f"{ply_number}",)
    return tuple(f"{ply_number}{_letters(n)}" for n in range(count))


def _letters(n: int) -> str:
    text = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
