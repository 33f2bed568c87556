"""A line or an arrow drawn on an object, or a strip of tape on it, that says where its warp runs.

Only the drawn line is read, not the weave itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.rectify import Rectified

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

SHORTEST = 0.025  # [m]
SLENDER = 5.0  # length over width at least
WIDEST = 0.030  # [m] of a strip of tape
CONTRAST = 0.12  # of white: the least a line stands off from its cloth
EDGE = 0.002  # [m] along the object's edge that is not looked at
STRAIGHT = 0.06  # of its length that a line may bend
HEAD = 1.7  # a head is so much wider than its shaft
ALIKE = np.radians(8.0)  # two lines that differ by less say the same


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrow:
    """A direction drawn on an object.

    Parameters
    ----------
    angle
        From the sheet's x axis, −π to π, or −π/2 to π/2 when there is no head [rad].
    headed
        Whether a head says which end is meant.
    tail, tip
        Its ends in the sheet's axes [m].
    width
        Of its shaft [m].
    """

    angle: float
    headed: bool
    tail: tuple[float, float]
    tip: tuple[float, float]
    width: float


def arrow_in(picture: Rectified, body: Mask) -> tuple[Arrow | None, bool]:
    """Return the arrow on an object, if there is one, and whether several lines contradict each other.

    Parameters
    ----------
    picture
        The window.
    body
        Pixels of the object, what is drawn on it included, shape (h, w).
    """
    rows, columns = np.flatnonzero(body.any(axis=1)), np.flatnonzero(body.any(axis=0))
    if not len(rows):
        return None, False
    box = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    own = np.pad(body[box].astype(np.uint8), 1)
    deep = cv2.distanceTransform(own, cv2.DIST_L2, 5)[1:-1, 1:-1]
    inner = deep > EDGE * picture.scale
    if not inner.any():
        return None, False
    colour = cv2.medianBlur(picture.colour[box], 3)
    usual = np.median(colour[inner], axis=0)
    off = np.abs(colour.astype(np.float32) - usual.astype(np.float32)).max(axis=2)
    spread = float(np.percentile(off[inner], 60))
    bar = max(255.0 * CONTRAST, 4.0 * spread)
    high = float(np.percentile(off[inner], 99.9))
    if high < bar:
        return None, False
    marked = (inner & (off > max(bar, 0.45 * high))).astype(np.uint8)
    close = max(1, round(0.0006 * picture.scale))
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * close + 1,) * 2)
    marked = np.asarray(cv2.morphologyEx(marked, cv2.MORPH_CLOSE, kernel), dtype=np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(marked, connectivity=8)
    found: list[tuple[float, Arrow]] = []
    for k in range(1, count):
        if stats[k][cv2.CC_STAT_AREA] < 0.0004 * SHORTEST * picture.scale**2:
            continue
        y, x = np.nonzero(labels == k)
        line = _line(
            picture.to_plane(np.stack([x + columns[0], y + rows[0]], axis=1).astype(np.float64)), picture.scale
        )
        if line is not None:
            found.append(line)
    if not found:
        return None, False
    found.sort(key=lambda one: -one[0])
    long, arrow = found[0]
    against = any(length > 0.7 * long and _apart(other.angle, arrow.angle) > ALIKE for length, other in found[1:])
    return (None, True) if against else (arrow, False)


def _apart(a: float, b: float) -> float:
    """Return the angle between two lines [rad]."""
    return abs((a - b + 0.5 * np.pi) % np.pi - 0.5 * np.pi)


def _line(points: Floats, scale: float) -> tuple[float, Arrow] | None:
    """Return length and arrow of a patch that is long, slender and straight, else None."""
    middle = points.mean(axis=0)
    _, _, axes = np.linalg.svd(points - middle, full_matrices=False)
    along = axes[0]
    for _ in range(3):  # again with the shaft alone: a head pulls the first axis when it is not even
        across = np.array([-along[1], along[0]])
        s, d = (points - middle) @ along, (points - middle) @ across
        low, high = float(s.min()), float(s.max())
        long = high - low
        if long < SHORTEST:
            return None
        bins = max(12, min(60, int(long * scale / 3.0)))
        which = np.minimum(((s - low) / long * bins).astype(np.int64), bins - 1)
        size = np.bincount(which, minlength=bins)
        centre = np.bincount(which, weights=d, minlength=bins) / np.maximum(size, 1)
        width = size / (long / bins * scale**2)
        reach = np.full(bins, -np.inf), np.full(bins, np.inf)
        np.maximum.at(reach[0], which, d)
        np.minimum.at(reach[1], which, d)
        whole = reach[0] - reach[1] < 1.5 * width + 3.0 / scale  # one stroke, not two side by side
        shaft = (size > 0) & whole & (np.abs(width - np.median(width)) < 0.35 * np.median(width) + 1.0 / scale)
        shaft[: max(1, bins // 20)] = False
        shaft[-max(1, bins // 20) :] = False
        if shaft.sum() < 0.35 * bins:
            return None
        at = low + (np.arange(bins) + 0.5) * long / bins
        slope, start = np.polyfit(at[shaft], centre[shaft], 1)
        if abs(slope) < 1e-5:
            break
        middle = middle + start * across
        along = along + slope * across
        along = along / np.linalg.norm(along)
    usual = float(np.median(width[shaft]))
    bend = float(np.std(centre[shaft] - np.polyval([slope, start], at[shaft])))
    if usual > WIDEST or long < SLENDER * usual or bend > STRAIGHT * long / 4.0 or size.min() == 0:
        return None
    ends = [_reach(d, s, low, high, end, usual) for end in (-1, 1)]
    headed = max(ends) > HEAD * usual and max(ends) > 1.3 * min(ends)
    way = -1.0 if ends[0] > ends[1] else 1.0
    if not headed:
        way = 1.0 if along[0] > 1e-9 or (abs(along[0]) <= 1e-9 and along[1] > 0) else -1.0
    angle = float(np.arctan2(way * along[1], way * along[0]))
    tail, tip = (middle + (low if way > 0 else high) * along), (middle + (high if way > 0 else low) * along)
    return long, Arrow(
        angle=angle,
        headed=bool(headed),
        tail=(float(tail[0]), float(tail[1])),
        tip=(float(tip[0]), float(tip[1])),
        width=usual,
    )


def _reach(d: Floats, s: Floats, low: float, high: float, end: int, usual: float) -> float:
    """Return how wide the mark reaches across near one end [m]."""
    zone = min(0.3 * (high - low), 8.0 * usual)
    near = s > high - zone if end > 0 else s < low + zone
    return float(np.percentile(d[near], 99.0) - np.percentile(d[near], 1.0))
