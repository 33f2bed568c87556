"""What a person should know about a log before believing what was made of it."""

from __future__ import annotations

from bagside.cure.judging.course import Course
from bagside.cure.judging.driven import Drive, DrivenBy
from bagside.cure.judging.followed import Fit
from bagside.cure.judging.places import PlaceState
from bagside.cure.judging.sensed import SensorState
from bagside.cure.log import Sensor
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

MISSES = 2.0
"""Misfit of the model from which its films and sections are in doubt [K]."""

GAPS_TELL = 0.01
"""Degree of cure that gaps may have moved from which they are told."""

BEGINS_HOT = 318.15
"""Temperature of the part above which a log does not begin at the beginning [K]: resin softens there."""


def _note(severity: Severity, place: str, what: str, why: str, do: str, basis: Basis = Basis.MEASURED) -> Finding:
    return Finding(severity=severity, stage="cure", place=place, what=what, why=why, do=do, basis=basis)


def state_findings(
    *,
    sensors: tuple[SensorState, ...],
    places: tuple[PlaceState, ...],
    drive: Drive,
    fit: Fit,
    course: Course,
    end: float,
    vacuum: bool,
) -> tuple[Finding, ...]:
    """Return what a person should know about a log.

    Parameters
    ----------
    sensors, places, drive, fit, course
        What was made of it.
    end
        Its last time [s].
    vacuum
        Whether it has the pressure in the bag.
    """
    found = [*_sources(sensors, drive, vacuum), *_each(sensors, end)]
    if drive.mean.gaps:
        a, b = max(drive.mean.gaps, key=lambda g: g[1] - g[0])
        found.append(
            _note(
                Severity.WATCH,
                "log",
                f"no reading of the {drive.by.value} from {shown(a, 'min', 0)} to {shown(b, 'min', 0)}",
                "it is bridged by a straight line; a power cut meanwhile would not be seen",
                "how far it can have gone is in the range given; ask whoever was there",
            )
        )
    for name, miss in fit.misses.items():
        if miss > MISSES:
            found.append(
                _note(
                    Severity.WATCH,
                    name,
                    f"the model misses it by {shown(miss, 'K')} on average, whatever films and air are given",
                    "the sensor is elsewhere than stated, fell off, or the section is not as stated",
                    "check where it sat and which laminate and mould thickness are there; its own readings are kept",
                )
            )
    for one, other in fit.swapped:
        found.append(
            _note(
                Severity.DECIDE,
                f"{one}, {other}",
                "they fit far better at each other's place: most probably they are swapped",
                "the one that should lag leads, and the other way round; dwell and cure of both places hang on it",
                "follow the wires; then give the log again with the places the other way round",
            )
        )
    for name, error in fit.errors.items():
        if abs(error) > 3.0:
            found.append(
                _note(
                    Severity.WATCH,
                    name,
                    f"it most probably reads {shown(abs(error), 'K')} too {'high' if error > 0 else 'low'}",
                    "it differs from what air and films explain all through the cure",
                    "check it in ice and in boiling water before the next cure",
                    Basis.COMMON,
                )
            )
    if course.heat_on is None:
        found.append(
            _note(
                Severity.SEEN,
                "programme",
                "heating has not begun",
                "the air has not risen yet",
                "no need to do anything",
            )
        )
    first = [float(p.history.laminate_temperature[0].max()) for p in places]
    if max(first) > BEGINS_HOT:
        found.append(
            _note(
                Severity.DECIDE,
                "start of the log",
                f"the part is at {shown(max(first), '°C', 0)} when the log begins",
                "what the resin went through before is not in it; the degree of cure is too low by that",
                "give the log from the start, or state the degree of cure it began with",
            )
        )
    return tuple(found)


def _sources(sensors: tuple[SensorState, ...], drive: Drive, vacuum: bool) -> list[Finding]:
    found = []
    if not any(s.sensor is Sensor.PART for s in sensors):
        tool = " and the mould's thermocouples" if any(s.section for s in sensors) else " alone"
        found.append(
            _note(
                Severity.DECIDE,
                "sensors",
                f"no thermocouple on the part was logged; the part is computed from the {drive.by.value}{tool}",
                "mould and laminate lag behind the air by what films and thicknesses are, and nothing here checks it",
                "put one at the thickest place next time; until then the range below is wide",
            )
        )
    homeless = [s.name for s in sensors if not s.section]
    if homeless:
        found.append(
            _note(
                Severity.WATCH,
                ", ".join(homeless),
                "it is not stated at which place of the part it sat",
                "it is judged by its own readings, but what is computed for the places is not corrected by it",
                "say where it sat; then ranges get narrower",
            )
        )
    if drive.by is DrivenBy.PART:
        found.append(
            _note(
                Severity.WATCH,
                "sensors",
                "no thermocouple in the air was logged; every section is taken to be as hot as the part's sensors",
                "places without a sensor may lag more",
                "log the air as well",
            )
        )
    if drive.by is DrivenBy.SET:
        found.append(
            _note(
                Severity.WATCH,
                "sensors",
                "the air was not logged; it is taken to follow the set point with the oven's stated lag",
                "an oven that cannot follow is not seen",
                "log the air as well",
            )
        )
    if not vacuum:
        found.append(
            _note(
                Severity.DECIDE,
                "bag",
                "the pressure in the bag was not logged",
                "whether vacuum held until gel is not known, and it decides about voids",
                "read the gauge and write it down, or log it",
            )
        )
    return found


def _each(sensors: tuple[SensorState, ...], end: float) -> list[Finding]:
    found = []
    for s in sensors:
        if s.lost:
            found.append(
                _note(
                    Severity.DECIDE,
                    s.name,
                    f"no reading after {shown(s.until, 'min', 0)}; the log goes on to {shown(end, 'min', 0)}",
                    "from there the place is computed from the air, as it followed it before",
                    "check plug and wire, when that can be done without opening a hot oven",
                )
            )
        if s.from_gaps > GAPS_TELL:
            a, b = s.gaps[0]
            found.append(
                _note(
                    Severity.WATCH,
                    s.name,
                    f"gaps of up to {shown(b - a, 'min', 0)} leave {shown(s.from_gaps, '%', 1)} of cure open",
                    "they are bridged by straight lines; how far the part can have left them was bounded",
                    "it is in the range given",
                )
            )
    return found
