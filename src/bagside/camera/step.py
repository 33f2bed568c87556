"""The step in light across the edge of a thing, fitted to many short lines at once.

Seen from above an edge is one step from the thing's light to the ground's. Seen from the side its wall shows beside its
top: two steps, top to wall and wall to ground, a known distance apart. Beyond it a shadow may slope. A lens blurs a
step to the integral of a normal curve, in light; stored values bend it (see `bagside.camera.readers.light`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, special

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

SMALLEST, LARGEST = 0.35, 7.0  # [px] of blur
USUAL_TOP, TOP_SD = 0.15, 0.25  # share of the step that lies between top and wall, before anything is read
SLOPE_SD = 0.06  # [1/px] of the ground's slope beyond the edge, relative to the step
WINDOW = 2.2  # [px] readings count to about this distance from the steps
TURNS = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Steps:
    """What was fitted to each line.

    Parameters
    ----------
    place
        Of the edge of the top, shape (n,) [px].
    blur
        Standard deviation of the step's width, before lines learn from their neighbours, shape (n,) [px].
    inner
        Light inside, shape (n,).
    step
        Light outside less light inside, shape (n,).
    sd
        Scatter of the place from what the fit leaves, shape (n,) [px].
    soft
        Where the step is much wider than most: no edge but a shadow, shape (n,).
    """

    place: Floats
    blur: Floats
    inner: Floats
    step: Floats
    sd: Floats
    soft: Mask


def fitted_steps(values: Floats, t: Floats, begin: Floats, wall: Floats) -> Steps:
    """Return the edge on each line.

    Parameters
    ----------
    values
        Light along each line, inside first, shape (n, m).
    t
        Places of the readings, evenly spaced, shape (m,) [px].
    begin
        Where each line is steepest, shape (n,) [px].
    wall
        How wide the wall shows beyond the top's edge, shape (n,) [px].

    Returns
    -------
    Steps
        One for each line.
    """
    lines = _Lines(values=values, t=t, wall=wall)
    wide = wall > 1.2
    first = lines.fitted(lines.started(begin - np.where(wide, wall, 0.7 * wall), 0.2), 0.9, 0.6)
    if wide.any():  # the steepest place may be the top's edge as well as the foot
        some = _Lines(values=values[wide], t=t, wall=wall[wide])
        other = some.fitted(some.started(begin[wide], 0.7), 0.9, 0.6)
        better = other[1] < first[1][wide]
        rows = np.flatnonzero(wide)[better]
        for mine, its in zip(first, other, strict=True):
            mine[rows] = its[better]
    blur = first[0][:, 4].copy()
    usual = ndimage.median_filter(blur, size=min(101, (len(blur) - 1) | 1), mode="wrap")
    sharp = float(np.percentile(blur, 25))
    soft = blur > max(2.2 * sharp, sharp + 0.8)
    usual = np.minimum(usual, 1.3 * sharp)
    x, _, sd = lines.fitted(first[0], usual, 0.1)
    return Steps(place=x[:, 3], blur=blur, inner=x[:, 0], step=x[:, 1], sd=sd, soft=soft)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lines:
    """Readings along lines, and the model: inner light, step, share at the top, place, blur, slope beyond."""

    values: Floats
    t: Floats
    wall: Floats

    def started(self, place: Floats, top: float) -> Floats:
        """Return a first guess, shape (n, 6)."""
        t, rows = self.t, np.arange(len(place))
        low = np.clip(np.searchsorted(t, place - 2.5), 0, len(t) - 1)
        high = np.clip(np.searchsorted(t, place + self.wall + 2.5), 0, len(t) - 1)
        inner, outer = self.values[rows, low], self.values[rows, high]
        n = len(place)
        return np.stack([inner, outer - inner, np.full(n, top), place, np.full(n, 0.9), np.zeros(n)], axis=1)

    def fitted(self, x: Floats, blur: Floats | float, blur_sd: float) -> tuple[Floats, Floats, Floats]:
        """Return parameters (n, 6), cost (n,) and the scatter of the place (n,) by damped Gauss–Newton steps."""
        x = x.copy()
        n = len(x)
        blur = np.broadcast_to(np.asarray(blur, dtype=np.float64), (n,))
        noise = 0.02 * np.abs(x[:, 1]) + 0.002  # scale of the prior's weight against the readings
        damp = np.full(n, 1e-3)
        weight = self._weight(x)
        wish = np.stack([x[:, 0], x[:, 1], np.full(n, USUAL_TOP), x[:, 3], blur, np.zeros(n)], axis=1)
        slope_sd = SLOPE_SD * np.abs(x[:, 1]) + 1e-3
        zero = np.zeros(n)
        tight = np.stack([zero, zero, zero + TOP_SD**-2, zero, (blur_sd * blur) ** -2.0, slope_sd**-2.0], axis=1)
        tight *= (noise**2)[:, None]
        cost, off, jac = self._cost(x, weight, wish, tight)
        for turn in range(TURNS):
            if turn == TURNS // 2:
                weight = self._weight(x)
                cost, off, jac = self._cost(x, weight, wish, tight)
            left = np.einsum("nmi,nmj->nij", jac * weight[:, :, None], jac, optimize=True)
            right = np.einsum("nmi,nm->ni", jac, weight * off, optimize=True) + tight * (wish - x)
            held = left + (tight + damp[:, None] * np.einsum("nii->ni", left) + 1e-12)[:, :, None] * np.eye(6)
            move = np.linalg.solve(held, right[:, :, None])[:, :, 0]
            new = x + np.clip(move, [-1.0, -1.0, -0.5, -1.0, -0.5, -0.2], [1.0, 1.0, 0.5, 1.0, 0.5, 0.2])
            new[:, 3] = np.clip(new[:, 3], self.t[0], self.t[-1])
            new[:, 4] = np.clip(new[:, 4], SMALLEST, LARGEST)
            trial, new_off, new_jac = self._cost(new, weight, wish, tight)
            better = trial <= cost
            x = np.where(better[:, None], new, x)
            cost = np.where(better, trial, cost)
            off, jac = np.where(better[:, None], new_off, off), np.where(better[:, None, None], new_jac, jac)
            damp = np.clip(np.where(better, 0.3 * damp, 10.0 * damp), 1e-9, 1e6)
        apart = float(self.t[1] - self.t[0])  # readings closer than a pixel are not independent
        left = np.einsum("nmi,nmj->nij", jac * weight[:, :, None], jac, optimize=True) * apart
        free = np.maximum(weight.sum(axis=1) * apart - 4.0, 1.0)
        variance = (weight * off * off).sum(axis=1) * apart / free
        spread = np.linalg.inv(left + (tight * apart + 1e-12)[:, :, None] * np.eye(6))
        return x, cost, np.sqrt(np.maximum(spread[:, 3, 3] * variance, 0.0))

    def _weight(self, x: Floats) -> Floats:
        away = self.t - x[:, 3, None]
        away = np.where(away > 0.0, np.maximum(away - self.wall[:, None], 0.0), away)
        reach = np.maximum(WINDOW, 1.6 * np.minimum(x[:, 4], 3.0))[:, None]
        out: Floats = np.exp(-0.5 * (away / reach) ** 2)
        return out

    def _cost(self, x: Floats, weight: Floats, wish: Floats, tight: Floats) -> tuple[Floats, Floats, Floats]:
        inner, step, top, place, blur, slope = (x[:, k, None] for k in range(6))
        z2 = (self.t - place) / blur
        z1 = z2 - self.wall[:, None] / blur
        e1, e2 = 0.5 + 0.5 * special.erf(z1 / np.sqrt(2.0)), 0.5 + 0.5 * special.erf(z2 / np.sqrt(2.0))
        b1, b2 = np.exp(-0.5 * z1 * z1) / np.sqrt(2.0 * np.pi), np.exp(-0.5 * z2 * z2) / np.sqrt(2.0 * np.pi)
        rise = (1.0 - top) * e1 + top * e2
        ramp = blur * (z1 * e1 + b1)
        off = self.values - inner - step * rise - slope * ramp
        jac = np.stack(
            [
                np.ones_like(z1),
                rise,
                step * (e2 - e1),
                -step * ((1.0 - top) * b1 + top * b2) / blur - slope * e1,
                -step * ((1.0 - top) * b1 * z1 + top * b2 * z2) / blur + slope * b1,
                ramp,
            ],
            axis=2,
        )
        cost = (weight * off * off).sum(axis=1) + (tight * (x - wish) ** 2).sum(axis=1)
        return cost, off, jac
