"""Data sheets of resins whose law is known: what their maker would have measured, with noise, and what is true.

The truth is integrated by scipy alone; nothing of the fit is used.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from bagside.cure import HubertEtAl2001, Kamal, Kinetics, LeeLoosSpringer1982, Vitrification, tg_di_benedetto
from bagside.cure.fit import Row, RowKind

Floats = NDArray[np.float64]

ZERO_C = 273.15
FULL, DAY = 0.95, 86400.0  # what "full cure" means to the one who wrote the sheet: 95 % of what a day gives


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """A resin that is known exactly.

    Parameters
    ----------
    law, alpha0
        Its rate law and where it starts.
    tg
        DiBenedetto's constants [K, K, –].
    gel
        Degree of cure at gel.
    options
        Temperatures of its sheet, in the order in which a shorter sheet states them [°C].
    dwells
        A cycle that is on no sheet: temperature and minutes of each hold [°C, min].
    """

    law: Kinetics
    alpha0: float
    tg: tuple[float, float, float]
    gel: float
    options: tuple[float, ...]
    dwells: tuple[tuple[float, float], ...]


TRUTHS = {
    # Of the family that is fitted.
    "own": Truth(
        law=Kamal(
            A1=3.433e6,
            E1=8.0e4,
            A2=2.861e8,
            E2=8.0e4,
            m=0.85,
            n=1.6,
            vitrification=Vitrification(tg0=266.15, tg1=408.15, tg_lambda=0.5, offset=-8.0),
        ),
        alpha0=0.01,
        tg=(266.15, 408.15, 0.5),
        gel=0.5,
        options=(80.0, 100.0, 120.0, 90.0),
        dwells=((85.0, 60.0), (110.0, 60.0)),
    ),
    # Hubert, Johnston, Poursartip, Nelson 2001; glass transition from memory. Not of the family.
    "hubert": Truth(
        law=HubertEtAl2001(A=1.528e5, E=6.65e4, m=0.8129, n=2.736, C=43.09, aC0=-1.684, aCT=5.475e-3),
        alpha0=0.01,
        tg=(266.15, 523.15, 0.78),
        gel=0.47,
        options=(135.0, 160.0, 180.0, 150.0),
        dwells=((107.0, 60.0), (177.0, 120.0)),
    ),
    # Lee, Loos, Springer 1982. Far from the family: a jump in the rate, and no vitrification.
    "lee": Truth(
        law=LeeLoosSpringer1982(A1=2.101e9 / 60, E1=8.07e4, A2=-2.014e9 / 60, E2=7.78e4, A3=1.960e5 / 60, E3=5.66e4),
        alpha0=0.001,
        tg=(253.15, 493.15, 0.5),
        gel=0.5,
        options=(120.0, 150.0, 177.0, 135.0),
        dwells=((116.0, 60.0), (177.0, 120.0)),
    ),
}


@cache
def isotherm(name: str, celsius: float) -> tuple[Floats, Floats, Floats]:
    """Return time [s], degree of cure and glass transition [K] of a truth at one temperature, for years."""
    truth = TRUTHS[name]
    times = np.concatenate([[0.0], np.geomspace(1.0, 1e8, 900)])
    got = solve_ivp(
        lambda t, y: truth.law.rate(y, celsius + ZERO_C),
        (0.0, times[-1]),
        [truth.alpha0],
        method="LSODA",
        rtol=1e-8,
        atol=1e-10,
        t_eval=times,
    )
    return times, got.y[0], tg_di_benedetto(got.y[0], *truth.tg)


def sheet(name: str, count: int, seed: int | None, *, time_off: float = 0.15, tg_off: float = 4.0) -> tuple[Row, ...]:
    """Return the rows of a sheet with so many cure options; exact when there is no seed."""
    truth = TRUTHS[name]
    draw = np.random.default_rng(seed)
    rows: list[Row] = []

    def noise() -> float:
        return 0.0 if seed is None else float(draw.standard_normal())

    for k, celsius in enumerate(truth.options[:count], 1):
        time, alpha, tg = isotherm(name, celsius)
        gel = float(np.interp(truth.gel, alpha, time))
        full = float(np.interp(FULL * np.interp(DAY, time, alpha), alpha, time))
        stated = full * float(np.exp(time_off * noise()))
        at = {"name": f"cure {k}", "temperature": celsius + ZERO_C, "time": stated}
        value = float(np.interp(full, time, tg)) + tg_off * noise()
        rows += [
            Row(kind=RowKind.TG, value=value, sd=4.0, **at),
            Row(kind=RowKind.FULL, sd=5.0, **at),
            Row(
                name=f"gel time {k}",
                kind=RowKind.GEL,
                temperature=celsius + ZERO_C,
                time=gel * float(np.exp(time_off * noise())),
                sd=0.15,
            ),
        ]
    time, alpha, _ = isotherm(name, 21.0)
    life = float(np.interp(truth.alpha0 + 0.05, alpha, time)) * float(np.exp(time_off * noise()))
    return (*rows, Row(name="out-life 1", kind=RowKind.LIFE, temperature=21.0 + ZERO_C, time=life, sd=0.2))


def corners(name: str) -> tuple[Floats, Floats]:
    """Return the corners of the cycle that is on no sheet: time [s] and temperature [K], 2 K/min between holds."""
    time, heat = [0.0], [20.0 + ZERO_C]
    for celsius, minutes in TRUTHS[name].dwells:
        time.append(time[-1] + abs(celsius + ZERO_C - heat[-1]) * 30.0)
        heat.append(celsius + ZERO_C)
        time.append(time[-1] + 60.0 * minutes)
        heat.append(celsius + ZERO_C)
    return np.array(time), np.array(heat)


@cache
def along(name: str) -> tuple[Floats, Floats, float]:
    """Return time [s] and true glass transition [K] along that cycle, and when it gels [s]."""
    truth = TRUTHS[name]
    time, heat = corners(name)
    got = solve_ivp(
        lambda t, y: truth.law.rate(y, np.interp(t, time, heat)),
        (0.0, time[-1]),
        [truth.alpha0],
        method="LSODA",
        rtol=1e-8,
        atol=1e-10,
        max_step=60.0,
        t_eval=np.linspace(0.0, time[-1], 600),
    )
    return got.t, tg_di_benedetto(got.y[0], *truth.tg), float(np.interp(truth.gel, got.y[0], got.t))
