"""DSC curves of a resin whose law is known, with noise and a baseline that drifts and steps; integrated by scipy."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from bagside.cure import Kamal, Kinetics, Vitrification
from bagside.cure.fit.dsc_curve import DscCurve

Floats = NDArray[np.float64]

ZERO_C = 273.15
HEAT = 400e3  # [J/kg resin]
LAW = Kamal(
    A1=2.2e6, E1=7.8e4, A2=1.6e8, E2=7.8e4, m=0.8, n=1.5,
    vitrification=Vitrification(tg0=268.15, tg1=395.15, tg_lambda=0.47, offset=-6.0),
)  # fmt: skip
START = 0.01


def curve(
    *,
    rate: float = 0.0,
    hold: float = 0.0,
    minutes: float = 0.0,
    seed: int | None = None,
    noise: float = 2.0,
    law: Kinetics = LAW,
    points: int = 700,
    end: float = 260.0,
) -> DscCurve:
    """Return a ramp at so many °C/min from −10 °C to ``end``, or a hold [°C] after heating up at 40 °C/min.

    ``noise`` is in W/kg, as is the baseline's drift (0.15 a kelvin) and its step by the reaction (−12).
    """
    if rate > 0.0:
        corners = np.array([0.0, (end + 10.0) / rate * 60.0])
        heats = np.array([-10.0, end]) + ZERO_C
        time = np.linspace(0.0, corners[-1], points)
    else:
        up = (hold - 25.0) / 40.0 * 60.0
        corners = np.array([0.0, up, up + 60.0 * minutes])
        heats = np.array([25.0, hold, hold]) + ZERO_C
        time = np.unique(np.concatenate([np.linspace(0.0, up, 30), np.linspace(up, corners[-1], points)]))
    temperature = np.interp(time, corners, heats)
    got = solve_ivp(
        lambda t, y: law.rate(y, np.interp(t, corners, heats)),
        (0.0, corners[-1]), [START], method="LSODA", rtol=1e-9, atol=1e-11, max_step=20.0, t_eval=time,
    )  # fmt: skip
    alpha = got.y[0]
    heat = HEAT * law.rate(alpha, temperature) / (1.0 - START)
    if seed is not None:
        draw = np.random.default_rng(seed)
        heat = heat + 40.0 - 12.0 * alpha + noise * draw.standard_normal(len(time))
        heat = heat + (0.15 * (temperature - 300.0) if rate > 0.0 else 0.0)
    name = f"ramp {rate:g}" if rate > 0.0 else f"hold {hold:g}"
    return DscCurve(name=name, time=time, temperature=temperature, heat=heat)
