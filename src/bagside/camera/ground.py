"""The ground an object lies on, as it would look without the object: even cloth, paper or table under uneven light."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bagside.camera.readers import light as as_light
from bagside.camera.rectify import Rectified

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Mask = NDArray[np.bool_]

RIM = 0.006  # [m] the band along the window's edge that is taken for ground first
LOCAL = 0.008  # [m] light is followed to this length where ground is seen
SAMPLE = 40_000  # pixels a fit takes
WIDEST = 0.25  # [log] ground differs from its smooth model by less; more is an object or a shadow
STEEP = 0.015  # [log/px] the light of bare ground changes less
DARKEST = 0.004  # of white: below it stored values are too coarse


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """How light each pixel is against the ground there.

    Parameters
    ----------
    ratio
        Light over that of the ground, 1 on bare ground, shape (h, w).
    noise
        Scatter of the ratio on bare ground.
    rim
        Share of the window's rim that looks like ground, 0 to 1.
    texture
        Scatter of the ratio within 2 mm, shape (h, w).
    plain
        The texture that half of the bare ground stays under.
    """

    ratio: Singles
    noise: float
    rim: float
    texture: Singles
    plain: float


def ground_of(picture: Rectified, inside: Mask) -> Ground:
    """Return the ground of a picture.

    Parameters
    ----------
    picture
        The window.
    inside
        Pixels that count, shape (h, w).

    Notes
    -----
    The logarithm of the ground's light is a quadratic in both directions, fitted to the rim without outliers, then to
    everything that looks like it; where ground is seen the model then follows it locally.
    """
    bright = as_light(np.asarray(cv2.cvtColor(picture.colour, cv2.COLOR_RGB2GRAY), dtype=np.uint8))
    light = np.log(np.maximum(cv2.GaussianBlur(bright, (0, 0), 0.7), DARKEST))
    h, w = light.shape
    band = max(2, round(RIM * picture.scale))
    padded = cv2.copyMakeBorder(inside.astype(np.uint8), 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
    deep = cv2.distanceTransform(padded, cv2.DIST_L2, 3)[1:-1, 1:-1]
    rim = inside & (deep <= band)
    fit = _fitted(light, rim, np.ones((h, w), dtype=np.bool_))
    rim_share = float((np.abs(light - fit)[rim] < WIDEST).mean())
    for _ in range(2):
        alike = _joined(inside & (np.abs(light - fit) < WIDEST), light, rim)
        fit = _fitted(light, alike | rim, alike)
    smooth = fit
    for _ in range(3):  # from bare ground into shadows that fade in slowly
        fit = smooth + _followed(light - smooth, alike, LOCAL * picture.scale)
        alike = _joined(inside & (np.abs(light - fit) < WIDEST), light, rim)
    ratio = np.exp(light - fit).astype(np.float32)
    spread = float(1.4826 * np.median(np.abs(ratio[alike] - 1.0))) if alike.any() else 1.0
    size = (max(3, round(0.002 * picture.scale) | 1),) * 2
    plain_ratio = np.minimum(ratio, 8.0)
    mean = cv2.blur(plain_ratio, size)
    texture = np.sqrt(np.maximum(cv2.blur(plain_ratio * plain_ratio, size) - mean * mean, 0.0)).astype(np.float32)
    plain = float(np.median(texture[alike])) if alike.any() else 1.0
    return Ground(ratio=ratio, noise=max(spread, 0.004), rim=rim_share, texture=texture, plain=plain)


def _joined(alike: Mask, light: Singles, rim: Mask) -> Mask:
    """Return what looks like ground and hangs together with the rim, without passing over an edge."""
    slope = np.hypot(cv2.Scharr(light, cv2.CV_32F, 1, 0), cv2.Scharr(light, cv2.CV_32F, 0, 1)) / 32.0
    mean = cv2.blur(slope, (3, 3))
    edge = mean > max(3.0 * float(np.median(mean[alike])), STEEP) if alike.any() else mean > STEEP
    free = alike & (cv2.dilate(edge.astype(np.uint8), np.ones((3, 3), np.uint8)) == 0)
    free = cv2.erode(free.astype(np.uint8), np.ones((3, 3), np.uint8))
    _, labels = cv2.connectedComponents(free, connectivity=4)
    held = np.unique(labels[rim & (free > 0)])
    found: Mask = np.isin(labels, held[held > 0])
    return found


def _fitted(light: Singles, where: Mask, trusted: Mask) -> Singles:
    """Return the quadratic that most of the pixels follow."""
    rows, columns = np.nonzero(where & trusted)
    if len(rows) < 100:
        rows, columns = np.nonzero(where)
    step = max(1, len(rows) // SAMPLE)
    rows, columns = rows[::step], columns[::step]
    h, w = light.shape
    x, y = 2.0 * columns / w - 1.0, 2.0 * rows / h - 1.0
    basis = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=1)
    value = light[rows, columns].astype(np.float64)
    weight = np.ones(len(value))
    for _ in range(12):
        found = np.linalg.lstsq(basis * weight[:, None], value * weight, rcond=None)[0]
        off = value - basis @ found
        spread = max(1.4826 * float(np.median(np.abs(off))), 0.01)
        weight = 1.0 / (1.0 + (off / (2.5 * spread)) ** 2)
    gx, gy = np.linspace(-1.0, 1.0, w, dtype=np.float32), np.linspace(-1.0, 1.0, h, dtype=np.float32)
    c = found.astype(np.float32)
    return np.asarray(
        (c[0] + c[1] * gx + c[3] * gx * gx)[None, :]
        + ((c[2] + c[4] * gx[None, :]) * gy[:, None])
        + (c[5] * gy * gy)[:, None]
    )


def _followed(off: Singles, alike: Mask, length: float) -> Singles:
    """Return the mean of what is left over on ground, within a length; nothing where no ground is near."""
    small = max(1, round(length / 4.0))
    size = (max(1, off.shape[1] // small), max(1, off.shape[0] // small))
    weight = alike.astype(np.float32)
    top = cv2.resize(off * weight, size, interpolation=cv2.INTER_AREA)
    under = cv2.resize(weight, size, interpolation=cv2.INTER_AREA)
    top, under = cv2.GaussianBlur(top, (0, 0), 4.0), cv2.GaussianBlur(under, (0, 0), 4.0)
    return np.asarray(cv2.resize(top / (under + 0.05), off.shape[::-1], interpolation=cv2.INTER_LINEAR))
