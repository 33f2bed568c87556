"""The clock of a log while it is mended."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagside.errors import Problem
from bagside.findings import Finding

Floats = NDArray[np.float64]


@dataclass(slots=True, kw_only=True)
class Clockwork:
    """Times of a log while they are mended.

    Parameters
    ----------
    time
        As they stand now [s].
    keep
        Rows that stay.
    interval
        Usual time between two readings [s].
    noticed
        What was mended.
    asked
        What must be asked.
    """

    time: Floats
    keep: NDArray[np.bool_]
    interval: float
    noticed: list[Finding] = field(default_factory=list)
    asked: list[Problem] = field(default_factory=list)
