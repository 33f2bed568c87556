"""Objects from ground: which pixels of the window belong to something that lies on it.

A shadow is told from an object by its soft edge: what is surely object and what is surely ground grow towards each
other, and they meet where the light changes most steeply. Glare and weave inside an object are filled; an opening is
kept when it looks like the ground.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.ground import Ground, ground_of
from bagside.camera.rectify import Rectified
from bagside.errors import InputError

Mask = NDArray[np.bool_]

EDGE = 0.001  # [m] along the window's edge that counts as its edge
SPECK = 1e-4  # [m²] smaller things are left out
OPENING = 8e-6  # [m²] smaller openings are left out
LEAST = 0.10  # of the ground's light: an object differs by more
CLOSER = 0.35  # an object's own pixels are nearer to its level than this share of the way to the ground
FADES = 0.09  # [1/px] of a patch's depth: a sharp edge is steeper, a shadow's is not
ROUGHEST = 0.08  # scatter of light within 2 mm in an opening; weave that shines scatters more
NOT_A_LINE = 0.008  # [m] openings narrower and five times as long are lines drawn on the object


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Segmented:
    """What lies in the window.

    Parameters
    ----------
    mask
        Pixels of objects, openings left out, shape (h, w).
    labels
        Number of the object at each pixel, from 1 by falling area, 0 on the ground, shape (h, w).
    count
        Of objects.
    ground
        Light against the ground.
    dropped
        Things left out as specks.
    filled
        Patches inside objects that look neither like the object nor like an opening: glare, weave, lines.
    """

    mask: Mask
    labels: NDArray[np.int32]
    count: int
    ground: Ground
    dropped: int
    filled: int


def segmented(picture: Rectified, name: str, speck: float = SPECK) -> Segmented:
    """Return the objects in a picture.

    Parameters
    ----------
    picture
        The window.
    name
        Of the photo, for messages.
    speck
        Things with less area are left out and counted [m²].

    Raises
    ------
    InputError
        When nothing lies in the window, something is cut by its edge, or nothing stands out from the ground.
    """
    margin = max(1, round(EDGE * picture.scale))
    inside = _eroded(picture.inside, margin)
    ground = ground_of(picture, inside)
    if ground.rim < 0.5:
        raise InputError.one(
            name,
            f"{100 * (1 - ground.rim):.0f} % of the window's rim is covered or unevenly lit",
            "ground must be seen all round the object",
            "lay it in the middle, or take a larger frame",
        )
    least = max(LEAST, 6.0 * ground.noise)
    filled = tiny = 0
    kinds: list[tuple[Mask, Mask]] = []
    for sign in (-1.0, 1.0):
        found, more, specks, openings = _of_one_kind(picture, inside, ground, sign, least)
        kinds.append((found & ~_shadows(found, inside, ground), _dilated(openings, 6)))
        tiny += specks
        filled += more
    # the light of ground seen through an opening is only guessed: it is no thing of the other kind
    whole = (kinds[0][0] & ~kinds[1][1]) | (kinds[1][0] & ~kinds[0][1])
    radius = max(1, round(0.0006 * picture.scale))
    body = _opened(whole, radius)  # without threads and bridges, but points keep their tips
    whole &= cv2.dilate(body.astype(np.uint8), _disc(3 * radius)) > 0
    labels, count, dropped = _numbered(whole, speck * picture.scale**2)
    if count == 0:
        raise InputError.one(
            name,
            f"nothing stands out from the ground in the window by {100 * least:.0f} % of its light",
            "an object lying wholly inside the window, dark on light ground or light on dark",
        )
    rim = picture.inside & ~_eroded(inside, max(2, margin // 2))
    cut = np.unique(labels[rim & (labels > 0)])
    if len(cut):
        raise InputError.one(
            name,
            f"outline {int(cut[0])} reaches the edge of the window or lies over markers",
            "the whole outline inside the window",
            "move it to the middle, or take a larger frame",
        )
    mask = labels > 0
    return Segmented(mask=mask, labels=labels, count=count, ground=ground, dropped=dropped + tiny, filled=filled)


def _of_one_kind(
    picture: Rectified, inside: Mask, ground: Ground, sign: float, least: float
) -> tuple[Mask, int, int, Mask]:
    """Return pixels of objects darker (sign −1) or lighter than the ground, patches filled, specks, and openings."""
    depth = sign * (ground.ratio - 1.0)
    candidates = _opened(inside & (depth > least), max(1, round(0.0005 * picture.scale)))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(candidates.astype(np.uint8), connectivity=8)
    object_seed = np.zeros_like(inside)
    tiny = 0
    for k in range(1, count):
        x, y, w, h, area = (int(v) for v in stats[k])
        if area < 0.5 * SPECK * picture.scale**2:
            tiny += int(area > 0.05 * SPECK * picture.scale**2 and max(w, h) < 3 * min(w, h))
            continue
        box = np.s_[y : y + h, x : x + w]
        mine = labels[box] == k
        level = float(np.percentile(depth[box][mine], 85))
        object_seed[box] |= mine & (depth[box] > level - CLOSER * level)
    if not object_seed.any():
        return object_seed, 0, tiny, np.zeros_like(inside)
    raw = object_seed
    object_seed = _closed(object_seed, max(1, round(0.0012 * picture.scale)))
    object_seed = _opened(object_seed, max(1, round(0.0012 * picture.scale)))
    ground_seed = ~inside | (inside & (np.abs(depth) < 0.5 * least) & ~object_seed)
    object_seed, ground_seed, filled, through = _openings(picture, ground, object_seed, ground_seed, raw)
    core = _eroded(object_seed, 2)
    ground_seed = _eroded(ground_seed, 2) & ~core
    marks = np.zeros(inside.shape, dtype=np.int32)
    marks[ground_seed] = 1
    marks[core] = 2
    flooded = cv2.watershed(cv2.medianBlur(picture.colour, 3), marks)
    return np.asarray(flooded == 2), filled, tiny, through


def _openings(
    picture: Rectified, ground: Ground, object_seed: Mask, ground_seed: Mask, raw: Mask
) -> tuple[Mask, Mask, int, Mask]:
    """Return the seeds with what is enclosed by an object decided, patches filled, and the middles of openings."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats((~object_seed).astype(np.uint8), connectivity=4)
    object_seed, ground_seed = object_seed.copy(), ground_seed.copy()
    h, w = object_seed.shape
    through = np.zeros_like(object_seed)
    filled = 0
    for k in range(1, count):
        x, y, wide, tall, area = (int(v) for v in stats[k])
        if x == 0 or y == 0 or x + wide == w or y + tall == h:
            continue
        box = np.s_[y : y + tall, x : x + wide]
        mine = labels[box] == k
        open_ = is_opening(mine, ground.ratio[box], ground.texture[box], ground, picture.scale)
        if open_ and not _part_of_a_line(mine, (x, y), ~raw, ground, picture.scale):
            ground_seed[box] |= _eroded(mine, 3)
            through[box] |= _eroded(mine, 3)
            continue
        object_seed[box] |= mine
        ground_seed[box] &= ~mine
        filled += int(area > OPENING * picture.scale**2)
    return object_seed, ground_seed, filled, through


