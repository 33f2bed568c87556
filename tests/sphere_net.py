"""The pin-jointed net on a sphere from two perpendicular great circles, in closed form up to one ordinary equation.

On a sphere of radius R the angle w between the threads obeys w_uv = −sin w / R² with w = 90° on both circles, so it
depends on x = u v / R² alone: x w'' + w' = −sin w, w(0) = 90°, w'(0) = −1. Along the bias the polar angle grows by
2 cos(w / 2) du / R.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_simpson, solve_ivp

Floats = NDArray[np.float64]


@cache
def _angle():
    def rate(x: float, y: Floats) -> list[float]:
        return [y[1], -(np.sin(y[0]) + y[1]) / x if x > 0 else 0.0]

    x0 = 1e-8
    return solve_ivp(
        rate, [x0, 1.7], [np.pi / 2 - x0, -1.0], rtol=1e-10, atol=1e-12, dense_output=True, method="DOP853"
    ).sol


def shear_at(x: Floats) -> Floats:
    """Return the net's shear [rad] at u v / R², odd in x."""
    x = np.asarray(x, dtype=np.float64)
    w = _angle()(np.maximum(np.abs(x), 1e-8).ravel())[0].reshape(x.shape)
    return np.sign(x) * (np.pi / 2 - w)


def bias() -> tuple[Floats, Floats]:
    """Return polar angle [rad] and thread length over R along the bias, from the pole past the equator."""
    u = np.linspace(0, 1.05, 2001)
    return cumulative_simpson(2 * np.cos((np.pi / 2 - shear_at(u * u)) / 2), x=u, initial=0), u


def shear_on_bias(polar: Floats) -> Floats:
    """Return the net's shear [rad] on the bias at a polar angle [rad]."""
    theta, u = bias()
    return shear_at(np.interp(polar, theta, u) ** 2)


@cache
def _from_bias():
    return solve_ivp(
        lambda _, y: [y[1], np.sin(y[0])], [0, 2], [np.pi / 2, 0], rtol=1e-10, atol=1e-12, dense_output=True
    ).sol


def shear_from_bias(across: Floats) -> Floats:
    """Return the shear [rad] of the net that lies unsheared along a great circle u = v, at (u − v) / R.

    There w depends on y = (u − v) / R alone: w'' = sin w, w(0) = 90°, w'(0) = 0. It holds where both threads through a
    point reach the circle.
    """
    across = np.asarray(across, dtype=np.float64)
    return np.pi / 2 - _from_bias()(np.abs(across).ravel())[0].reshape(across.shape)
