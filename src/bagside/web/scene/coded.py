"""Arrays of a packed surface, made small: whole numbers of a fine step, each as the change from the one before.

A place is told to a hundredth of a millimetre and a value to a tenth of the last digit that is shown of it: nobody sees
less. So the arrays are made of whole numbers that hardly change from one to the next, and pack well.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

STEP = 0.01
"""Of places [mm]."""
MOST = 2**30
"""Steps that a value may be away from the least one; the step is made larger for more."""


class Blocks:
    """Arrays in the order of writing, each named by where it begins and how many numbers it has."""

    def __init__(self) -> None:
        self._data = bytearray()

    def put_wholes(self, numbers: NDArray[np.integer[Any]]) -> list[int]:
        """Write whole numbers, each as the change from the one before.

        Parameters
        ----------
        numbers
            Shape (n,), or (n, k): then each column by itself.
        """
        change = np.diff(numbers.astype(np.int64), axis=0, prepend=0)
        return self._put(np.where(change < 0, -2 * change - 1, 2 * change).T)

    def put_places(self, places: NDArray[np.floating[Any]]) -> list[int]:
        """Write places, to a hundredth of a millimetre.

        Parameters
        ----------
        places
            Shape (n, 3) [mm].
        """
        return self.put_wholes(np.rint(places.astype(np.float64) / STEP).astype(np.int64))

    def put_values(self, values: NDArray[np.floating[Any]], step: float) -> dict[str, Any]:
        """Write values, those that are not finite as none.

        Parameters
        ----------
        values
            Shape (n,), SI.
        step
            Between two that need be told apart, SI.
        """
        values = values.astype(np.float64)
        there = np.isfinite(values)
        low = float(values[there].min()) if there.any() else 0.0
        high = float(values[there].max()) if there.any() else 0.0
        step = max(step, (high - low) / MOST)
        numbers = np.zeros(values.shape, dtype=np.int64)
        numbers[there] = np.rint((values[there] - low) / step).astype(np.int64) + 1
        return {"at": self._put(numbers), "low": low, "step": step}

    def packed(self) -> bytes:
        """Return all of it as one zlib stream."""
        return zlib.compress(bytes(self._data), 6)

    def _put(self, numbers: NDArray[np.int64]) -> list[int]:
        """Write numbers from 0 to 2³² − 1: the lowest bytes of all first, then the next; so like stands by like."""
        flat = np.ascontiguousarray(numbers).ravel()
        if len(flat) and not 0 <= int(flat.min()) <= int(flat.max()) < 2**32:
            raise ValueError("a place lies too far away to be packed")
        begin = len(self._data)
        self._data += flat.astype("<u4").view(np.uint8).reshape(-1, 4).T.tobytes()
        return [begin, int(flat.size)]


def wholes_read(data: bytes, at: Sequence[int], columns: int = 1) -> NDArray[np.int64]:
    """Return whole numbers as they were written.

    Parameters
    ----------
    data
        The stream, unpacked.
    at
        From `Blocks.put_wholes`.
    columns
        Of the array.

    Returns
    -------
    NDArray
        Shape (n,), or (n, columns) for more than one.
    """
    raw = _read(data, at).reshape(columns, -1)
    out: NDArray[np.int64] = np.cumsum(np.where(raw % 2, -(raw + 1) // 2, raw // 2), axis=1).T
    return out if columns > 1 else out[:, 0]


def places_read(data: bytes, at: Sequence[int]) -> NDArray[np.float64]:
    """Return places as they were written, shape (n, 3) [mm].

    Parameters
    ----------
    data, at
        See `wholes_read`.
    """
    return (STEP * wholes_read(data, at, 3)).astype(np.float64)


def values_read(data: bytes, told: dict[str, Any]) -> NDArray[np.float64]:
    """Return values as they were written, SI; not a number where there is none.

    Parameters
    ----------
    data
        See `wholes_read`.
    told
        From `Blocks.put_values`.
    """
    numbers = _read(data, told["at"])
    return np.where(numbers > 0, told["low"] + told["step"] * (numbers - 1.0), np.nan)


def _read(data: bytes, at: Sequence[int]) -> NDArray[np.int64]:
    begin, size = at
    planes = np.frombuffer(data, np.uint8, 4 * size, begin).reshape(4, size)
    return np.ascontiguousarray(planes.T).view("<u4")[:, 0].astype(np.int64)
