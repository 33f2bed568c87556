"""Cycle design beside a global search on the same model, and a mould that cannot take the heat.

The thick case: 30 mm of the published law of Hubert et al. 2001 on 8 mm of composite tool, films 25 W/(m² K), oven up
to 180 °C at +3 and −1 °C/min, laminate at most 190 °C, spread of cure at most 25 %, half an hour below 30 Pa s, lagging
point at least 80 %. Found as stated and with heat of reaction ±10 %, films ±25 %; scipy's differential evolution,
vectorised, searches five lines with the same trials, the same penalty and the same limits, all rows of a generation at
once. Its result is not rounded to whole steps of a controller, ours is. Both are then checked on three times as many
cells. The board case is found as one and shown beside the ridden scan and beside every constant ramp.

Seconds are processor seconds of this process; what counts is their ratio and the minutes of the cycles.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import differential_evolution

from bagside.cure import (
    NOMINAL,
    Programme,
    Scenario,
    Segment,
    continued,
    corners,
    outcomes,
    simulate,
)
from bagside.cure.design import Aim, Controller, Design, Kind, designed, two_stage, why
from bagside.cure.design.course import Shape
from bagside.cure.design.stage import Chain, Stage

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

import cyclecases as cases

Floats = NDArray[np.float64]
ZERO_C = cases.ZERO_C
START = 293.15
LINES, MEMBERS, GENERATIONS, SEEDS = 5, 6, 60, (1, 2, 3)


def judged(programme: Programme, scenarios: Sequence[Scenario]) -> str:
    """Return what a programme does on thirty cells."""
    lanes = [x for s in scenarios for x in s.of([cases.thick(30)])]
    results = outcomes(simulate(lanes, cases.THICK_RESIN, cases.THICK_OVEN.air(programme)), cases.THICK_RESIN)
    hottest, least = max(o.hottest for o in results), min(o.alpha_lagging for o in results)
    good = hottest <= 190.05 + ZERO_C and least >= 0.799 and min(o.flow_time or 0.0 for o in results) >= 1800.0
    return f"hottest {hottest - ZERO_C:.1f} °C, lagging {100 * least:.1f} %, {'holds' if good else 'BREAKS A LIMIT'}"


def ours(scenarios: Sequence[Scenario], falls: bool) -> tuple[Design, float]:
    begun = time.process_time()
    design = designed(
        [cases.thick()],
        cases.THICK_RESIN,
        cases.THICK_OVEN,
        cases.THICK_BOUNDS,
        start=START,
        scenarios=scenarios,
        controller=Controller(falls=falls),
    )
    return design, time.process_time() - begun


def evolved(scenarios: Sequence[Scenario], falls: bool, seed: int, generations: int) -> tuple[Programme, float, float]:
    """Return the best of differential evolution, its minutes and the seconds it took."""
    controller = Controller(kind=Kind.TIME, falls=falls)
    stage = Stage.of(
        "cure", [cases.thick()], cases.THICK_RESIN, cases.THICK_OVEN, cases.THICK_BOUNDS, controller, START, scenarios
    )
    chain = Chain(stages=(stage,), aim=Aim.FASTEST, costs=None)
    shape = Shape(start=START, ramps=(True,) * LINES, pace=stage.pace)

    def merit(x: Floats) -> Floats:
        return chain.tried([shape.lines(x.T)]).merit

    begun = time.process_time()
    best = differential_evolution(
        merit,
        [(80.0 + ZERO_C, 180.0 + ZERO_C), (0.0, 7200.0)] * LINES,
        vectorized=True,
        updating="deferred",
        popsize=MEMBERS,
        maxiter=generations,
        seed=seed,
        polish=False,
        tol=0.0,
    )
    spent = time.process_time() - begun
    span, end = (x[0] for x in shape.lines(best.x[None, :]))
    at, segments = START, []
    for t, y in zip(span, end, strict=True):
        segments.append(Segment(target=float(y), ramp=float(max(abs(y - at), 1e-5) / t)))
        at = float(y)
    return Programme(start=START, segments=tuple(segments)), float(span.sum() / 60.0), spent


def thick(generations: int = GENERATIONS, seeds: Sequence[int] = SEEDS) -> None:
    for falls in (False, True):
        for word, scenarios in (("as stated", (NOMINAL,)), ("in five scenarios", corners(0.0))):
            design, spent = ours(scenarios, falls)
            print(
                f"30 mm, {'may fall' if falls else 'only rises and holds'}, {word}: {design.duration / 60:.0f} min in "
                f"{spent:.1f} s; {judged(design.programme, scenarios)}"
            )
            if word == "as stated":
                print(f"  the same with heat and films off: {judged(design.programme, corners(0.0))}")
            for sentence in why(design):
                print(f"  {sentence}")
            for seed in seeds:
                programme, minutes, taken = evolved(scenarios, falls, seed, generations)
                print(
                    f"  differential evolution, seed {seed}: {minutes:.0f} min ({minutes - design.duration / 60:+.0f}) "
                    f"in {taken:.1f} s ({taken / spent:.1f}×); {judged(programme, scenarios)}"
                )


def board() -> None:
    begun = time.process_time()
    both = two_stage(
        [cases.ON_BOARD], [cases.FREE], cases.VITRIFYING, cases.BOARD_OVEN, cases.BOARD_FIRST, cases.BOARD_POST,
        start=START, post_start=START, handling=3600.0, scenarios=(NOMINAL,),
    )  # fmt: skip
    spent = time.process_time() - begun
    print(
        f"board of 80 °C: {both.first.duration / 60:.0f} + {both.handling / 60:.0f} + {both.post.duration / 60:.0f} = "
        f"{both.total / 60:.0f} min in {spent:.1f} s"
    )
    for s in both.scan:
        post = f"{s.post / 60:.0f}" if np.isfinite(s.post) else "never"
        print(
            f"  hold {s.hold / 60:5.0f} min: glass transition {s.tg - ZERO_C:5.1f} °C, post-cure ridden in {post} min"
        )
    for word, design in (("first", both.first), ("post", both.post)):
        for sentence in why(design):
            print(f"  {word}: {sentence}")
    (h,) = simulate([cases.ON_BOARD], cases.VITRIFYING, cases.BOARD_OVEN.air(both.first.programme))
    free = continued(cases.FREE, h, warm=False)
    for rate in (0.05, 0.1, 0.2, 0.3, 0.5, 1.0):
        one = Programme(start=313.15, segments=(Segment(target=135.0 + ZERO_C, ramp=rate / 60.0),))
        (o,) = outcomes(simulate([free], cases.VITRIFYING, one), cases.VITRIFYING)
        print(
            f"  one ramp of {rate:4.2f} °C/min from 40 to 135 °C: margin {o.stiff_margin:+5.1f} K in "
            f"{one.duration / 60:.0f} min"
        )


def run() -> None:
    thick()
    board()


if __name__ == "__main__":
    run()
