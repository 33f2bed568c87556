"""The section model, driven by the logged air and corrected until it follows the sensors on the part.

What a sensor can correct is how fast heat comes in (one factor on the films of all sections: they share the oven) and
how hot the air is at its own place (an offset for each section that has a sensor, growing with the rise). What it
cannot tell apart is such an offset and its own error, so that its own error is a third unknown. All are found
together, each held by what was believed before: the most probable values, and what stays open about them.
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

TOGETHER = 600.0
"""Time over which a model that misses a reading misses the next as well [s]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """How films and air had to be corrected.

    Parameters
    ----------
    film
        Logarithm of the factor on the films.
    offsets
        Air at each section against the logged air when that is hottest, shape (s,) [K].
    spread
        Covariance of the logarithm of the films and of a section's own offset, shape (s, 2, 2).
    misses
        Root mean square of what is left at each sensor, its own error taken out [K], by the name of the channel.
    errors
        Most probable error of each sensor when it is hottest [K], by the name of the channel.
    """

    film: float
    offsets: Floats
    spread: Floats
    misses: dict[str, float]
    errors: dict[str, float]

    def of(self, section: Section, number: int, film: float = 0.0, offset: float = 0.0) -> Section:
        """Return a section corrected, and a further step of films and offset away.

        Parameters
        ----------
        section
            As it was driven.
        number
            Of it.
        film, offset
            Further step: logarithm of a factor, and [K].
        """
        factor = float(np.exp(self.film + film))
        return replace(
            section,
            film_bag=section.film_bag * factor,
            film_tool=section.film_tool * factor,
            air_offset=section.air_offset + float(self.offsets[number]) + offset,
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
    """Return the most probable films and air offsets.

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
    Gauss–Newton with the derivatives from extra lanes of one simulation. Without a sensor the beliefs stay: films
    within ``trust.film``, air within half the spread evenly, and the error of the thermocouple in the air.
    """
    how = Trust() if trust is None else trust
    names = [s.name for s in sections]
    used = [] if held else [x for x in lines if x.section in names]
    own = float(np.hypot(spread / np.sqrt(12.0), how.sensor))
    sd = np.concatenate([[max(how.film, 1e-6)], np.full(len(names), max(own, 1e-6))])
    sd = np.append(sd, np.full(2 * len(used), max(how.sensor / np.sqrt(2.0), 1e-6)))
    x = np.zeros(len(sd))
    best, covariance = x, np.diag(sd**2)
    left: dict[str, float] = {}
    if used:
        best, covariance, left = _fitted(sections, airs, resin, used, sd, how)
    if held:
        covariance[0, 0] = 0.0
    n = len(names)
    pairs = np.array([covariance[np.ix_([0, 1 + i], [0, 1 + i])] for i in range(n)])
    return Fit(
        film=float(best[0]),
        offsets=best[1 : n + 1],
        spread=pairs,
        misses=left,
        errors={x.name: float(best[n + 1 + j] + best[n + 1 + len(used) + j]) for j, x in enumerate(used)},
    )


def _fitted(
    sections: Sequence[Section],
    airs: Sequence[Air],
    resin: CureResin,
    used: list[Series],
    sd: Floats,
    how: Trust,
) -> tuple[Floats, Floats, dict[str, float]]:
    n = len(sections)
    place = [next(i for i, s in enumerate(sections) if s.name == line.section) for line in used]
    known = sorted(set(place))
    weight = [1.0 / (max(how.misfit, 1e-3) * np.sqrt(max(TOGETHER / max(_interval(line), 1.0), 1.0))) for line in used]

    rises = [(line.values - line.values[0]) / max(float(np.ptp(line.values)), 1.0) for line in used]

    def predicted(x: Floats, step_film: float, step_offset: float) -> list[list[Floats]]:
        """Return for each of three variants what each sensor reads."""
        fit = Fit(film=float(x[0]), offsets=x[1 : n + 1], spread=np.zeros((n, 2, 2)), misses={}, errors={})
        lanes = [
            fit.of(sections[i], i, *step) for step in ((0.0, 0.0), (step_film, 0.0), (0.0, step_offset)) for i in known
        ]
        run = simulate(lanes, resin, [airs[i] for i in known] * 3, output_interval=120.0, tolerance=0.1)
        m = len(known)
        return [
            [
                np.interp(
                    line.time, run[v * m + known.index(p)].time, seen_by(run[v * m + known.index(p)], line.sensor)
                )
                for line, p in zip(used, place, strict=True)
            ]
            for v in range(3)
        ]

    x, best, cost = np.zeros(len(sd)), np.zeros(len(sd)), np.inf
    covariance, left = np.diag(sd**2), {}
    for _ in range(ROUNDS):
        base, more_film, more_air = predicted(x, 0.1, 2.0)
        rows, rest = [], []
        for j, line in enumerate(used):
            slope = np.zeros((len(line.time), len(sd)))
            slope[:, 0] = (more_film[j] - base[j]) / 0.1
            slope[:, 1 + place[j]] = (more_air[j] - base[j]) / 2.0
            slope[:, 1 + n + j] = 1.0
            slope[:, 1 + n + len(used) + j] = rises[j]
            rows.append(weight[j] * slope)
            rest.append(weight[j] * (line.values - base[j] - x[1 + n + j] - rises[j] * x[1 + n + len(used) + j]))
        a, b = np.vstack(rows), np.concatenate(rest)
        now = float(b @ b + np.sum((x / sd) ** 2))
        if now >= cost * (1.0 - 1e-3):
            break
        precision = a.T @ a + np.diag(1.0 / sd**2)
        best, cost, covariance = x, now, np.linalg.inv(precision)
        left = {line.name: float(np.sqrt(np.mean((r / w) ** 2))) for line, r, w in zip(used, rest, weight, strict=True)}
        x = x + covariance @ (a.T @ b - x / sd**2)
        x[0] = np.clip(x[0], best[0] - 1.0, best[0] + 1.0)  # a step of films, not a bound: the next round goes on
    return best, covariance, left


def _interval(line: Series) -> float:
    return float(line.time[-1] - line.time[0]) / max(len(line.time) - 1, 1)
