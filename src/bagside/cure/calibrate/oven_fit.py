"""How the oven's air follows what it is asked for: its lag, its limit on a rise, how fast it cools, how hot each place.

The air is that of `bagside.cure.Oven`: limited in its rise, then lagged. The limit is only told by a run that asks for
more; whether one did is decided by which account of the log is the more probable.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.calibrate.beliefs import Beliefs
from bagside.cure.calibrate.driving import lagging
from bagside.cure.calibrate.least import Fit, Unknown, least
from bagside.cure.calibrate.trial import FINEST_AIR, NEAR, Trial, asked, first_of, thinned
from bagside.cure.log import Sensor
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme

Floats = NDArray[np.float64]

STEPS = {"lag": 0.05, "heating": 0.03, "begins": 20.0, "offset": 1.0}
SURE = 3.0
"""By how much more probable, in logarithm, the limit on a rise must make the log before it is believed."""
FOREIGN = 15.0
"""Root mean square [K] by which the air may miss what was asked for before it is held to be another programme's."""
SUSTAINED = 900.0
"""Time over which a rise must last to count [s]."""
STARTS = 600.0
"""Deviation of when heat came on against what the first rise shows [s]: the lag itself hides in it."""
ASKED = 1.15
"""A fall must be asked for so much faster than it came, or not be steered, for it to be the oven's own."""
FALL = 15.0
"""Least fall that tells how fast the oven cools [K]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AirReading:
    """A thermocouple in the air, thinned, up to the end of what was asked for."""

    trial: int
    name: str
    section: str
    time: Floats
    values: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OvenFit:
    """What logs tell of the oven.

    Parameters
    ----------
    fit
        Of lag, limit and offsets; None when no log has both air and what was asked for.
    readings
        The thermocouples in the air.
    limited
        Whether a run showed the limit on a rise.
    fastest
        Fastest sustained rise of the air seen [K/s].
    cooling
        Mean rate of the longest fall, and by how much it was off that half-way [K/s]; None without one.
    miss
        Root mean square between air and fit [K].
    foreign
        Names of logs whose air ran another programme.
    """

    fit: Fit | None
    readings: tuple[AirReading, ...]
    limited: bool
    fastest: float
    cooling: tuple[float, float] | None
    miss: float
    foreign: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Run:
    """What a trial asked of the oven: until when it counts, whether its beginning is open."""

    programme: Programme
    begins: float
    open: bool
    until: float


def oven_fit(trials: Sequence[Trial], oven: Oven, beliefs: Beliefs) -> OvenFit:
    """Return what logs tell of the oven.

    Parameters
    ----------
    trials
        Logs.
    oven
        As stated.
    beliefs
        What is believed before.

    Raises
    ------
    NotSolved
        When the fit does not come to rest.
    """
    runs: dict[int, _Run] = {}
    for k, trial in enumerate(trials):
        told = asked(trial)
        if told is not None and trial.log.of(Sensor.AIR):
            runs[k] = _run(trial, oven, *told)
    readings = [r for k, run in runs.items() for r in _readings(trials[k], k, run.until)]
    fastest = max((_fastest(r) for r in _all(trials)), default=0.0)
    falls = [f for t in trials if (f := _fall(t)) is not None]
    cooling = max(falls, key=lambda f: f[2])[:2] if falls else None
    if not readings:
        return OvenFit(fit=None, readings=(), limited=False, fastest=fastest, cooling=cooling, miss=0.0)
    free = _fitted(readings, runs, trials, replace(oven, heating=1e3, cooling=1e3), beliefs, None)
    best, limited = free, False
    if fastest > 0.0:
        held = _fitted(readings, runs, trials, replace(oven, heating=fastest, cooling=1e3), beliefs, 0.0)
        if held.evidence > free.evidence + SURE:
            best, limited = held, True
    miss = {
        k: float(np.sqrt(np.mean(np.concatenate([
            (r.values - f) ** 2 for r, f in zip(readings, best.fitted, strict=True) if r.trial == k
        ]))))
        for k in runs
    }  # fmt: skip
    foreign = [k for k in runs if miss[k] > FOREIGN]
    names = tuple(trials[k].log.name for k in foreign)
    if foreign:
        rest = [t for k, t in enumerate(trials) if k not in foreign]
        inner = oven_fit(rest, oven, beliefs) if rest else None
        if inner is None:
            return OvenFit(
                fit=None, readings=(), limited=False, fastest=fastest, cooling=cooling, miss=0.0, foreign=names
            )
        return replace(inner, fastest=fastest, cooling=cooling, foreign=(*names, *inner.foreign))
    return OvenFit(
        fit=best,
        readings=tuple(readings),
        limited=limited,
        fastest=fastest,
        cooling=cooling,
        miss=max(miss.values()),
    )


def _run(trial: Trial, oven: Oven, programme: Programme, begins: float | None) -> _Run:
    found = _switched_on(trial, programme) - oven.lag if begins is None else begins
    corners = programme.breaks
    levels = programme.air(corners)
    top = np.flatnonzero(levels >= levels.max() - 1.0)
    end = found + float(corners[top[-1]])
    start = first_of(trial.log, Sensor.AIR)
    at = programme if start is None or abs(start - programme.start) < NEAR else replace(programme, start=start)
    return _Run(programme=at, begins=found, open=begins is None, until=min(end, float(trial.log.time[-1])))


def _switched_on(trial: Trial, programme: Programme) -> float:
    """Return about when heat came on [s]: where the line through the air's first rise meets its start."""
    time, air = _mean_air(trial)
    first = next((s for s in programme.segments if s.target > programme.start + 1.0), None)
    if first is None:
        return 0.0
    begin = float(np.median(air[:3]))
    span = min(first.target - programme.start, float(air.max()) - begin)
    risen = air - begin
    low, high = (int(np.argmax(risen >= share * span)) for share in (0.3, 0.6))
    if high <= low:
        return 0.0
    slope = (air[high] - air[low]) / (time[high] - time[low])
    return float(time[low] - (air[low] - begin) / slope) if slope > 0.0 else 0.0


