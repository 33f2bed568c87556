"""What a log tells about a cure: the resin at every sensor and through every section, vacuum, and the programme."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bagside.cure.judging.course import Course, coursed
from bagside.cure.judging.driven import Drive, DrivenBy, driven
from bagside.cure.judging.extremes import exotherm_of, extremes, hottest_of, least_cured, tool_hottest_of
from bagside.cure.judging.followed import Fit, corrected
from bagside.cure.judging.places import PlaceState, placed
from bagside.cure.judging.pressed import LOST, Pressed, pressed
from bagside.cure.judging.readings import Series, lines_of
from bagside.cure.judging.sensed import SensorState, sensed
from bagside.cure.judging.softness import softened
from bagside.cure.judging.state_notes import state_findings
from bagside.cure.judging.trust import Range, Trust
from bagside.cure.log import CureLog, Sensor
from bagside.cure.outcome import crossed
from bagside.cure.oven import Oven
from bagside.cure.programme import Programme
from bagside.cure.resin import CureResin
from bagside.cure.section import Section
from bagside.errors import InputError, Problem, did_you_mean
from bagside.findings import Finding

Floats = NDArray[np.float64]


class Stage(StrEnum):
    """How far the resin is, as far as saving a cure goes."""

    COLD = "not yet soft"
    SOFT = "soft, not gelled"
    GELLED = "gelled, not yet cured"
    CURED = "cured"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoggedState:
    """What a log tells, at its end.

    Parameters
    ----------
    name
        Of the log.
    end
        Its last time [s].
    resin
        The resin.
    drive
        The air, and from which channels.
    sensors
        Resin at each sensor on part or tool.
    places
        Every section, in the order stated.
    fit
        How films and air had to be corrected to follow the sensors.
    cure, tg
        Of the place that is least cured, by the model and by the sensors whose place is not stated.
    lagging
        What that place is called.
    lagging_line, leading_line
        Temperature of the sensor that lags at each moment and of the one that leads, averaged over five minutes; the
        model's where there is no sensor.
    exotherm, exotherm_time
        Most by which a sensor on the part, or the model where there is none, passed the air while that did not fall
        [K], and when [s].
    hottest, hottest_at, hottest_time
        Hottest the laminate was, by sensors and model [K], where, and when [s].
    tool_hottest
        Hottest the tool was, by sensors and model [K]; none without a tool.
    soft
        Whether resin has ever been soft.
    stage
        How far the resin is, for the degree of cure that is wanted.
    pressed
        The vacuum; none when it was not logged.
    course
        The programme as it was run.
    noticed
        What a person should know about the log.
    """

    name: str
    end: float
    resin: CureResin
    drive: Drive
    sensors: tuple[SensorState, ...]
    places: tuple[PlaceState, ...]
    fit: Fit
    cure: Range
    tg: Range
    lagging: str
    lagging_line: Series
    leading_line: Series
    exotherm: float
    exotherm_time: float
    hottest: float
    hottest_at: str
    hottest_time: float
    tool_hottest: float | None
    soft: bool
    stage: Stage
    pressed: Pressed | None
    course: Course
    noticed: tuple[Finding, ...]

    @property
    def gelled(self) -> bool:
        """Whether the least cured point has gelled, by what is most probable."""
        return self.cure.value >= self.resin.gel

    @property
    def gel_time(self) -> float | None:
        """When the last place gelled [s]; none when one has not."""
        gels = [p.gel for p in self.places]
        return None if any(g is None for g in gels) else max(g.value for g in gels if g is not None)

    def first_over(self, limit: float) -> float:
        """Return when any laminate was first hotter than a limit [s]; when it was hottest where only a sensor was.

        Parameters
        ----------
        limit
            [K].
        """
        found = [crossed(p.history.time, p.history.laminate_temperature.max(axis=1), limit) for p in self.places]
        return min((t for t in found if t is not None), default=self.hottest_time)

    @property
    def temperature(self) -> tuple[float, float]:
        """Coolest and hottest point of all laminates now [K]."""
        now = [p.temperature for p in self.places]
        return min(low for low, _ in now), max(high for _, high in now)


def state_of(
    log: CureLog,
    sections: Sequence[Section],
    resin: CureResin,
    programme: Programme,
    oven: Oven,
    *,
    target: float = 0.9,
    spread: float = 0.0,
    trust: Trust | None = None,
    ambient: float | None = None,
    needed: Callable[[Floats], Floats] | None = None,
    lost_above: float = LOST,
    dwell_band: float = 5.0,
    flow_viscosity: float = 30.0,
    bagged: bool = True,
) -> LoggedState:
    """Return what a log tells about a cure.

    Parameters
    ----------
    log
        The log; channels on part and tool may name their section.
    sections
        One for each place, at the oven's mean air.
    resin
        The resin.
    programme, oven
        As planned.
    target
        Degree of cure wanted at the least cured point.
    spread
        Of the oven's air, hottest place against coldest [K].
    trust
        How far things may be off; the usual when not given.
    ambient
        Pressure outside [Pa]; the log's own channel comes first.
    needed
        Pressure that resin must be under at a temperature so that water in it makes no voids [K] to [Pa].
    lost_above
        Pressure left in the bag above which the vacuum counts as lost [Pa].
    dwell_band
        How far below the set point the lagging sensor may be for the dwell to count [K].
    flow_viscosity
        Viscosity below which resin is counted as flowing [Pa s].
    bagged
        Whether it was under a bag; a free-standing post-cure is not.

    Raises
    ------
    InputError
        When the log has no temperature, or a channel names a section that is not there.
    """
    how = Trust() if trust is None else trust
    _refuse(log, sections)
    parts = _on_part(log, sections)
    drive = driven(log, tuple(sections), lag=oven.lag)
    started = tuple(_started(s, parts, drive) for s in sections)
    drive = replace(drive, sections=tuple(_started(s, parts, drive) for s in drive.sections))
    fit = corrected(drive.sections, drive.airs, resin, parts, spread=spread, trust=how, held=drive.by is DrivenBy.PART)
    of = {s.name: tuple(x.name for x in parts if x.section == s.name) for s in sections}
    places = placed(started, drive, fit, resin, of, trust=how, flow_viscosity=flow_viscosity, dwell_band=dwell_band)
    end = float(log.time[-1])
    around = (*lines_of(log, Sensor.AIR), *parts)
    sensors = tuple(
        sensed(
            x,
            resin,
            _alpha0(x, sections, resin),
            others=tuple(o for o in around if o is not x),
            trust=how,
            end=end,
            flow_viscosity=flow_viscosity,
        )
        for x in parts
    )
    low, high = extremes(parts, places, end)
    course = coursed(drive.mean, low, high, programme, oven, band=dwell_band)
    cure, tg, where = least_cured(sensors, places)
    exotherm, exotherm_time = exotherm_of(parts, places, drive)
    hottest, hottest_at, hottest_time = hottest_of(sensors, places)
    bag = lines_of(log, Sensor.BAG)
    outside = lines_of(log, Sensor.AMBIENT)
    held_down = (
        pressed(
            bag[0],
            tuple(p.history for p in places),
            resin,
            heat_on=course.heat_on or 0.0,
            lost_above=lost_above,
            ambient=outside[0] if outside else ambient,
            needed=needed,
            flow_viscosity=flow_viscosity,
        )
        if bag
        else None
    )
    soft = any(bool(softened(p.history, resin).any()) or p.leading >= resin.gel for p in places)
    state = LoggedState(
        name=log.name,
        end=end,
        resin=resin,
        drive=drive,
        sensors=sensors,
        places=places,
        fit=fit,
        cure=cure,
        tg=tg,
        lagging=where,
        lagging_line=low,
        leading_line=high,
        exotherm=exotherm,
        exotherm_time=exotherm_time,
        hottest=hottest,
        hottest_at=hottest_at,
        hottest_time=hottest_time,
        tool_hottest=tool_hottest_of(sensors, places),
        soft=soft,
        stage=_stage(cure.value, soft, resin, target),
        pressed=held_down,
        course=course,
        noticed=(),
    )
    return replace(
        state,
        noticed=(
            *log.noticed,
            *state_findings(
                sensors=sensors,
                places=places,
                drive=drive,
                fit=fit,
                course=course,
                end=end,
                vacuum=held_down is not None or not bagged,
            ),
        ),
    )


def _refuse(log: CureLog, sections: Sequence[Section]) -> None:
    if not sections:
        raise InputError.one("sections", "", "one section or more is wanted")
    names = [s.name for s in sections]
    wrong = [
        Problem(
            place=f"{log.name}, {c.name}",
            came=f'"{c.section}"',
            wanted="a place of this part is wanted",
            hint=did_you_mean(c.section, names),
        )
        for c in log.channels
        if c.section and c.section not in names
    ]
    if wrong:
        raise InputError(wrong)


def _on_part(log: CureLog, sections: Sequence[Section]) -> tuple[Series, ...]:
    """Return the lines of sensors on part and tool; with a single section all sit at it."""
    lines = lines_of(log, Sensor.PART, Sensor.TOOL)
    if len(sections) == 1:
        return tuple(replace(x, section=sections[0].name) for x in lines)
    return lines


def _started(section: Section, parts: tuple[Series, ...], drive: Drive) -> Section:
    """Return a section that starts as its sensors first read, or the others, or the air."""
    if section.start is not None:
        return section
    own = [x for x in parts if x.section == section.name] or list(parts)
    early = [float(x.values[:3].mean()) for x in own if x.time[0] < 600.0]
    return replace(section, start=float(np.mean(early)) if early else float(drive.mean.values[0]))


def _alpha0(line: Series, sections: Sequence[Section], resin: CureResin) -> float:
    mine = [s for s in sections if s.name == line.section] or list(sections)
    return float(np.mean([s.cure_from(resin.alpha0).mean() for s in mine]))


def _stage(alpha: float, soft: bool, resin: CureResin, target: float) -> Stage:
    if alpha >= max(target, resin.gel):
        return Stage.CURED
    if alpha >= resin.gel:
        return Stage.GELLED
    return Stage.SOFT if soft else Stage.COLD
