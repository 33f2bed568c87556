"""A thousand draws at once against one simulation per draw; one core against two; even draws against random ones.

Each peer computes the same draws of the same two sections with the same limits, in the same run. One simulation per
draw is timed on fewer draws and told per draw.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy.stats import norm

from bagside.cure import CureResin, Kamal, Layer, Oven, Programme, Section, Segment, Vitrification, outcomes, simulate
from bagside.cure.chance import INPUTS, Draws, Kind, Scatter, Spread, Stage, drawn, margins
from bagside.cure.design import Bounds
from bagside.planning.chances import counted

MANY, FEW = 1000, 40

GLASS = Vitrification(tg0=265.0, tg1=428.0, tg_lambda=0.5)
RESIN = CureResin(
    kinetics=Kamal(A1=2e4, E1=7.2e4, A2=1.2e6, E2=7.0e4, m=0.85, n=1.6, vitrification=GLASS),
    heat=400e3, density=1220.0, heat_capacity=1300.0, conductivity=0.2, tg0=265.0, tg1=428.0, tg_lambda=0.5, gel=0.5,
    alpha0=0.02,
)  # fmt: skip
OVEN = Oven(hottest=423.15, heating=2.5 / 60.0, cooling=1.2 / 60.0, lag=240.0)
CYCLE = Programme(
    start=293.15,
    segments=(
        Segment(target=353.15, ramp=1.0 / 60.0, hold=7200.0),
        Segment(target=393.15, ramp=0.8 / 60.0, hold=7200.0),
    ),
)


def place(thickness: float) -> Section:
    laminate = Layer(
        name="laminate", thickness=thickness, density=1550.0, heat_capacity=1000.0, conductivity=0.6, resin=600.0
    )
    tool = Layer(name="tool", thickness=0.006, density=1800.0, heat_capacity=900.0, conductivity=0.4)
    return Section(name=f"{1e3 * thickness:g} mm", layers=(laminate, tool), film_bag=12.0, film_tool=18.0)


STAGE = Stage(sections=(place(0.002), place(0.008)), programme=CYCLE, bounds=Bounds(target=0.9, hottest=403.15))


def one_by_one(draws: Draws) -> np.ndarray:
    """Return the same margins by a simulation and its outcomes for each draw."""
    out = []
    for i in range(len(draws)):
        air = replace(OVEN, lag=OVEN.lag * float(draws.of("lag")[i])).air(CYCLE)
        told = outcomes(simulate(draws.sections(i, STAGE.sections, RESIN), RESIN, air, output_interval=120.0), RESIN)
        out.append((min(o.alpha_lagging for o in told) - 0.9, 403.15 - max(o.hottest for o in told)))
    return np.array(out)


def best(work: Callable[[], object], times: int = 2) -> float:
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return min(taken)


def even_against_random() -> tuple[float, float]:
    """Return the scatter of a chance over 60 seeds, counted on 1024 even draws and as random draws have it."""
    still = {name: replace(getattr(Scatter(), name), size=0.0) for name in INPUTS}
    unit = Spread(kind=Kind.NORMAL, size=1.0)
    scatter = Scatter(**{**still, "place": unit, "thermocouple": unit}, together=())
    want = float(norm.cdf(1.5))
    counts = []
    for seed in range(60):
        d = drawn(scatter, 1024, seed)
        counts.append(((d.of("place") + d.of("thermocouple")) <= 1.5 * np.sqrt(2.0)).mean())
    return float(np.sqrt(np.mean((np.array(counts) - want) ** 2))), float(np.sqrt(want * (1.0 - want) / 1024))


def run() -> None:
    draws = drawn(Scatter(), MANY, seed=1)
    few = draws.part(0, FEW)
    off = np.abs(one_by_one(few) - margins([STAGE], RESIN, OVEN, few).values).max(axis=0)
    together = best(lambda: margins([STAGE], RESIN, OVEN, draws))
    alone = best(lambda: one_by_one(few)) / FEW * MANY
    print(f"{MANY} draws of two sections, at once        {together:6.2f} s")
    print(f"one simulation per draw (from {FEW})            {alone:6.2f} s   {alone / together:5.1f} times")
    print(f"they differ by {off[0]:.1e} of cure and {off[1]:.2f} K at most")
    counted([STAGE], RESIN, OVEN, draws, workers=2)  # the workers are there and have read the program
    for workers in (1, 2):
        taken = best(lambda n=workers: counted([STAGE], RESIN, OVEN, draws, workers=n))
        print(f"on {workers} core{'s' if workers > 1 else ' '}                                  {taken:6.2f} s")
    even, random = even_against_random()
    print(f"scatter of a chance of 93 % on 1024 draws: even {even:.4f}, random {random:.4f}: as good as "
          f"{(random / even) ** 2:.1f} times as many")  # fmt: skip


if __name__ == "__main__":
    run()
