"""Films and lag recovered from invented trials: how often the stated doubt holds, how small it is, how long it takes.

Each kind of trial is drawn anew for each seed: films within a factor of 2.7 of the stated ones 95 times in 100, air
that differs by place, an offset of 1 K and noise of 1 K that hangs together for 10 min on every channel.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bagside.cure import Channel, CureLog, CureResin, Kamal, Layer, Oven, Programme, Section, Segment, Sensor, simulate
from bagside.cure.calibrate import Beliefs, Calibration, Trial, Value, Where, calibrated
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
BAG, BACK = ("TC2", Where.BAG), ("TC3", Where.BACK)
SPREAD, INTERVAL = 6.0, 120.0


@dataclass(frozen=True)
class Kind:
    """A kind of trial."""

    tool: str
    sensors: tuple[tuple[str, Where], ...]
    air: bool = True
    inert: bool = True


KINDS = (
    *(Kind(tool, (BAG, BACK)) for tool in TOOLS),
    *(Kind(tool, (BACK,)) for tool in TOOLS),
    Kind("carbon", (BAG, BACK), air=False),
    Kind("carbon", (BAG, BACK), inert=False),
)


def section(tool: str) -> Section:
    laminate = Layer(
        name="laminate", thickness=0.003, density=1550.0, heat_capacity=1000.0, conductivity=0.6, resin=600.0, cells=4
    )
    return Section(name="panel", layers=(laminate, TOOLS[tool]), film_bag=12.0, film_tool=18.0)


def wandering(rng: np.random.Generator, time: np.ndarray) -> np.ndarray:
    out = np.empty(len(time))
    out[0] = rng.normal()
    for i, f in enumerate(np.exp(-np.diff(time) / 600.0)):
        out[i + 1] = f * out[i] + np.sqrt(1.0 - f * f) * rng.normal()
    return out


def drawn(kind: Kind, seed: int) -> tuple[CureLog, tuple[float, float, float]]:
    """Return a log, and the true factors on both films and the lag."""
    rng = np.random.default_rng([seed, KINDS.index(kind)])
    bag, tool, lag = np.exp(rng.normal(0.0, [0.5, 0.5, 0.5])).tolist()
    base = section(kind.tool)
    real = replace(OVEN, lag=OVEN.lag * lag).air(PROGRAMME)
    lane = replace(
        without_reaction(base) if kind.inert else base, film_bag=12.0 * bag, film_tool=18.0 * tool, start=293.15,
        air_offset=float(rng.normal(0.0, SPREAD / np.sqrt(12.0))),
    )  # fmt: skip
    h = simulate([lane], RESIN, real, tolerance=0.02)[0]
    at = np.arange(0.0, real.end, INTERVAL)
    placed = replace(base, film_bag=lane.film_bag, film_tool=lane.film_tool)
    truths = [("TC1", Sensor.AIR, real.at(at))] if kind.air else []
    for name, where in kind.sensors:
        seen = np.interp(at, h.time, eye(placed, where).seen(h.temperature, h.air))
        truths.append((name, Sensor.TOOL if where is Where.BACK else Sensor.PART, seen))
    channels = [
        Channel(name=name, sensor=sensor, values=values + wandering(rng, at) + rng.normal())
        for name, sensor, values in truths
    ]
    channels.append(Channel(name="SP", sensor=Sensor.SET, values=PROGRAMME.air(at)))
    return CureLog(name="trial.csv", time=at, channels=tuple(channels)), (bag, tool, lag)


def found(kind: Kind, log: CureLog, beliefs: Beliefs | None = None) -> Calibration:
    trial = Trial(log=log, inert=kind.inert, where=dict(kind.sensors))
    return calibrated(
        [trial], [section(kind.tool)], RESIN, OVEN, spread=SPREAD, beliefs=beliefs, plan=PROGRAMME, foresee=False
    )


def scaled(v: Value, true: float) -> tuple[float, float]:
    """Return the error of a logarithm in stated deviations, and the stated deviation."""
    sd = np.log(v.high / v.low) / (2.0 * 1.96)
    return float(np.log(v.value / (v.before * true)) / sd), float(sd)


def line(name: str, values: Sequence[tuple[float, float]]) -> str:
    z, sd = np.array(values).T
    return (
        f"{name:9} sd {100 * sd.mean():4.0f} %  bias {100 * (z * sd).mean():+5.1f} %  within 1 sd "
        f"{100 * (np.abs(z) < 1).mean():3.0f} %  within 1.96 sd {100 * (np.abs(z) < 1.96).mean():3.0f} %"
    )


def run(draws: int = 40) -> None:
    """Print a table for each kind of trial."""
    for kind in KINDS:
        few = draws if kind.inert else max(draws // 3, 2)
        logs = [drawn(kind, seed) for seed in range(few)]
        begin = time.perf_counter()
        fits = [found(kind, log) for log, _ in logs]
        took = (time.perf_counter() - begin) / few
        what = " and ".join(w.value for _, w in kind.sensors)
        print(
            f"{kind.tool}, {what}, air {'logged' if kind.air else 'not logged'}, "
            f"{'inert' if kind.inert else 'a real cure'}: {few} draws, {took:.2f} s each"
        )
        for k, name in enumerate(("film_bag", "film_tool", "lag")):
            print(
                "  " + line(name, [scaled(getattr(c, name), true[k]) for c, (_, true) in zip(fits, logs, strict=True)])
            )
        total = [(c.film_sum, (12.0 * t[0] + 18.0 * t[1]) / 30.0) for c, (_, t) in zip(fits, logs, strict=True)]
        print("  " + line("both", [scaled(v, true) for v, true in total]))
        hot = [np.sqrt(c.effects[0].doubt ** 2) for c in fits]
        print(f"  laminate when the first rise ends: stated sd {np.mean(hot):.2f} K")


if __name__ == "__main__":
    run()
