"""Sheets of known resins fitted again: how far gel time and glass transition are off on a cycle that is on no sheet.

Sixteen draws of noise (15 % of times, 4 K of Tg) for each resin and number of cure options; median and ninth decile.
"In mid-cycle" is the largest error from gel to the end; "too high" counts only what would soften a part. Times are of
one fit, with its doubt and the asked cycle.
"""

from __future__ import annotations

import sys
import time
from functools import cache
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

from bagside.cure import Programme, Segment, tg_di_benedetto
from bagside.cure.fit import Asked, answered, fitted, sheet_prior, short_of
from bagside.cure.fit.dsc import dsc_fitted, heat_of
from bagside.cure.fit.dsc_curve import all_reacted
from bagside.cure.fit.family import E

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

import dsccurves
import resinsheets

DRAWS = 16
START = 0.01


def cycle(name: str) -> Programme:
    """Return the cycle on no sheet as a programme."""
    segments = [
        Segment(target=c + resinsheets.ZERO_C, ramp=2.0 / 60.0, hold=60.0 * minutes)
        for c, minutes in resinsheets.TRUTHS[name].dwells
    ]
    return Programme(start=20.0 + resinsheets.ZERO_C, segments=tuple(segments))


def tried(name: str, count: int, seed: int) -> tuple[float, ...]:
    """Return errors of one draw.

    End Tg, its foretold deviation, mid-cycle Tg, the same too high, its foretold deviation, gel time as a share, χ²
    over what is usual, chance, whether it would be refused, and seconds taken.
    """
    rows = resinsheets.sheet(name, count, seed)
    asked = Asked(programme=cycle(name), tg_within=12.0, gel_within=0.3)
    begun = time.perf_counter()
    fit = fitted(rows, sheet_prior(rows, START), START)
    answer = answered(fit, asked)
    took = time.perf_counter() - begun
    clock, tg, gel = resinsheets.along(name)
    off = np.interp(clock, answer.time, answer.along) - tg
    after = off[clock >= gel]
    return (
        answer.tg - tg[-1],
        answer.tg_sd,
        float(np.abs(after).max()),
        float(max(after.max(), 0.0)),
        answer.worst,
        answer.gel / gel - 1.0,
        fit.misfit / fit.freedom,
        fit.chance,
        float(short_of(asked, answer)),
        took,
    )


@cache
def after(name: str) -> float:
    """Return the glass transition after the slowest ramp, as a maker would measure it [K]."""
    truth = resinsheets.TRUTHS[name]
    ends = np.array([0.0, 9300.0])
    heats = np.array([-10.0, 300.0]) + resinsheets.ZERO_C
    got = solve_ivp(
        lambda t, y: truth.law.rate(y, np.interp(t, ends, heats)),
        ends,
        [START],
        method="LSODA",
        rtol=1e-8,
        max_step=30.0,
    )
    return float(tg_di_benedetto(got.y[0, -1], *truth.tg))


def curves_tried(name: str, seed: int) -> tuple[float, ...]:
    """Return errors of what three ramps and a hold of a resin tell, Tg before and after the slowest ramp measured.

    Of heat and of activation energy as shares, of end Tg, foretold, of mid-cycle Tg, foretold, of gel time as a share,
    degrees of cure off, and seconds taken.
    """
    truth = resinsheets.TRUTHS[name]
    hold = truth.options[1]
    curves = [
        dsccurves.curve(rate=r, seed=4 * seed + k, law=truth.law, end=300.0) for k, r in enumerate((2.0, 5.0, 10.0), 1)
    ]
    curves.append(dsccurves.curve(hold=hold, minutes=300.0, seed=4 * seed, law=truth.law))
    begun = time.perf_counter()
    clean = all_reacted(tuple(curves))
    prior = sheet_prior((), START, tg0=truth.tg[0], tg1=after(name), gel=truth.gel)
    found = dsc_fitted(clean, prior, START, heat_of(clean, None, name), glass=True)
    fit = fitted((), found.prior, START)
    answer = answered(fit, Asked(programme=cycle(name), tg_within=12.0, gel_within=0.3))
    took = time.perf_counter() - begun
    clock, tg, gel = resinsheets.along(name)
    off = np.interp(clock, answer.time, answer.along) - tg
    energy = getattr(truth.law, "E2", getattr(truth.law, "E", np.nan))
    return (
        found.heat / dsccurves.HEAT - 1.0,
        float(fit.theta[E]) / energy - 1.0,
        answer.tg - tg[-1],
        answer.tg_sd,
        float(np.abs(off[clock >= gel]).max()),
        answer.worst,
        answer.gel / gel - 1.0,
        found.chosen.alpha_off,
        took,
    )


def run() -> None:
    """Print both tables."""
    sheets()
    print("\nthree ramps and a hold with noise and a drifting baseline, Tg before and after a ramp measured, 4 draws:")
    print(
        f"{'resin':8}{'heat [%]':>10}{'E [%]':>10}{'end Tg [K]':>18}{'mid-cycle [K]':>20}{'gel time [%]':>14}"
        f"{'cure off [%]':>14}{'s':>7}"
    )
    for name in ("own", "hubert"):
        got = np.abs(np.array([curves_tried(name, seed) for seed in range(4)]))
        mid = np.median(got, axis=0)
        print(
            f"{name:8}{100 * mid[0]:10.1f}{100 * mid[1]:10.1f}{f'{mid[2]:.1f} (±{mid[3]:.1f})':>18}"
            f"{f'{mid[4]:.1f} (±{mid[5]:.1f})':>20}{100 * mid[6]:14.1f}{100 * mid[7]:14.1f}{mid[8]:7.2f}"
        )


def sheets() -> None:
    """Print the table of sheets."""
    print(f"{DRAWS} draws each; errors as median/ninth decile of their size, foretold deviation in brackets")
    print(
        f"{'resin':8}{'options':>8}{'end Tg [K]':>22}{'mid-cycle [K]':>22}{'too high [K]':>16}{'gel time [%]':>14}"
        f"{'χ²/usual':>12}{'p < .05':>9}{'refused':>9}{'s':>7}"
    )
    for name in resinsheets.TRUTHS:
        for count in (1, 2, 3, 4):
            got = np.array([tried(name, count, seed) for seed in range(DRAWS)])
            size = np.abs(got)
            mid, tenth = np.median(size, axis=0), np.quantile(size, 0.9, axis=0)

            def pair(k: int, scale: float = 1.0, mid: np.ndarray = mid, tenth: np.ndarray = tenth) -> str:
                return f"{scale * mid[k]:.1f}/{scale * tenth[k]:.1f}"

            print(
                f"{name:8}{count:8d}{f'{pair(0)} (±{mid[1]:.1f})':>22}{f'{pair(2)} (±{mid[4]:.1f})':>22}{pair(3):>16}"
                f"{pair(5, 100):>14}{pair(6):>12}{int((got[:, 7] < 0.05).sum()):9d}{int(got[:, 8].sum()):9d}"
                f"{mid[9]:7.2f}"
            )


if __name__ == "__main__":
    run()