def _part_of_a_line(mine: Mask, at: tuple[int, int], light: Mask, ground: Ground, scale: float) -> bool:
    """Return whether a patch is the thick end of something drawn: what looks like it runs on, thin, and ends."""
    (x, y), (h, w) = at, mine.shape
    long = max(h, w)
    reach = max(4 * long, round(0.15 * scale))
    top, left = max(0, y - reach), max(0, x - reach)
    box = np.s_[top : y + h + reach, left : x + w + reach]
    level = float(np.median(ground.ratio[y : y + h, x : x + w][mine]))
    alike = light[box] & (np.abs(ground.ratio[box] - level) < 0.3 * level)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(alike.astype(np.uint8), connectivity=8)
    inner = labels[y - top : y - top + h, x - left : x - left + w][mine]
    k = int(np.bincount(inner, minlength=count)[1:].argmax()) + 1 if count > 1 else 0
    if k == 0:
        return False
    a, b, wide, tall, area = (int(v) for v in stats[k])
    if a == 0 or b == 0 or a + wide == alike.shape[1] or b + tall == alike.shape[0]:
        return False  # it joins the ground outside: a slit
    diagonal, own = float(np.hypot(wide, tall)), float(np.hypot(h, w))
    return diagonal > 1.8 * own and area - mine.sum() < diagonal * NOT_A_LINE * scale


