"""A stated part with pinholes, diagnosed; what nobody wrote down may come from its job's cycle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagside import cure as curing
from bagside.bagging import BED_SHARES, VoidCourse, void_course, void_course_findings
from bagside.bagging import pinholes as causes
from bagside.findings import Finding
from bagside.planning.cure_case import CureCase
from bagside.spec.pinhole_file import PinholeFile


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosed:
    """A part with pinholes, diagnosed.

    Parameters
    ----------
    record
        What the diagnosis knew.
    found
        Causes ranked, and what would tell them apart.
    courses
        Margin against voids of water through the job's cycle at each share of the fibre bed; empty without a job or
        without its vacuum and humidity.
    from_cycle
        Names of what came from the job's cycle.
    findings
        What it noticed.
    """

    record: causes.Record
    found: causes.Diagnosis
    courses: tuple[VoidCourse, ...]
    from_cycle: tuple[str, ...]
    findings: tuple[Finding, ...]


def diagnosed(stated: PinholeFile, place: str, case: CureCase | None = None, *, seed: int = causes.SEED) -> Diagnosed:
    """Return a part with pinholes, diagnosed.

    Parameters
    ----------
    stated
        As written down.
    place
        Where it stands, for messages.
    case
        Of the part's job, whose cycle is simulated.
    seed
        Of the draws for what is not known.

    Raises
    ------
    InputError
        When statements contradict each other, or something cannot have been.
    """
    cycle = cycle_record(case) if case is not None else {}
    record = causes.record_of(stated, place, cycle)
    found = causes.diagnosis(record, seed=seed)
    courses = void_courses(case, record) if case is not None else ()
    return Diagnosed(
        record=record,
        found=found,
        courses=courses,
        from_cycle=tuple(k for k, v in cycle.items() if getattr(record, k) == v),
        findings=(
            *causes.pinhole_findings(found),
            *(void_course_findings(courses, case.places) if case is not None else ()),
        ),
    )


def cycle_record(case: CureCase) -> dict[str, float]:
    """Return what a job's cycle says of a record: by the record's names.

    Parameters
    ----------
    case
        Of the job.

    Notes
    -----
    Hottest before gel anywhere in the laminate, and the least flow anywhere, ∫ dt / viscosity until gel.
    """
    out: dict[str, float] = {}
    for name, value in (("ambient", case.ambient), ("vacuum", case.vacuum), ("humidity", case.humidity)):
        if value is not None:
            out[name] = value
    out["room"] = case.room.temperature
    hottest, least, top = [], [], []
    for h in curing.simulate(case.on_mould, case.resin, case.oven.air(case.programme)):
        liquid = h.alpha < case.resin.gel
        T = h.laminate_temperature
        hottest.append(float(T[liquid].max()))
        top.append(float(h.temperature.max()))
        if case.resin.viscosity is not None:
            flow = np.where(liquid, 1.0 / case.resin.viscosity.at(h.alpha, T), 0.0)
            least.append(float(np.trapezoid(flow, h.time, axis=0).min()))
    out["liquid_hottest"], out["hottest"] = max(hottest), max(top)
    if least:
        out["fluidity"] = min(least)
    return out


def void_courses(case: CureCase, record: causes.Record) -> tuple[VoidCourse, ...]:
    """Return the margin against voids of water through a job's cycle, at each share of the fibre bed.

    Parameters
    ----------
    case
        Of the job.
    record
        Whose vacuum, ambient pressure and humidity count.
    """
    if record.ambient is None or record.vacuum is None or record.humidity is None:
        return ()
    histories = curing.simulate(case.on_mould, case.resin, case.oven.air(case.programme))
    time = histories[0].time
    hottest = np.stack(
        [np.where(h.alpha < case.resin.gel, h.laminate_temperature, 0.0).max(axis=1) for h in histories], axis=1
    )
    gelled = hottest <= 0.0
    return tuple(
        void_course(
            time, np.where(gelled, 293.15, hottest), gelled, record.vacuum, record.ambient, record.humidity, share
        )
        for share in BED_SHARES
    )