def _mean_air(trial: Trial) -> tuple[Floats, Floats]:
    lines = _all([trial])
    time = lines[0].time
    return time, np.mean([np.interp(time, r.time, r.values) for r in lines], axis=0)


def _readings(trial: Trial, k: int, until: float) -> list[AirReading]:
    out = []
    for c in trial.log.of(Sensor.AIR):
        t, y = thinned(trial.log, c, until=until, finest=FINEST_AIR)
        if len(t) > 4:
            out.append(AirReading(trial=k, name=c.name, section=c.section, time=t, values=y))
    return out


def _all(trials: Sequence[Trial]) -> list[AirReading]:
    return [r for k, t in enumerate(trials) for r in _readings(t, k, np.inf)]


def _fastest(r: AirReading) -> float:
    """Return the fastest rise that lasted [K/s]."""
    ends = r.time[r.time + SUSTAINED <= r.time[-1]]
    if not len(ends):
        return 0.0
    rise = np.interp(ends + SUSTAINED, r.time, r.values) - np.interp(ends, r.time, r.values)
    return max(float(rise.max()) / SUSTAINED, 0.0)


def _fall(trial: Trial) -> tuple[float, float, float] | None:
    """Return the mean rate of the fall at the end, by how much its first half was off that, and how far it went.

    A fall that was asked for no faster than it came tells nothing of what the oven can do.
    """
    if not trial.log.of(Sensor.AIR) or not _all([trial]):
        return None
    time, air = _mean_air(trial)
    high, low = float(air.max()), float(air[int(np.argmax(air)) :].min())
    depth = high - low
    if depth < FALL:
        return None
    after = np.arange(len(air)) >= int(np.flatnonzero(air >= high - 0.1 * depth)[-1])
    t, y = time[after], air[after]
    where = [float(np.interp(-(high - share * depth), -y, t)) for share in (0.15, 0.5, 0.85)]
    if not where[0] < where[1] < where[2]:
        return None
    mean, early = 0.7 * depth / (where[2] - where[0]), 0.35 * depth / (where[1] - where[0])
    told = asked(trial)
    if told is not None:
        programme, begins = told
        since = np.clip(np.linspace(where[0], where[2], 50) - (begins or 0.0), 0.0, None)
        level = programme.air(since)
        slope = float(-np.diff(level).min() / (since[-1] - since[0]) * 49.0)
        if 0.0 < slope < ASKED * mean:
            return None
    return mean, abs(early - mean), depth


