"""How often a face is filled until so few pinholes are left.

Pinholes are counted before and after a pass, and the share a pass closes is the workshop's own: there is no published
one. What is mixed for a pass comes from `plan_coat` with the filler as the coating.
"""

from __future__ import annotations

import math

from bagside.errors import InputError

MOST = 6
"""Passes after which filling is the wrong answer: the laminate or the mould wants looking at."""


def closed_share(before: float, after: float) -> float:
    """Return the share of pinholes that one pass closed.

    Parameters
    ----------
    before, after
        Counted on the same patch.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    InputError
        When none were there before, or more are there after.
    """
    if not 0.0 <= after <= before or before <= 0.0:
        raise InputError.one(
            "pinholes", f"{before:g} before, {after:g} after", "some before and no more after are wanted"
        )
    return 1.0 - after / before


def fill_passes(found: float, accepted: float, *, closed: float) -> int:
    """Return how many passes leave no more pinholes than are accepted.

    Parameters
    ----------
    found, accepted
        On a square metre, now and after filling [1/m²].
    closed
        Share of those that are left which each pass closes, above 0 up to 1.

    Returns
    -------
    int
        0 when few enough are there already.

    Raises
    ------
    InputError
        When a count is negative, the share is out of range, or none may be left although no pass closes all, or more
        than `MOST` passes would be needed.

    Notes
    -----
    Each pass is taken to close the same share of what is left; deep holes that were bridged by the first pass open
    again in the sun and are not seen in any count.
    """
    if not (0.0 <= found < math.inf and 0.0 <= accepted < math.inf):
        raise InputError.one("pinholes", f"{found:g} found, {accepted:g} accepted", "counts not below zero are wanted")
    if not 0.0 < closed <= 1.0:
        raise InputError.one("pinholes, closed", f"{100 * closed:g} %", "more than 0 and at most 100 % is wanted")
    left, passes = found, 0
    while left > accepted:
        if passes == MOST:
            raise InputError.one(
                "pinholes",
                f"{found:g} found on 1 m², {accepted:g} accepted, {100 * closed:g} % closed by a pass",
                f"more than {MOST} passes would be needed",
                "accept more, close more with each pass, or look for the cause in lay-up and cure",
            )
        left *= 1.0 - closed
        passes += 1
    return passes
