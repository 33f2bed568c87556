"""Which place of a part leads and which lags."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import SectionHistory
from bagside.cure.outcome import crossed
from bagside.errors import InputError

Floats = NDArray[np.float64]


def first_and_last(
    histories: Sequence[SectionHistory], *, gel: float | None = None, temperature: float | None = None
) -> tuple[int, int]:
    """Return which section leads and which lags.

    Parameters
    ----------
    histories
        What each went through, in one oven and one cure.
    gel
        Degree of cure to be judged by: the first section in which any point reaches it, the last in which all do.
    temperature
        Temperature to be judged by [K], as the lower edge of the dwell's band; when neither is stated, the mean degree
        of cure over the time.

    Returns
    -------
    tuple of int
        Index of the leading and of the lagging section. A section that never gets there lags those that do; among
        several such, and where times are equal, the mean degree of cure decides.

    Raises
    ------
    InputError
        When there is no section with resin, or both are stated.
    """
    if gel is not None and temperature is not None:
        raise InputError.one("leading and lagging", "", "a degree of cure or a temperature is wanted, not both")
    live = [i for i, h in enumerate(histories) if h.alpha.shape[1]]
    if not live:
        raise InputError.one("leading and lagging", "", "one section with resin or more is wanted")
    first, last = {}, {}
    for i in live:
        h = histories[i]
        span = h.time[-1] - h.time[0]
        means = np.trapezoid(h.alpha, h.time, axis=0) / span
        soon = late = 0.0
        if gel is not None:
            soon, late = _when(h, h.alpha.max(axis=1), gel), _when(h, h.alpha.min(axis=1), gel)
        elif temperature is not None:
            t = h.laminate_temperature
            soon, late = _when(h, t.max(axis=1), temperature), _when(h, t.min(axis=1), temperature)
        first[i], last[i] = (soon, -float(means.max())), (late, -float(means.min()))
    return min(live, key=lambda i: first[i]), max(live, key=lambda i: last[i])


def _when(h: SectionHistory, values: Floats, level: float) -> float:
    when = crossed(h.time, values, level)
    return float("inf") if when is None else when
