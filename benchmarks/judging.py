"""Logs judged against cures of which the truth is known: how often the range given holds it, and what a log takes.

A hundred draws for each of three moments: a whole cure, four hours at 80 °C that stop short of the plateau, and 130
minutes into a cure. Drawn are films (sd 20 %), air at each place (±3 K), rate (sd 5 %), an error of every thermocouple
(sd 1.5 K), noise (1 K), and three gaps of 20 min in each sensor. Times are processor seconds, beside one simulation of
the same sections.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from bagside.cure import Air, Channel, Programme, Segment, Sensor
from bagside.cure.judging import state_of

TESTS = Path(__file__).resolve().parents[1] / "tests"
sys.path.insert(0, str(TESTS))

import cureruns  # noqa: E402

DRAWS = 100


def drawn(air: Air, until: float, number: int) -> tuple[list[bool], list[bool], float, float]:
    """Return whether places and sensors hold the truth, half the width of the first, and the time it took [s]."""
    rng = np.random.default_rng(number)
    film, rate = float(np.exp(rng.normal(0.0, 0.2))), float(1.0 + rng.normal(0.0, 0.05))
    real = tuple(
        replace(
            s,
            film_bag=s.film_bag * film,
            film_tool=s.film_tool * film,
            air_offset=float(rng.uniform(-3.0, 3.0)),
            rate_factor=rate,
        )
        for s in cureruns.SECTIONS
    )
    truth = cureruns.ran(air, real)
    log = cureruns.logged(
        air, truth, rng=rng, errors=tuple(rng.normal(0.0, 1.5, 2)), air_error=float(rng.normal(0.0, 1.5)), until=until
    )
    channels: list[Channel] = []
    for c in log.channels:
        values = c.values.copy()
        if c.sensor is Sensor.PART:
            for start in rng.uniform(0.0, until - 1800.0, 3):
                values[(log.time > start) & (log.time < start + 1200.0)] = np.nan
        channels.append(replace(c, values=values))
    began = time.process_time()
    state = state_of(
        replace(log, channels=tuple(channels)),
        cureruns.SECTIONS,
        cureruns.EPOXY,
        cureruns.PROGRAMME,
        cureruns.OVEN,
        spread=6.0,
    )
    took = time.process_time() - began
    end = float(log.time[-1])
    least = [float(np.interp(end, h.time, h.alpha.min(axis=1))) for h in truth]
    mean = [float(np.interp(end, h.time, h.alpha.mean(axis=1))) for h in truth]
    places = [p.cure.low <= a <= p.cure.high for p, a in zip(state.places, least, strict=True)]
    sensors = [s.cure.low <= a <= s.cure.high for s, a in zip(state.sensors, mean, strict=True)]
    return places, sensors, state.places[0].cure.half, took


def run() -> None:
    """Print how often the ranges hold the truth."""
    low = Programme(start=293.15, segments=(Segment(target=353.15, ramp=1.0 / 60, hold=14400.0),))
    whole = cureruns.OVEN.air(cureruns.cooled(cureruns.PROGRAMME))
    flat = cureruns.OVEN.air(low)
    began = time.process_time()
    cureruns.ran(whole)
    one = time.process_time() - began
    for name, air, until in (
        ("whole cure", whole, whole.end),
        ("4 h at 80 °C", flat, flat.end),
        ("130 min in", whole, 7800.0),
    ):
        found = [drawn(air, until, k) for k in range(DRAWS)]
        places = 100.0 * float(np.mean([x for f in found for x in f[0]]))
        sensors = 100.0 * float(np.mean([x for f in found for x in f[1]]))
        half, took = float(np.mean([f[2] for f in found])), float(np.mean([f[3] for f in found]))
        print(
            f"{name:<14} held by places {places:.0f} %, by sensors {sensors:.0f} %, half a range {100 * half:.1f} % of "
            f"cure, {took:.2f} s a log ({took / one:.0f} simulations)"
        )


if __name__ == "__main__":
    run()