def is_opening(
    mine: Mask, ratio: NDArray[np.float32], texture: NDArray[np.float32], ground: Ground, scale: float
) -> bool:
    """Return whether an enclosed patch is an opening through which the ground is seen.

    Parameters
    ----------
    mine
        Its pixels, shape (h, w).
    ratio, texture
        Light against the ground and its scatter within 2 mm there, shape (h, w).
    ground
        Of the whole picture.
    scale
        Pixels for each metre.

    Notes
    -----
    An opening is as light as the ground or in shadow, as smooth as it, and no thin line.
    """
    if mine.sum() < OPENING * scale**2:
        return False
    inner = _eroded(mine, max(2, round(0.0012 * scale)))
    if not inner.any():
        inner = _eroded(mine, 2)
    if not inner.any():
        return False
    level = float(np.median(ratio[inner]))
    smooth = float(np.median(texture[inner])) < max(3.0 * ground.plain, ROUGHEST)
    (_, _), (a, b), _ = cv2.minAreaRect(np.argwhere(mine)[:, ::-1].astype(np.float32))
    # the width of a bent line is not that of its box: area over length stands for it
    long = max(float(a), float(b), 1.0)
    width = float(mine.sum()) / long
    line = width < NOT_A_LINE * scale and long > 5.0 * width
    return 0.3 < level < 1.0 + max(6.0 * ground.noise, 0.30) and smooth and not line


def _shadows(mask: Mask, inside: Mask, ground: Ground) -> Mask:
    """Return the patches whose light fades in slowly all round: shadows, not things."""
    log = cv2.GaussianBlur(np.log(np.maximum(ground.ratio, 1e-3)), (0, 0), 1.5)
    slope = np.hypot(cv2.Scharr(log, cv2.CV_32F, 1, 0), cv2.Scharr(log, cv2.CV_32F, 0, 1)) / 32.0
    steepest = cv2.dilate(slope, np.ones((5, 5), np.uint8))
    solid = mask.astype(np.uint8)
    rim = (cv2.dilate(solid, _disc(2)) > 0) & ~(cv2.erode(solid, _disc(1)) > 0) & _eroded(inside, 6)
    count, labels = cv2.connectedComponents(cv2.dilate(solid, _disc(2)), connectivity=8)
    out = np.zeros_like(mask)
    for k in range(1, count):
        mine = labels == k
        edge = steepest[mine & rim]
        depth = float(np.median(np.abs(log[mine & mask]))) if (mine & mask).any() else 0.0
        if len(edge) and float(np.median(edge)) < FADES * depth:
            out |= mine
    return out


def _numbered(mask: Mask, speck: float) -> tuple[NDArray[np.int32], int, int]:
    """Return labels by falling area without specks, how many there are and how many specks were dropped."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=4)
    areas = np.array([int(stats[k][cv2.CC_STAT_AREA]) for k in range(1, count)], dtype=np.int64)
    order = np.argsort(-areas, kind="stable")
    new = np.zeros(count, dtype=np.int32)
    kept = 0
    for k in order:
        if areas[k] >= speck:
            kept += 1
            new[k + 1] = kept
    seen = int(((areas < speck) & (areas > 0.01 * speck)).sum())
    return new[labels], kept, seen


def _disc(radius: int) -> NDArray[np.uint8]:
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * radius + 1,) * 2), dtype=np.uint8)


def _eroded(mask: Mask, radius: int) -> Mask:
    value: Mask = cv2.erode(mask.astype(np.uint8), _disc(radius), borderType=cv2.BORDER_CONSTANT, borderValue=0) > 0
    return value


def _opened(mask: Mask, radius: int) -> Mask:
    value: Mask = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_OPEN, _disc(radius)) > 0
    return value


def _dilated(mask: Mask, radius: int) -> Mask:
    value: Mask = cv2.dilate(mask.astype(np.uint8), _disc(radius)) > 0
    return value


def _closed(mask: Mask, radius: int) -> Mask:
    value: Mask = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_CLOSE, _disc(radius)) > 0
    return value
