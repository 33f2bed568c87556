"""Invented cures of which the truth is known, and logs of them with noise, wrong sensors and gaps."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from bagside.cure import (
    Air,
    CastroMacosko,
    Channel,
    CureLog,
    CureResin,
    Kamal,
    Layer,
    Limits,
    Oven,
    Programme,
    Section,
    SectionHistory,
    Segment,
    Sensor,
    Vitrification,
    simulate,
)

ZERO_C = 273.15

EPOXY = CureResin(
    kinetics=Kamal(
        A1=3.433e6,
        E1=8.0e4,
        A2=2.861e8,
        E2=8.0e4,
        m=0.85,
        n=1.6,
        vitrification=Vitrification(tg0=266.15, tg1=408.15, tg_lambda=0.5, offset=-8.0, width=8.0),
    ),
    heat=420e3,
    density=1220.0,
    heat_capacity=1300.0,
    conductivity=0.21,
    tg0=266.15,
    tg1=408.15,
    tg_lambda=0.5,
    gel=0.5,
    alpha0=0.01,
    viscosity=CastroMacosko(A=3.0e-10, E=7.6e4, gel=0.5, a=2.6, b=1.5),
    hottest=423.15,
)
"""A resin like the generic one of the library."""

OVEN = Oven(hottest=423.15, heating=2.5 / 60, cooling=1.2 / 60, lag=240.0)
PROGRAMME = Programme(
    start=293.15,
    segments=(
        Segment(target=353.15, ramp=1.0 / 60, hold=7200.0),
        Segment(target=388.15, ramp=0.8 / 60, hold=7200.0),
    ),
)
"""Two hours at 80 °C, two at 115 °C."""

LIMITS = Limits(service=348.15, margin=20.0, target=0.9, demould=323.15, tool=403.15, resin=423.15)


def cut(name: str, laminate: float, tool: float = 0.006, cells: tuple[int, int] = (6, 3)) -> Section:
    """Return a laminate on a carbon mould, thicknesses in m."""
    return Section(
        name=name,
        layers=(
            Layer(
                name="laminate",
                thickness=laminate,
                density=1550.0,
                heat_capacity=1050.0,
                conductivity=0.6,
                resin=1220.0 * 0.45,
                cells=cells[0],
            ),
            Layer(name="tool", thickness=tool, density=1500.0, heat_capacity=1050.0, conductivity=0.6, cells=cells[1]),
        ),
        film_bag=12.0,
        film_tool=18.0,
    )


PANEL, DOUBLER = cut("panel", 0.001), cut("doubler", 0.006)
SECTIONS = (PANEL, DOUBLER)
FREE = tuple(replace(s, layers=s.layers[:1], film_bag=18.0, film_tool=18.0) for s in SECTIONS)


def cooled(programme: Programme, to: float = 303.15, hold: float = 3600.0) -> Programme:
    """Return a programme with its cooling."""
    return replace(programme, segments=(*programme.segments, Segment(target=to, ramp=1.2 / 60, hold=hold)))


def ran(air: Air, sections: tuple[Section, ...] = SECTIONS) -> tuple[SectionHistory, ...]:
    """Return the truth under an air."""
    return simulate(sections, EPOXY, air)


def logged(
    air: Air,
    truth: tuple[SectionHistory, ...],
    *,
    rng: np.random.Generator | None = None,
    noise: float = 1.0,
    errors: tuple[float, ...] = (),
    air_error: float = 0.0,
    interval: float = 60.0,
    bag: float | None = 3000.0,
    until: float | None = None,
    sensors: bool = True,
) -> CureLog:
    """Return a log of it: a thermocouple in the air, one in the middle of each laminate, and the bag's gauge."""
    draws = np.random.default_rng(7) if rng is None else rng
    time = np.arange(0.0, (air.end if until is None else until) + 1e-9, interval)
    channels = [
        Channel(name="TC1", sensor=Sensor.AIR, values=air.at(time) + air_error + draws.normal(0.0, noise, len(time)))
    ]
    for k, h in enumerate(truth if sensors else ()):
        error = errors[k] if errors else 0.0
        middle = np.interp(time, h.time, h.laminate_temperature.mean(axis=1))
        channels.append(
            Channel(
                name=f"TC{k + 2}",
                sensor=Sensor.PART,
                section=h.name.split(",")[0],
                values=middle + error + draws.normal(0.0, noise, len(time)),
            )
        )
    if bag is not None:
        channels.append(Channel(name="P1", sensor=Sensor.BAG, values=np.full(len(time), bag)))
    return CureLog(name="run.csv", time=time, channels=tuple(channels))


def with_bag(log: CureLog, left: np.ndarray) -> CureLog:
    """Return a log with another pressure in the bag [Pa]."""
    others = tuple(c for c in log.channels if c.sensor is not Sensor.BAG)
    return replace(log, channels=(*others, Channel(name="P1", sensor=Sensor.BAG, values=left)))


def written(path: Path, log: CureLog) -> Path:
    """Write a log as a plain logger would: clock time from eight o'clock, °C, mbar absolute."""
    heads = ["Time"]
    for c in log.channels:
        heads.append(f"{c.name} bag [mbar abs]" if c.sensor is Sensor.BAG else f"{c.name} [°C]")
    rows = [",".join(heads)]
    for i, t in enumerate(log.time):
        clock = f"{8 + int(t) // 3600:02d}:{int(t) % 3600 // 60:02d}:{int(t) % 60:02d}"
        cells = [
            "" if not np.isfinite(c.values[i])
            else f"{c.values[i] / 100:.0f}" if c.sensor is Sensor.BAG
            else f"{c.values[i] - ZERO_C:.1f}"
            for c in log.channels
        ]  # fmt: skip
        rows.append(",".join([clock, *cells]))
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path
