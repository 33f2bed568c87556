"""Parsers of foreign drawings kept quiet, and what they may raise on broken bytes."""

from __future__ import annotations

import contextlib
import logging
import math
import warnings
from collections.abc import Iterator

import numpy as np

BROKEN = (
    ArithmeticError, AssertionError, AttributeError, EOFError, LookupError, MemoryError, OSError, RuntimeError,
    StopIteration, TypeError, ValueError,
)  # fmt: skip
"""What is raised on broken bytes, beside a parser's own errors."""
MOST_STEPS = 200_000
"""Chords of one curve: a curve that takes more is larger than any cloth, or its numbers are broken."""


@contextlib.contextmanager
def quiet(logger: str) -> Iterator[None]:
    """Keep a parser's warnings and log lines away from the person; what matters is checked afterwards.

    Parameters
    ----------
    logger
        Name of its logger.
    """
    log = logging.getLogger(logger)

    def nothing(record: logging.LogRecord) -> bool:
        return False

    log.addFilter(nothing)
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            yield
    finally:
        log.removeFilter(nothing)


def steps_of(wanted: float) -> int:
    """Return a number of chords as a whole number, at least one.

    Parameters
    ----------
    wanted
        As worked out.

    Raises
    ------
    ValueError
        When it is not finite or more than `MOST_STEPS`.
    """
    if not wanted <= MOST_STEPS:
        raise ValueError("a curve larger than any cloth")
    return max(1, math.ceil(wanted))