class _Model:
    """What each thermocouple in the air would read."""

    def __init__(
        self, readings: Sequence[AirReading], runs: dict[int, _Run], oven: Oven, unknowns: Sequence[Unknown]
    ) -> None:
        self.readings, self.runs, self.oven = readings, runs, oven
        self.index = {u.name: n for n, u in enumerate(unknowns)}

    def __call__(self, x: Floats) -> tuple[list[Floats], list[Floats]]:
        values, slopes = [], []
        plain = {k: self._air(k, x, None) for k in self.runs}
        moved = {
            kind: {k: self._air(k, x, kind) for k in self.runs}
            for kind in ("lag", "heating", "begins")
            if kind != "heating" or kind in self.index
        }
        for r in self.readings:
            run = self.runs[r.trial]
            start, rise = run.programme.start, max(run.programme.hottest - run.programme.start, 1.0)
            own, hot = self.index[f"sensor {r.trial} {r.name}"], self.index[f"offset {r.trial} {r.name}"]
            base = plain[r.trial](r.time)
            gain = 1.0 + x[hot] / rise
            slope = np.zeros((len(r.time), len(x)))
            for kind, airs in moved.items():
                name = f"begins {r.trial}" if kind == "begins" else kind
                if name in self.index:
                    slope[:, self.index[name]] = gain * (airs[r.trial](r.time) - base) / STEPS[kind]
            slope[:, own] = 1.0
            slope[:, hot] = (base - start) / rise
            values.append(start + gain * (base - start) + x[own])
            slopes.append(slope)
        return values, slopes

    def _air(self, k: int, x: Floats, kind: str | None):  # type: ignore[no-untyped-def]
        run = self.runs[k]
        lag, heating, begins = (
            float(x[self.index[name]]) + (STEPS[mine] if kind == mine else 0.0) if name in self.index else 0.0
            for name, mine in (("lag", "lag"), ("heating", "heating"), (f"begins {k}", "begins"))
        )
        oven = replace(lagging(self.oven, lag), heating=self.oven.heating * math.exp(heating))
        air = oven.air(run.programme)
        late = run.begins + begins
        return lambda t: air.at(np.clip(t - late, 0.0, air.end))


def _fitted(
    readings: Sequence[AirReading],
    runs: dict[int, _Run],
    trials: Sequence[Trial],
    oven: Oven,
    beliefs: Beliefs,
    heating: float | None,
) -> Fit:
    unknowns = [Unknown(name="lag", mean=0.0, sd=beliefs.lag)]
    if heating is not None:
        unknowns.append(Unknown(name="heating", mean=heating, sd=beliefs.heating))
    unknowns += [Unknown(name=f"begins {k}", mean=0.0, sd=STARTS) for k, run in runs.items() if run.open]
    for r in readings:
        unknowns.append(Unknown(name=f"offset {r.trial} {r.name}", mean=0.0, sd=beliefs.offset))
        unknowns.append(Unknown(name=f"sensor {r.trial} {r.name}", mean=0.0, sd=beliefs.sensor))
    model = _Model(readings, runs, oven, unknowns)
    return least(model, unknowns, [r.time for r in readings], [r.values for r in readings], beliefs)
