"""What every sensor of a trial would read, by films, air at its place, lag and rate, and the slopes by each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.air import Air
from bagside.cure.calibrate.beliefs import Beliefs
from bagside.cure.calibrate.driving import Drive
from bagside.cure.calibrate.inert import warmed
from bagside.cure.calibrate.least import Unknown
from bagside.cure.calibrate.noise import Shared
from bagside.cure.calibrate.place import eye, without_reaction
from bagside.cure.calibrate.trial import Reading, Trial, first_of
from bagside.cure.log import Sensor
from bagside.cure.oven import Oven
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.solve import simulate

Floats = NDArray[np.float64]

STEPS = {"film bag": 0.05, "film tool": 0.05, "rate": 0.03, "lag": 0.05, "begins": 20.0, "place": 1.0, "start": 1.0}
"""By how much each kind of unknown is moved for its slope."""

GRID = 60.0  # [s] of the closed form
INTERVAL, TOLERANCE = 120.0, 0.05  # [s, K] of the simulation

KNOT, MOST_KNOTS = 600.0, 60
"""Time between the points at which the air may be off [s], and most of them."""

BAG, TOOL, RATE, LAG = "film bag", "film tool", "rate", "lag"


class Films:
    """The model of all sensors on part and mould, of all trials.

    Sections share their films: a logarithm of a factor for the bag's side and one for the back of the mould.
    """

    def __init__(
        self,
        trials: Sequence[Trial],
        drives: Sequence[Drive],
        sections: Sequence[Section],
        resin: CureResin,
        oven: Oven,
        readings: Sequence[Reading],
        beliefs: Beliefs,
        *,
        spread: float,
        rate: bool = False,
        lag: tuple[float, float] | None = None,
    ) -> None:
        self.trials, self.drives, self.sections = trials, drives, sections
        self.resin, self.oven, self.readings = resin, oven, readings
        self.beliefs, self.spread, self.rate, self.lag = beliefs, spread, rate, lag
        self.starts = [_start(t, d) for t, d in zip(trials, drives, strict=True)]
        unknowns = [Unknown(name=BAG, mean=0.0, sd=beliefs.film), Unknown(name=TOOL, mean=0.0, sd=beliefs.film)]
        if rate:
            unknowns.append(Unknown(name=RATE, mean=0.0, sd=beliefs.rate))
        unread = [k for k, d in enumerate(drives) if d.read is None]
        if unread:
            mean, sd = (0.0, beliefs.lag) if lag is None else lag
            unknowns.append(Unknown(name=LAG, mean=mean, sd=sd))
        for k in unread:
            if trials[k].heat_on is None and not trials[k].log.of(Sensor.SET):
                unknowns.append(Unknown(name=f"begins {k}", mean=0.0, sd=beliefs.begins))
        for k, d in enumerate(drives):
            for i in self.used(k):
                away = beliefs.sensor if d.own[i] else float(np.hypot(spread / np.sqrt(12.0), beliefs.sensor))
                away = float(np.hypot(away, beliefs.offset)) if d.read is None else away
                unknowns.append(Unknown(name=f"place {k} {i}", mean=0.0, sd=away))
            unknowns.append(Unknown(name=f"start {k}", mean=0.0, sd=beliefs.start))
        unknowns += [Unknown(name=f"sensor {r.trial} {r.name}", mean=0.0, sd=beliefs.sensor) for r in readings]
        self.unknowns = tuple(unknowns)
        self.index = {u.name: n for n, u in enumerate(unknowns)}

    def used(self, trial: int) -> list[int]:
        """Return the sections of a trial that have a sensor.

        Parameters
        ----------
        trial
            Number of it.
        """
        return sorted({r.section for r in self.readings if r.trial == trial})

    def __call__(self, x: Floats) -> tuple[list[Floats], list[Floats]]:
        """Return what each sensor would read [K] and its slopes by the unknowns.

        Parameters
        ----------
        x
            Unknowns, shape (n,).
        """
        values: list[Floats] = [np.empty(0)] * len(self.readings)
        slopes: list[Floats] = [np.empty(0)] * len(self.readings)
        for k in range(len(self.trials)):
            kinds = self._kinds(k)
            seen = self._seen(k, x, [None, *kinds])
            for j, r in enumerate(self.readings):
                if r.trial != k:
                    continue
                base = seen[None][j]
                slope = np.zeros((len(r.time), len(x)))
                for kind in kinds:
                    name = {"place": f"place {k} {r.section}", "start": f"start {k}", "begins": f"begins {k}"}
                    slope[:, self.index[name.get(kind, kind)]] = (seen[kind][j] - base) / STEPS[kind]
                own = self.index[f"sensor {k} {r.name}"]
                slope[:, own] = 1.0
                values[j], slopes[j] = base + x[own], slope
        return values, slopes

    def shared(self, x: Floats) -> list[Shared]:
        """Return how the sensors of each trial follow what comes and goes in the reading of its air.

        Parameters
        ----------
        x
            Unknowns, shape (n,).

        Notes
        -----
        By the closed form without reaction, for a real cure too: it is the size of a noise, not a temperature.
        """
        out = []
        for k, drive in enumerate(self.drives):
            groups: dict[int, list[int]] = {}
            for i in self.used(k):
                groups.setdefault(0 if drive.read is None else id(drive.read[i]), []).append(i)
            for members in groups.values():
                out.append(self._shared(k, members, x))
        return out

    def _shared(self, k: int, members: list[int], x: Floats) -> Shared:
        drive = self.drives[k]
        grid = np.arange(0.0, drive.end + GRID, GRID)
        knots = np.linspace(0.0, grid[-1], int(np.clip(np.ceil(grid[-1] / KNOT), 2, MOST_KNOTS)) + 1)
        hats = np.array([np.interp(grid, knots, row) for row in np.eye(len(knots))]).T
        lanes = [without_reaction(self._lane(k, i, x, None)) for i in members]
        cells = warmed(
            [lane for lane in lanes for _ in knots],
            np.zeros(len(lanes) * len(knots)),
            np.tile(hats, (1, len(lanes))),
            GRID,
        )
        which = tuple(j for j, r in enumerate(self.readings) if r.trial == k and r.section in members)
        responses = []
        for j in which:
            r = self.readings[j]
            m = members.index(r.section)
            see = eye(self._faced(r.section, lanes[m]), r.where)
            seen = [see.seen(cells[m * len(knots) + q], hats[:, q]) for q in range(len(knots))]
            responses.append(np.array([np.interp(r.time, grid, y) for y in seen]).T)
        return Shared(which=which, knots=knots, responses=tuple(responses), count=drive.count)

    def _faced(self, i: int, lane: Section) -> Section:
        """Return a section with its resin, so that laminate and mould are told apart, and the films of a lane."""
        return replace(self.sections[i], film_bag=lane.film_bag, film_tool=lane.film_tool)

    def _kinds(self, k: int) -> list[str]:
        kinds = [BAG, TOOL, "place", "start"]
        if RATE in self.index and not self.trials[k].inert:
            kinds.append(RATE)
        if self.drives[k].read is None:
            kinds.append(LAG)
        if f"begins {k}" in self.index:
            kinds.append("begins")
        return kinds

    def _seen(self, k: int, x: Floats, kinds: Sequence[str | None]) -> dict[str | None, dict[int, Floats]]:
        """Return the readings of a trial without their own errors, as it is and with one kind of unknown moved."""
        used = self.used(k)
        lanes: list[Section] = []
        airs: list[Air] = []
        for kind in kinds:
            over = self.drives[k].airs(
                self.oven, self._at(LAG, x, kind, LAG), self._at(f"begins {k}", x, kind, "begins")
            )
            for i in used:
                lanes.append(self._lane(k, i, x, kind))
                airs.append(over[i])
        at = {i: n for n, i in enumerate(used)}
        mine = [(j, r) for j, r in enumerate(self.readings) if r.trial == k]
        if self.trials[k].inert:
            grid, air, cells = _warmed(lanes, airs, self.drives[k].end)
            times, over_lane = [grid] * len(lanes), [air[:, n] for n in range(len(lanes))]
        else:
            run = simulate(lanes, self.resin, airs, output_interval=INTERVAL, tolerance=TOLERANCE)
            times, over_lane = [h.time for h in run], [h.air for h in run]
            cells = [h.temperature for h in run]
        out: dict[str | None, dict[int, Floats]] = {}
        for v, kind in enumerate(kinds):
            out[kind] = {}
            for j, r in mine:
                n = v * len(used) + at[r.section]
                see = eye(self._faced(r.section, lanes[n]), r.where)
                out[kind][j] = np.interp(r.time, times[n], see.seen(cells[n], over_lane[n]))
        return out

    def _lane(self, k: int, i: int, x: Floats, kind: str | None) -> Section:
        s = without_reaction(self.sections[i]) if self.trials[k].inert else self.sections[i]
        return replace(
            s,
            film_bag=s.film_bag * float(np.exp(self._at(BAG, x, kind, BAG))),
            film_tool=s.film_tool * float(np.exp(self._at(TOOL, x, kind, TOOL))),
            rate_factor=s.rate_factor * float(np.exp(self._at(RATE, x, kind, RATE))),
            air_offset=s.air_offset + self._at(f"place {k} {i}", x, kind, "place"),
            start=self.starts[k] + self._at(f"start {k}", x, kind, "start"),
        )

    def _at(self, name: str, x: Floats, kind: str | None, mine: str) -> float:
        if name not in self.index:
            return 0.0
        return float(x[self.index[name]]) + (STEPS[mine] if kind == mine else 0.0)


def _start(trial: Trial, drive: Drive) -> float:
    """Return what part and mould start from [K]: the mean of their first readings, and of the air's when it is near."""
    part = first_of(trial.log, Sensor.PART, Sensor.TOOL)
    air = first_of(trial.log, Sensor.AIR)
    if part is None:
        raise ValueError("a trial that was not checked")
    return 0.5 * (part + air) if air is not None and abs(part - air) < 3.0 and drive.read is not None else part


def _warmed(lanes: Sequence[Section], airs: Sequence[Air], end: float) -> tuple[Floats, Floats, list[Floats]]:
    """Return an even grid [s], the air over each lane on it and the cells of each lane [K]."""
    begin = min(0.0, *(float(a.breaks[0]) for a in airs)) if len(airs) > 1 else min(0.0, float(airs[0].breaks[0]))
    count = int(np.ceil((end - begin) / GRID)) + 1
    grid: Floats = begin + GRID * np.arange(count, dtype=np.float64)
    plain: dict[int, Floats] = {}
    for a in airs:
        if id(a) not in plain:
            plain[id(a)] = a.at(np.clip(grid, a.breaks[0], a.end))
    columns = []
    for lane, a in zip(lanes, airs, strict=True):
        y = plain[id(a)]
        rise = max(float(a.programme.max()) - float(y[0]), 1.0)
        columns.append(y + lane.air_offset * (y - y[0]) / rise)
    air = np.stack(columns, axis=1)
    starts = np.array([float(lane.temperatures_from(0.0)[0]) for lane in lanes])
    return grid, air, warmed(lanes, starts, air, GRID)
