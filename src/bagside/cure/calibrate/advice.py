"""Which one thing more would tell most the next time: another thermocouple, the air, or another programme.

Nothing is guessed: the next log is foreseen with the films as found, and what it would leave open is computed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagside.cure.calibrate.driving import Drive
from bagside.cure.calibrate.films import BAG, TOOL, Films
from bagside.cure.calibrate.least import Fit
from bagside.cure.calibrate.noise import Noise, Shared, Together
from bagside.cure.calibrate.place import Where
from bagside.cure.calibrate.told import SIGMAS
from bagside.cure.calibrate.trial import FINEST, Reading, asked
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme

Floats = NDArray[np.float64]

MOST = 4
"""Most sections at which one more thermocouple is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One thing more, and what the same log with it would leave open.

    Parameters
    ----------
    what
        In words, as the object of "with".
    film_bag, film_tool
        By how much each film may still be off, 95 times in 100, as a share.
    sensor
        Whether it is one more sensor.
    """

    what: str
    film_bag: float
    film_tool: float
    sensor: bool

    @property
    def left(self) -> float:
        """What is left open of both, as their product."""
        return self.film_bag * self.film_tool


def advice(model: Films, fit: Fit, found: Oven) -> tuple[Advice, ...]:
    """Return one more thing each, the one that tells most first.

    Parameters
    ----------
    model
        Of the log.
    fit
        To it.
    found
        The oven as found.
    """
    out = [*_sensors(model, fit), *_air(model, fit, found), *_programmes(model, fit, found)]
    return tuple(sorted(out, key=lambda a: a.left))


def _sensors(model: Films, fit: Fit) -> list[Advice]:
    there = {(r.section, r.where) for r in model.readings if r.trial == 0}
    extra = [
        _foreseen(model, i, where)
        for i in model.used(0)[:MOST]
        for where in (Where.BAG, Where.FACE, Where.BACK)
        if (i, where) not in there and not (where is not Where.BAG and not len(model.sections[i].tool_cells))
    ]
    if not extra:
        return []
    wide = _with(model, readings=(*model.readings, *extra))
    slopes, shared = _at(wide, fit)
    old = list(range(len(model.readings)))
    out = []
    for n, r in enumerate(extra):
        bag, tool = _left(wide, slopes, shared, fit, [*old, len(old) + n])
        at = f" at {model.sections[r.section].name}" if len(model.sections) > 1 else ""
        out.append(Advice(what=f"one more thermocouple {r.where}{at}", film_bag=bag, film_tool=tool, sensor=True))
    return out


def _air(model: Films, fit: Fit, found: Oven) -> list[Advice]:
    if all(d.read is not None for d in model.drives):
        return []
    drives = [_read(d, found) for d in model.drives]
    bag, tool = _anew(_with(model, drives=drives), fit)
    return [Advice(what="a thermocouple in the air", film_bag=bag, film_tool=tool, sensor=True)]


def _programmes(model: Films, fit: Fit, found: Oven) -> list[Advice]:
    told = asked(model.trials[0])
    if told is None:
        return []
    programme, begins = told
    fastest = found.heating
    steep = tuple(replace(s, ramp=min(2.0 * s.ramp, max(fastest, s.ramp))) for s in programme.segments)
    last = programme.segments[-1]
    longer = (*programme.segments[:-1], replace(last, hold=last.hold + 3600.0))
    out = []
    for what, segments in (("rises twice as steep", steep), ("an hour more at the end", longer)):
        if segments == programme.segments:
            continue
        other = Programme(start=programme.start, segments=segments)
        drives = [_driven(model.drives[0], other, begins or 0.0, found), *model.drives[1:]]
        readings = [r if r.trial else _over(r, drives[0].end) for r in model.readings]
        bag, tool = _anew(_with(model, drives=drives, readings=readings), fit)
        out.append(Advice(what=what, film_bag=bag, film_tool=tool, sensor=False))
    return out


def _read(drive: Drive, found: Oven) -> Drive:
    return drive if drive.read is not None else replace(drive, read=drive.airs(found, 0.0, 0.0))


def _driven(drive: Drive, programme: Programme, begins: float, found: Oven) -> Drive:
    air = found.air(programme)
    air = replace(air, breaks=air.breaks + begins)
    end = float(air.end)
    if drive.read is None:
        return replace(drive, programme=programme, end=end)
    return replace(drive, read=(air,) * len(drive.own), end=end)


def _foreseen(model: Films, section: int, where: Where) -> Reading:
    time = np.arange(0.5 * FINEST, model.drives[0].end, FINEST)
    return Reading(trial=0, name=f"{section} {where}", section=section, where=where, time=time, values=0.0 * time)


def _over(r: Reading, end: float) -> Reading:
    time = np.arange(0.5 * FINEST, end, FINEST)
    return replace(r, time=time, values=0.0 * time)


def _with(model: Films, *, drives: Sequence[Drive] | None = None, readings: Sequence[Reading] | None = None) -> Films:
    return Films(
        model.trials,
        model.drives if drives is None else drives,
        model.sections,
        model.resin,
        model.oven,
        model.readings if readings is None else readings,
        model.beliefs,
        spread=model.spread,
        rate=model.rate,
        lag=model.lag,
    )


def _at(model: Films, fit: Fit) -> tuple[list[Floats], list[Shared]]:
    x = np.array([fit.of(u.name)[0] if u.name in fit.names else 0.0 for u in model.unknowns])
    return model(x)[1], model.shared(x)


def _anew(model: Films, fit: Fit) -> tuple[float, float]:
    slopes, shared = _at(model, fit)
    return _left(model, slopes, shared, fit, list(range(len(model.readings))))


def _left(
    model: Films, slopes: Sequence[Floats], shared: Sequence[Shared], fit: Fit, keep: Sequence[int]
) -> tuple[float, float]:
    """Return by how much both films may be off when some of the sensors are read."""
    sd = np.array([u.sd for u in model.unknowns])
    usual = Noise(
        size=float(np.median([n.size for n in fit.noises])),
        together=float(np.median([n.together for n in fit.noises])),
    )
    noises = [fit.noises[c] if c < len(fit.noises) else usual for c in keep]
    new = {c: n for n, c in enumerate(keep)}
    fewer = []
    for s in shared:
        stay = [i for i, c in enumerate(s.which) if c in new]
        if stay:
            fewer.append(
                replace(s, which=tuple(new[s.which[i]] for i in stay), responses=tuple(s.responses[i] for i in stay))
            )
    apart = Together(noises, [model.readings[c].time for c in keep], fewer)
    rows = apart.whitened([slopes[c] * sd for c in keep])
    covariance = np.linalg.inv(rows.T @ rows + np.eye(len(sd))) * np.outer(sd, sd)
    bag, tool = (float(np.sqrt(covariance[i, i])) for i in (model.index[BAG], model.index[TOOL]))
    return SIGMAS * bag, SIGMAS * tool
