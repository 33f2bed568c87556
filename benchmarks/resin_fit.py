"""Sheets of known resins fitted again: how far gel time and glass transition are off on a cycle that is on no sheet.

Sixteen draws of noise (15 % of times, 4 K of Tg) for each resin and number of cure options; median and ninth decile.
"In mid-cycle" is the largest error from gel to the end; "too high" counts only what would soften a part. Times are of
one fit, with its doubt and the asked cycle.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from bagside.cure import Programme, Segment
from bagside.cure.fit import Asked, answered, fitted, sheet_prior, short_of

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

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
    """Return errors of one draw: end Tg, its foretold deviation, mid-cycle Tg, the same too high, its foretold
    deviation, gel time as a share, χ² over what is usual, chance, whether it would be refused, and seconds taken."""
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


def run() -> None:
    """Print the table."""
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
                f"{pair(5, 100):>14}{pair(6):>12}{int((got[:, 7] < 0.05).sum()):9d}{int(got[:, 8].sum()):9d}{mid[9]:7.2f}"
            )


if __name__ == "__main__":
    run()
