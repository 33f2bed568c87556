"""The section model, driven by the logged air and corrected until it follows the sensors on the part.

What a sensor can correct is how fast heat comes in (one factor on the films of all sections: they share the oven), how
hot the air is at its own place (an offset for each section that has a sensor, growing with the rise), and how fast and
how hot this batch reacts. What it cannot tell apart is such an offset and its own error, so that its own error is one
more unknown. All are found together, each held by what was believed before: the most probable values, and what stays
open about them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.air import Air
from bagside.cure.history import SectionHistory
from bagside.cure.judging.readings import Series
from bagside.cure.judging.trust import Trust
from bagside.cure.log import Sensor
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.solve import simulate

Floats = NDArray[np.float64]

ROUNDS = 4
"""Most corrections; two are usual."""

APART = 2.0
"""Misfit of a pair of sensors from which it is asked whether they are swapped [K]."""

TOGETHER = 600.0
"""Time over which a model that misses a reading misses the next as well [s]."""


SHARED = 3
"""Unknowns that all sections share: logarithms of the factors on films, rate and heat of reaction."""

STEPS = (0.1, 0.03, 0.05, 2.0)
"""Steps by which derivatives are taken: films, rate, heat, and the air at a section [K]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """How films, reaction and air had to be corrected.

    Parameters
    ----------
    shared
        Logarithms of the factors on films, rate and heat of reaction, shape (3,).
    offsets
        Air at each section against the logged air when that is hottest, shape (s,) [K].
    spread
        Covariance of the three logarithms and a section's own offset, shape (s, 4, 4).
    misses
        Root mean square of what is left at each sensor, its own error and its noise taken out [K], by the name of the
        channel.
    errors
        Most probable error of each sensor when it is hottest [K], by the name of the channel.
    swapped
        Pairs of channels that fit far better at each other's place.
    """

    shared: Floats
    offsets: Floats
    spread: Floats
    misses: dict[str, float]
    errors: dict[str, float]
    swapped: tuple[tuple[str, str], ...] = ()

    @property
    def film(self) -> float:
        """Factor on the films."""
        return float(np.exp(self.shared[0]))

    def of(self, section: Section, number: int, step: Sequence[float] = (0.0, 0.0, 0.0, 0.0)) -> Section:
        """Return a section corrected, and a further step away.

        Parameters
        ----------
        section
            As it was driven.
        number
            Of it.
        step
            Of the three logarithms, and of the air [K].
        """
        film, rate, heat = np.exp(self.shared + np.asarray(step[:SHARED])).tolist()
        return replace(
            section,
            film_bag=section.film_bag * film,
            film_tool=section.film_tool * film,
            rate_factor=section.rate_factor * rate,
            heat_factor=section.heat_factor * heat,
            air_offset=section.air_offset + float(self.offsets[number]) + step[SHARED],
        )


def seen_by(history: SectionHistory, sensor: Sensor) -> Floats:
    """Return what a good sensor would read at a section [K].

    Parameters
    ----------
    history
        Of the section.
    sensor
        On the part: the mean through the laminate; on the tool: its back.
    """
    if sensor is Sensor.TOOL and len(history.section.tool_cells):
        return history.tool_face
    out: Floats = history.laminate_temperature.mean(axis=1)
    return out


def corrected(
    sections: Sequence[Section],
    airs: Sequence[Air],
    resin: CureResin,
    lines: Sequence[Series],
    *,
    spread: float = 0.0,
    trust: Trust | None = None,
    held: bool = False,
) -> Fit:
    """Return the most probable films, reaction and air offsets.

    Parameters
    ----------
    sections
        As driven, one for each place.
    airs
        The air over each.
    resin
        The resin.
    lines
        Of sensors on part or tool, each with the name of its section.
    spread
        Of the oven's air, hottest place against coldest [K].
    trust
        How far things may be off; the usual when not given.
    held
        Whether the faces are held at the sensors: then there is nothing to correct.

    Notes
    -----
    A sensor's own error is taken to be half there from the start and half to grow with the temperature, in squares.
    Gauss–Newton with the derivatives from extra lanes of one simulation. Without a sensor the beliefs stay: films,
    rate and heat within what ``trust`` says, air within half the spread evenly, and the error of its thermocouple.
    """
    how = Trust() if trust is None else trust
    names = [s.name for s in sections]
    used = [] if held else [x for x in lines if x.section in names]
    own, n = float(np.hypot(spread / np.sqrt(12.0), how.sensor)), len(names)
    beliefs = [how.film, how.rate, how.heat, *[own] * n, *[how.sensor / np.sqrt(2.0)] * (2 * len(used))]
    sd = np.maximum(np.array(beliefs), 1e-6)
    best, covariance = np.zeros(len(sd)), np.diag(sd**2)
    left: dict[str, float] = {}
    swapped: tuple[tuple[str, str], ...] = ()
    if used:
        best, covariance, left, swapped = _fitted(sections, airs, resin, used, sd, how)
    if held:
        covariance[0, 0] = 0.0
    ends = SHARED + n
    return Fit(
        shared=best[:SHARED],
        offsets=best[SHARED:ends],
        spread=np.array([covariance[np.ix_([0, 1, 2, SHARED + i], [0, 1, 2, SHARED + i])] for i in range(n)]),
        misses=left,
        errors={x.name: float(best[ends + j] + best[ends + len(used) + j]) for j, x in enumerate(used)},
        swapped=swapped,
    )


