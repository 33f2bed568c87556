"""A map of corners as evidence: cloth that spans corners spans the tight ones, a bag that does any inside one."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from bagside.bagging.pinholes.margins import radius_wanted
from bagside.bagging.pinholes.record import Corner, Record

Floats = NDArray[np.float64]

CLOTH, BAG = "cloth spans a corner", "bag spans a corner"
SHARP = 3.0  # as sharply as the cause itself sets in
OUTSIDE = 0.05  # chance of defects in an outside corner, when the cause is one of inside corners
BAG_INSIDE = 0.6  # chance that a bag that spans corners spans this one
LEAST, MOST = 0.03, 0.97  # nothing is sure of one corner


def corner_evidence(record: Record, d: Mapping[str, Floats], cause: str) -> Floats:
    """Return how much more likely a map of corners is under a cause than under one that does not know corners.

    Parameters
    ----------
    record
        With its corners.
    d
        Draws of every quantity.
    cause
        Name.

    Returns
    -------
    ndarray
        Ratio of likelihoods on each draw; one for other causes and without a map.

    Notes
    -----
    A cause that does not know corners makes defects in each with the share that has them: (defects + 1) over
    (corners + 2).
    """
    out = np.ones_like(d["share"])
    if cause not in (CLOTH, BAG) or not record.corners:
        return out
    plain = (sum(c.defects for c in record.corners) + 1.0) / (len(record.corners) + 2.0)
    for corner in record.corners:
        p = np.clip(_chance(corner, d, cause), LEAST, MOST)
        out = out * (p / plain if corner.defects else (1.0 - p) / (1.0 - plain))
    return out


def _chance(corner: Corner, d: Mapping[str, Floats], cause: str) -> Floats:
    one = np.ones_like(d["share"])
    if not corner.inside:
        return OUTSIDE * one
    if cause == BAG:
        return BAG_INSIDE * one
    thickness = d["thickness"] if corner.thickness is None else corner.thickness * one
    slip = d["slip_joint"] if corner.slip_joint is None else float(corner.slip_joint) * one
    margin = corner.radius / radius_wanted(thickness, slip)
    return np.asarray(1.0 / (1.0 + margin**SHARP), dtype=np.float64)
