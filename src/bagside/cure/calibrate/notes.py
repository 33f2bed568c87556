"""What a calibration noticed, as findings."""

from __future__ import annotations

from collections.abc import Iterator

from bagside.cure.calibrate.calibration import Calibration
from bagside.cure.calibrate.told import Told, Value
from bagside.findings import Basis, Finding, Severity
from bagside.quantity import shown

FILM = "W/(m² K)"
POOR = 3.0  # [K] root mean square between a sensor and the model
APART = 3.0  # [K] by which air at a place, or against what was asked for, must be off to be worth a word
TIED = -0.75  # correlation below which only both films together are told
STRANGE = 2.5  # deviations from what was stated


def calibration_findings(c: Calibration) -> tuple[Finding, ...]:
    """Return what a calibration noticed.

    Parameters
    ----------
    c
        The calibration.
    """
    return (*_untold(c), *_strange(c), *_misses(c), *_air(c), *_foreign(c))


def _seen(severity: Severity, place: str, what: str, why: str, do: str, basis: Basis = Basis.MEASURED) -> Finding:
    return Finding(
        severity=severity, stage="cure", place=place, what=what, why=why, do=do, basis=basis, source="the log"
    )


def _untold(c: Calibration) -> Iterator[Finding]:
    for v in (c.film_bag, c.film_tool):
        if v.told is not Told.NOT:
            continue
        best = next((a for a in c.advice if a.sensor), None)
        side = 0 if v is c.film_bag else 1
        do = "add a thermocouple on that side in the next trial"
        if best is not None:
            left = (best.film_bag, best.film_tool)[side]
            do = f"{best.what} would bring it to ± {100 * left:.0f} %"
        yield _seen(
            Severity.WATCH,
            v.name,
            f"the log does not tell it: {v.low:.0f} to {v.high:.0f} {FILM}",
            "what was read follows from both films together"
            if c.correlation < TIED
            else "what was read hardly hangs on it",
            do,
        )


def _strange(c: Calibration) -> Iterator[Finding]:
    for v in (c.film_bag, c.film_tool):
        ratio = v.value / v.before
        if v.told is Told.MEASURED and not 0.3 < ratio < 3.0:
            yield _seen(
                Severity.DECIDE,
                v.name,
                f"{shown(v.value, FILM, 0)} where {shown(v.before, FILM, 0)} were stated",
                "a wrong thickness or material of the mould looks the same in a log as another film",
                "check thickness and material of laminate and mould, and where the thermocouple sat, before it is used",
            )
    if c.rate is not None and c.rate.told is Told.MEASURED and not 0.7 < c.rate.value < 1.4:
        yield _seen(
            Severity.DECIDE,
            c.rate.name,
            f"{c.rate.value:.2f} times the law's",
            "such a batch is not the resin of the law, or its life was used up more than stated",
            "check the resin and its hours out of the freezer",
        )


def _misses(c: Calibration) -> Iterator[Finding]:
    for s in c.sensors:
        if s.rms > POOR:
            yield _seen(
                Severity.DECIDE,
                f"{s.log}, {s.name}",
                f"the model misses it by {shown(s.rms, 'K')} on average, most by {shown(s.worst, 'K', 0)} after "
                f"{shown(s.worst_time, 'min', 0)}",
                "then what is not in the model is taken for a film",
                f"check that it sat {s.where} at {s.at}, that the section is as built, and whether anything reacted",
            )
        if abs(s.offset) > STRANGE:
            yield _seen(
                Severity.WATCH,
                f"{s.log}, {s.name}",
                f"it reads {shown(abs(s.offset), 'K')} too {'high' if s.offset > 0 else 'low'}",
                "judging a dwell by it would be off by as much",
                "check it in ice and in boiling water",
            )


def _air(c: Calibration) -> Iterator[Finding]:
    for p in c.places:
        if abs(p.offset) > max(APART, 2.0 * p.sd):
            yield _seen(
                Severity.WATCH,
                f"{p.log}, {p.place}",
                f"the air there is {shown(abs(p.offset), 'K')} (± {shown(2.0 * p.sd, 'K')}) "
                f"{'hotter' if p.offset > 0 else 'colder'} than the logged air",
                "the part there is as much off when it is hottest",
                "put a thermocouple in the air beside it, or move what blocks the flow",
            )
    o = c.offset
    if o is not None and abs(o.value) > max(APART, o.half):
        yield _seen(
            Severity.WATCH,
            o.name,
            f"{shown(abs(o.value), 'K')} (± {shown(o.half, 'K')}) {'hotter' if o.value > 0 else 'colder'}",
            "every dwell is as much off",
            "check the controller's thermocouple, or ask for as much "
            f"{'less' if o.value > 0 else 'more'} in the programme",
        )
    if c.heating is not None and c.heating.value < 0.95 * c.heating.before:
        yield _slow(c.heating)


def _slow(v: Value) -> Finding:
    return _seen(
        Severity.WATCH,
        v.name,
        f"the oven rises at {shown(v.value, '°C/min', 2)} at most, loaded as it was; {shown(v.before, '°C/min', 2)} "
        "were stated",
        "a faster ramp is late, and its dwell starts late",
        "plan with what it really does",
    )


def _foreign(c: Calibration) -> Iterator[Finding]:
    for name in c.foreign:
        yield _seen(
            Severity.WATCH,
            name,
            "its air did not run the stated programme",
            "lag and limits of the oven are only told against what was asked of it",
            "log the set point as well, or state the programme that was run",
        )
