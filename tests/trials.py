"""Invented trials of which films, oven and errors of sensors are known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from bagside.cure import Channel, CureLog, CureResin, Kamal, Layer, Oven, Programme, Section, Segment, Sensor, simulate
from bagside.cure.calibrate import Where
from bagside.cure.calibrate.place import eye, without_reaction

RESIN = CureResin(
    kinetics=Kamal(A1=2e4, E1=7.2e4, A2=1.2e6, E2=7.0e4, m=0.85, n=1.6), heat=400e3, density=1220.0,
    heat_capacity=1300.0, conductivity=0.2, tg0=265.0, tg1=428.0, tg_lambda=0.5, gel=0.5, alpha0=0.02,
)  # fmt: skip

TOOLS = {
    "aluminium": Layer(name="tool", thickness=0.012, density=2700.0, heat_capacity=900.0, conductivity=160.0, cells=4),
    "board": Layer(name="tool", thickness=0.040, density=700.0, heat_capacity=1200.0, conductivity=0.2, cells=12),
    "carbon": Layer(name="tool", thickness=0.007, density=1550.0, heat_capacity=1000.0, conductivity=0.6, cells=4),
}

OVEN = Oven(hottest=450.0, heating=2.5 / 60.0, cooling=1.2 / 60.0, lag=240.0)
PROGRAMME = Programme(
    start=293.15,
    segments=(
        Segment(target=353.15, ramp=1.0 / 60.0, hold=4500.0),
        Segment(target=393.15, ramp=1.0 / 60.0, hold=5400.0),
        Segment(target=333.15, ramp=1.0 / 60.0),
    ),
)
"""Five hours."""

BOTH = (("TC2", Where.BAG), ("TC3", Where.BACK))
"""A thermocouple under the bag and one on the back of the mould."""


def panel(tool: str = "carbon", laminate: float = 0.003, name: str = "panel") -> Section:
    """Return a laminate on a tool."""
    layer = Layer(
        name="laminate",
        thickness=laminate,
        density=1550.0,
        heat_capacity=1000.0,
        conductivity=0.6,
        resin=600.0,
        cells=4,
    )
    return Section(name=name, layers=(layer, TOOLS[tool]), film_bag=12.0, film_tool=18.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What a trial really had: films and lag against the stated ones, and how its sensors err."""

    bag: float = 1.0
    tool: float = 1.0
    lag: float = 1.0
    place: float = 0.0
    noise: float = 1.0
    together: float = 600.0
    offset: float = 1.0
    rate: float = 1.0
    heating: float = 1.0


def drawn(rng: np.random.Generator, film: float = 0.35, lag: float = 0.4, spread: float = 0.0) -> Truth:
    """Return a truth drawn around what is stated."""
    return Truth(
        bag=float(np.exp(rng.normal(0.0, film))),
        tool=float(np.exp(rng.normal(0.0, film))),
        lag=float(np.exp(rng.normal(0.0, lag))),
        place=float(rng.normal(0.0, spread / np.sqrt(12.0))) if spread else 0.0,
    )


def wandering(rng: np.random.Generator, time: np.ndarray, size: float, together: float) -> np.ndarray:
    """Return noise that hangs together over a time."""
    out = np.empty(len(time))
    out[0] = rng.normal()
    fade = np.exp(-np.diff(time) / together)
    for i, f in enumerate(fade):
        out[i + 1] = f * out[i] + np.sqrt(1.0 - f * f) * rng.normal()
    return size * out


def trial_logs(
    draws: Sequence[tuple[np.random.Generator, Truth]],
    section: Section,
    sensors: Sequence[tuple[str, Where]] = BOTH,
    *,
    inert: bool = True,
    air: int = 1,
    asked: bool = False,
    programme: Programme = PROGRAMME,
    oven: Oven = OVEN,
    resin: CureResin = RESIN,
    gaps: Sequence[tuple[float, float]] = (),
    interval: float = 300.0,
    late: float = 0.0,
) -> list[CureLog]:
    """Return a log of a trial for each draw; the truths are simulated together."""
    airs, lanes = [], []
    for _, truth in draws:
        real = replace(oven, lag=oven.lag * truth.lag, heating=oven.heating * truth.heating).air(programme)
        airs.append(real)
        lanes.append(
            replace(
                without_reaction(section) if inert else section,
                film_bag=section.film_bag * truth.bag,
                film_tool=section.film_tool * truth.tool,
                air_offset=truth.place,
                start=programme.start,
                rate_factor=truth.rate,
            )
        )
    histories = simulate(lanes, resin, airs, output_interval=60.0, tolerance=0.02)
    logs = []
    for (rng, truth), real, lane, h in zip(draws, airs, lanes, histories, strict=True):
        time = np.arange(0.0, real.end + late, interval)
        since = np.clip(time - late, 0.0, None)

        def read(values: np.ndarray, rng: np.random.Generator = rng, truth: Truth = truth) -> np.ndarray:
            wander = wandering(rng, time, truth.noise, truth.together) if truth.noise else 0.0  # noqa: B023
            out = values + wander + rng.normal(0.0, truth.offset)
            for a, b in gaps:
                out[(time > a) & (time < b)] = np.nan  # noqa: B023
            return out

        channels = [
            Channel(name=f"TC1{chr(97 + k) if air > 1 else ''}", sensor=Sensor.AIR, values=read(real.at(since)))
            for k in range(air)
        ]
        if asked:
            channels.append(Channel(name="SP", sensor=Sensor.SET, values=programme.air(since)))
        placed = replace(section, film_bag=lane.film_bag, film_tool=lane.film_tool)
        for name, where in sensors:
            seen = np.interp(since, h.time, eye(placed, where).seen(h.temperature, h.air))
            kind = Sensor.TOOL if where is Where.BACK else Sensor.PART
            channels.append(Channel(name=name, sensor=kind, values=read(seen), section=section.name))
        logs.append(CureLog(name="trial.csv", time=time, channels=tuple(channels)))
    return logs


def trial_log(rng: np.random.Generator, truth: Truth, section: Section, *args: Any, **more: Any) -> CureLog:
    """Return a log of one trial."""
    return trial_logs([(rng, truth)], section, *args, **more)[0]


def seats(sensors: Sequence[tuple[str, Where]]) -> dict[str, Where]:
    """Return where the sensors of a log sit."""
    return dict(sensors)
