"""Many times of day written alike, read at once from their digits; what is written otherwise is left to `stamps`."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.records.logger.stamps import clock, parted

Floats = NDArray[np.float64]
_PLAIN = re.compile(r"\d{1,2}:\d{2}:\d{2}(?:[.,]\d{1,6})?")
FEWEST = 64
"""With fewer it is not worth it."""


def codes_of(texts: Sequence[str], length: int) -> NDArray[np.uint32]:
    """Return the characters of texts of one length, shape (k, length).

    Parameters
    ----------
    texts
        All as long.
    length
        Of each.
    """
    return np.frombuffer("".join(texts).encode("utf-32-le", "surrogatepass"), np.uint32).reshape(-1, length)


def clocks_in(codes: NDArray[np.uint32], example: str) -> tuple[Floats, NDArray[np.bool_], slice] | None:
    """Return the time of day in each text [s], those written like the example, and where the time stands.

    Parameters
    ----------
    codes
        Characters, shape (k, length).
    example
        The first text; with a date and a time, or a time alone.

    Returns
    -------
    tuple or None
        None when the example is not written plainly.
    """
    both = parted(example)
    if both is None and clock(example) is None:
        return None
    written = both[1] if both is not None else example.strip()
    at = example.find(written)
    if at < 0 or _PLAIN.fullmatch(written) is None:
        return None
    part = codes[:, at : at + len(written)]
    digit = np.array([c.isdigit() for c in written])
    alike = (part[:, ~digit] == part[0, ~digit]).all(axis=1)
    number = part.astype(np.int64) - 48
    alike &= ((number[:, digit] >= 0) & (number[:, digit] <= 9)).all(axis=1)
    fields = [m.span() for m in re.finditer(r"\d+", written)]
    values = [number[:, a:b] @ (10 ** np.arange(b - a - 1, -1, -1)) for a, b in fields]
    seconds = 3600.0 * values[0] + 60.0 * values[1] + values[2]
    alike &= (values[0] < 24) & (values[1] < 60) & (values[2] < 60)
    if len(values) > 3:
        seconds = seconds + values[3] / 10.0 ** (fields[3][1] - fields[3][0])
    return seconds, alike, slice(at, at + len(written))


def changes(codes: NDArray[np.uint32], time: slice) -> NDArray[np.intp]:
    """Return the first of each run of texts that are alike but for the time in them.

    Parameters
    ----------
    codes
        Characters, shape (k, length).
    time
        Where the time stands.
    """
    rest = np.delete(codes, np.arange(time.start, time.stop), axis=1)
    if rest.shape[1] == 0:
        return np.zeros(1, np.intp)
    return np.flatnonzero(np.concatenate([[True], (rest[1:] != rest[:-1]).any(axis=1)]))