def _fitted(
    sections: Sequence[Section],
    airs: Sequence[Air],
    resin: CureResin,
    used: list[Series],
    sd: Floats,
    how: Trust,
) -> tuple[Floats, Floats, dict[str, float], tuple[tuple[str, str], ...]]:
    n = len(sections)
    ends = SHARED + n
    place = [next(i for i, s in enumerate(sections) if s.name == line.section) for line in used]
    known = sorted(set(place))
    weight = [1.0 / (max(how.misfit, 1e-3) * np.sqrt(max(TOGETHER / max(_interval(line), 1.0), 1.0))) for line in used]
    rises = [(line.values - line.values[0]) / max(float(np.ptp(line.values)), 1.0) for line in used]
    steps = np.vstack([np.zeros(SHARED + 1), np.diag(STEPS)])

    def predicted(x: Floats) -> list[list[Floats]]:
        """Return what each sensor reads, as it is and one step away in each direction."""
        fit = Fit(shared=x[:SHARED], offsets=x[SHARED:ends], spread=np.zeros((n, 4, 4)), misses={}, errors={})
        lanes = [fit.of(sections[i], i, step.tolist()) for step in steps for i in known]
        run = simulate(lanes, resin, [airs[i] for i in known] * len(steps), output_interval=120.0, tolerance=0.1)
        m = len(known)
        return [
            [
                np.interp(line.time, h.time, seen_by(h, line.sensor))
                for line, p in zip(used, place, strict=True)
                for h in (run[v * m + known.index(p)],)
            ]
            for v in range(len(steps))
        ]

    x, best, cost = np.zeros(len(sd)), np.zeros(len(sd)), np.inf
    covariance, left = np.diag(sd**2), {}
    for _ in range(ROUNDS):
        base, *moved = predicted(x)
        rows, rest = [], []
        for j, line in enumerate(used):
            slope = np.zeros((len(line.time), len(sd)))
            for k in range(SHARED):
                slope[:, k] = (moved[k][j] - base[j]) / STEPS[k]
            slope[:, SHARED + place[j]] = (moved[SHARED][j] - base[j]) / STEPS[SHARED]
            slope[:, ends + j] = 1.0
            slope[:, ends + len(used) + j] = rises[j]
            rows.append(weight[j] * slope)
            rest.append(weight[j] * (line.values - base[j] - x[ends + j] - rises[j] * x[ends + len(used) + j]))
        a, b = np.vstack(rows), np.concatenate(rest)
        now = float(b @ b + np.sum((x / sd) ** 2))
        if now >= cost * (1.0 - 1e-3):
            break
        precision = a.T @ a + np.diag(1.0 / sd**2)
        best, cost, covariance = x, now, np.linalg.inv(precision)
        left = {line.name: _miss(r / w) for line, r, w in zip(used, rest, weight, strict=True)}
        x = x + covariance @ (a.T @ b - x / sd**2)
        # a step of films is bounded, the films are not: the next round goes on
        x[0] = np.clip(x[0], best[0] - 1.0, best[0] + 1.0)
    return best, covariance, left, _swapped(sections, airs, resin, used, place)


def _miss(rest: Floats) -> float:
    """Return the root mean square of a rest without what changes from reading to reading: the noise [K]."""
    noise = 0.5 * float(np.mean(np.diff(rest) ** 2)) if len(rest) > 1 else 0.0
    return float(np.sqrt(max(float(np.mean(rest**2)) - noise, 0.0)))


def _swapped(
    sections: Sequence[Section], airs: Sequence[Air], resin: CureResin, used: list[Series], place: list[int]
) -> tuple[tuple[str, str], ...]:
    """Return pairs of sensors that the sections as stated explain far better at each other's place."""
    if len(set(place)) < 2:
        return ()
    runs = simulate(sections, resin, airs, output_interval=120.0, tolerance=0.1)

    def miss(line: Series, i: int) -> float:
        """Return how far a line is off a section, a steady error taken out, in squares [K²]."""
        return float(np.var(line.values - np.interp(line.time, runs[i].time, seen_by(runs[i], line.sensor))))

    found = []
    for j, a in enumerate(used):
        for k in range(j + 1, len(used)):
            b = used[k]
            if place[j] == place[k] or a.sensor is not b.sensor:
                continue
            stated = miss(a, place[j]) + miss(b, place[k])
            other = miss(a, place[k]) + miss(b, place[j])
            if stated > 2.0 * APART**2 and other < 0.3 * stated:
                found.append((a.name, b.name))
    return tuple(found)


def _interval(line: Series) -> float:
    return float(line.time[-1] - line.time[0]) / max(len(line.time) - 1, 1)
