"""What every section went through, by the model that follows the sensors, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.history import SectionHistory
from bagside.cure.judging.driven import Drive
from bagside.cure.judging.followed import Fit
from bagside.cure.judging.sensed import tg_range
from bagside.cure.judging.trust import SIGMAS, Range, Trust
from bagside.cure.outcome import Outcome, crossed, outcomes
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.cure.solve import simulate

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaceState:
    """A section at the end of the log.

    Parameters
    ----------
    name
        What people call it.
    section
        As corrected, with films and air as they most probably are; what a simulation of the rest goes on with.
    history
        What it went through.
    outcome
        The same in numbers; its programme is the air that was logged.
    cure, leading
        Degree of cure now at its least and its most cured point.
    tg
        Glass transition at the least cured point [K].
    gel
        When its last point gelled [s]; none when it has not. An infinite end: not gelled within it.
    slower, faster
        Section that is as far behind and as far ahead as the range of its cure says: to try what is done next on.
    sensors
        Names of the channels that corrected it.
    """

    name: str
    section: Section
    history: SectionHistory
    outcome: Outcome
    cure: Range
    leading: float
    tg: Range
    gel: Range | None
    slower: Section
    faster: Section
    sensors: tuple[str, ...]

    @property
    def temperature(self) -> tuple[float, float]:
        """Coolest and hottest point of the laminate now [K]."""
        now = self.history.laminate_temperature[-1]
        return float(now.min()), float(now.max())


def placed(
    sections: Sequence[Section],
    drive: Drive,
    fit: Fit,
    resin: CureResin,
    sensors: dict[str, tuple[str, ...]],
    *,
    trust: Trust | None = None,
    flow_viscosity: float = 30.0,
    dwell_band: float = 5.0,
    output_interval: float = 60.0,
) -> tuple[PlaceState, ...]:
    """Return the state of every section.

    Parameters
    ----------
    sections
        As stated, with the temperatures they started from.
    drive
        The air over them.
    fit
        How films and air had to be corrected.
    resin
        The resin.
    sensors
        Channels that corrected each section, by its name.
    trust
        How far things may be off; the usual when not given.
    flow_viscosity, dwell_band
        As for `outcomes`.
    output_interval
        Time between outputs [s].

    Notes
    -----
    Films, rate, heat and air go off together along the four axes of what the sensors left open, two standard deviations
    either way, and the air as far as it may have gone in its gaps; what they do is added in quadrature.
    """
    how = Trust() if trust is None else trust
    lanes: list[Section] = []
    for i, s in enumerate(drive.sections):
        lanes.append(fit.of(s, i))
        lanes += [fit.of(s, i, step) for step in _steps(fit.spread[i])]
        lanes += [fit.of(s, i)] * len(drive.bounds)
    each = len(lanes) // len(drive.sections)
    steps = each - len(drive.bounds)
    airs = [a for i, main in enumerate(drive.airs) for a in (*[main] * steps, *(b[i] for b in drive.bounds))]
    runs = simulate(lanes, resin, airs, output_interval=output_interval)
    results = outcomes(runs[::each], resin, flow_viscosity=flow_viscosity, dwell_band=dwell_band)
    return tuple(
        _place(
            sections[i],
            runs[i * each : (i + 1) * each],
            results[i],
            fit.of(sections[i], i) if drive.sections[i].film_bag != np.inf else sections[i],
            resin,
            how,
            sensors.get(sections[i].name, ()),
        )
        for i in range(len(sections))
    )


def _steps(covariance: Floats) -> list[list[float]]:
    """Return steps along the axes of a covariance, both ways."""
    scale = np.array([0.1, 0.1, 0.1, 1.0])  # so that a tenth of films weighs as much as a kelvin
    sizes, axes = np.linalg.eigh(covariance / np.outer(scale, scale))
    axes = scale[:, None] * axes
    out = []
    for size, axis in zip(sizes, axes.T, strict=True):
        step = SIGMAS * np.sqrt(max(float(size), 0.0)) * axis
        out += [step.tolist(), (-step).tolist()]
    return out


def _place(
    stated: Section,
    runs: Sequence[SectionHistory],
    outcome: Outcome,
    onward: Section,
    resin: CureResin,
    how: Trust,
    sensors: tuple[str, ...],
) -> PlaceState:
    main = runs[0]
    last = [float(r.alpha[-1].min()) for r in runs]
    cure = Range.around(last[0], last[1:], highest=1.0)
    gels = [crossed(r.time, r.alpha.min(axis=1), resin.gel) for r in runs]
    now = main.alpha[-1]
    temperature = tuple(main.temperature[-1].tolist())
    return PlaceState(
        name=stated.name,
        section=onward,
        history=main,
        outcome=replace(outcome, name=stated.name),
        cure=cure,
        leading=float(now.max()),
        tg=tg_range(resin, cure, how),
        gel=None if gels[0] is None else Range.around(gels[0], [np.inf if g is None else g for g in gels[1:]]),
        slower=replace(onward, start=temperature, alpha0=_moved(now, cure.low)),
        faster=replace(onward, start=temperature, alpha0=_moved(now, cure.high)),
        sensors=sensors,
    )


def _moved(alpha: Floats, lowest: float) -> tuple[float, ...]:
    """Return a profile of cure moved until its least cured point is at a value, in the odds of what has not reacted.

    In the logarithm of the odds a profile stays between nothing and everything however far it is moved.
    """
    least = float(alpha.min())
    if not 0.0 < least < 1.0:
        return tuple(alpha.tolist())
    to = float(np.clip(lowest, 1e-4, 1.0 - 1e-6))
    shift = np.log(to / (1.0 - to)) - np.log(least / (1.0 - least))
    inner = np.clip(alpha, 1e-9, 1.0 - 1e-9)
    odds = np.log(inner / (1.0 - inner)) + shift
    return tuple((1.0 / (1.0 + np.exp(-odds))).tolist())
