"""What a logger in a freezer, a fridge or a room wrote, as the ledger keeps it: hours that are never kinder.

The file is read as a log of a cure is, with the same questions and the same options. What is asked besides is where and
when: which column is the freezer, which zone its clock is in, and when a log without dates began.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bagside.cure import Channel, CureLog, Sensor
from bagside.cure.log import without_gaps
from bagside.errors import InputError
from bagside.findings import Basis, Finding, Severity
from bagside.ledger.bodies import Logged
from bagside.ledger.clocks.mean_kinetic import mean_kinetic_temperature, thinned
from bagside.quantity import shown
from bagside.records.logger import Jumps, LoggerOptions, Understood, understood
from bagside.records.logger.gaps import gaps

Floats = NDArray[np.float64]

HEAT = (Sensor.AIR, Sensor.PART, Sensor.TOOL, Sensor.UNKNOWN)
"""Sensors that may be the freezer's."""
COLD = 278.15
"""A place whose middle reading is below this is a cold one [K]."""
SETTLED, CARRIED = 3.0, 8.0
"""A logger is at its place's temperature within the first of these of its middle reading; begun above the second it was
somewhere else before [K]: common practice."""
READ_OUT = 6 * 3600.0
"""Longest that reading a logger out keeps it from its place [s]."""
OF_CURES = "only sensors of the cure are read"


@dataclass(frozen=True, slots=True, kw_only=True)
class FreezerLog:
    """A log of a place, ready for the ledger.

    Parameters
    ----------
    body
        What is kept; its times count from `at`.
    at
        First reading [UTC].
    last
        Last reading [UTC].
    readings
        How many the file holds; the body holds hours.
    coldest, warmest, mean_kinetic
        Of the readings [K].
    noticed
        What reading it noticed: gaps, a clock that was changed, a logger that was carried about.
    """

    body: Logged
    at: datetime
    last: datetime
    readings: int
    coldest: float
    warmest: float
    mean_kinetic: float
    noticed: tuple[Finding, ...]


def logged_body(
    path: Path,
    place: str,
    options: LoggerOptions | None = None,
    *,
    zone: tzinfo | None = None,
    channel: str = "",
    begins: datetime | None = None,
    since: datetime | None = None,
    until: datetime | None = None,
) -> FreezerLog:
    """Return a logger's file as the body of an event, with the time of the event.

    Parameters
    ----------
    path
        CSV, TSV, other text, or an .xlsx workbook.
    place
        Name of the place it lay in.
    options
        What a person settles about the file; see `bagside.records.logger.LoggerOptions`.
    zone
        Of the logger's clock; this machine's when not stated. A file that tells its own zone keeps it.
    channel
        Name of the column that was in the place, when there are several.
    begins
        When the first reading was made, for a log that tells no day; a time without a zone is in `zone`.
    since, until
        Readings before and after are left out.

    Raises
    ------
    InputError
        With every question that only a person can answer; when the clock jumps back and it is not stated what that
        means; when the file cannot be read or no reading is left.
    """
    found = _read(path, options or LoggerOptions())
    log = found.log
    sensor = _sensor(log, channel, path.name)
    time, value = without_gaps(log, sensor)
    if len(time) < 2:
        raise InputError.one(f"{path.name}, {sensor.name}", f"{len(time)} readings", "two or more are wanted")
    start = _start(found, path.name, zone, begins)
    kept = np.ones(len(time), bool)
    if since is not None:
        kept &= time >= (since - start).total_seconds()
    if until is not None:
        kept &= time <= (until - start).total_seconds()
    if kept.sum() < 2:
        when = f"{_clock(start)} to {_clock(start + timedelta(seconds=float(time[-1])))}"
        raise InputError.one(path.name, when, "two readings or more within the times stated are wanted")
    time, value = time[kept], value[kept]
    start += timedelta(seconds=float(time[0]))
    time = time - time[0]
    pauses = [(float(time[k]), float(time[k + 1])) for k in gaps(time).tolist()]
    hours, levels = thinned(time, value, pauses)
    body = Logged(
        place=place,
        file=hashlib.sha256(path.read_bytes()).hexdigest(),
        called=path.name,
        times=tuple(hours.tolist()),
        temperatures=tuple((np.ceil(1e4 * levels - 1e-6) / 1e4).tolist()),  # short numbers, never colder
        gaps=tuple(pauses),
    )
    noticed = [replace(f, stage="stock") for f in log.noticed if f.why != OF_CURES]
    noticed += [*_carried(time, value, place, path.name), *_summer(found, start, float(time[-1]), zone, path.name)]
    return FreezerLog(
        body=body,
        at=start,
        last=start + timedelta(seconds=float(time[-1])),
        readings=len(time),
        coldest=float(value.min()),
        warmest=float(value.max()),
        mean_kinetic=mean_kinetic_temperature(value, np.gradient(time)),
        noticed=tuple(noticed),
    )


def _read(path: Path, options: LoggerOptions) -> Understood:
    """Return what a file holds; where its days are told, a pause of more than a day is one."""
    try:
        return understood(path, options)
    except InputError as asked:
        if options.jumps is not None:
            raise
        try:
            kept = understood(path, replace(options, jumps=Jumps.KEEP))
        except InputError:
            raise asked from None
        if not kept.form.time.dated or kept.form.time.half is not None:
            raise
        return kept


def _sensor(log: CureLog, wanted: str, name: str) -> Channel:
    """Return the column that was in the place."""
    there = [c for c in log.channels if c.sensor in HEAT]
    names = [c.name for c in there]
    if wanted:
        chosen = [c for c in there if c.name == wanted]
        if not chosen:
            raise InputError.one("--channel", f'"{wanted}"', f"{name} has no temperature of this name", _known(names))
        return chosen[0]
    if not there:
        raise InputError.one(
            name,
            ", ".join(c.name for c in log.channels),
            "none of these is the temperature of a place; say which column is, as in "
            f'--column "{log.channels[0].name}=air"',
        )
    if len(there) > 1:
        raise InputError.one(
            name, ", ".join(names), "these are several temperatures; say which one was in it", f'--channel "{names[0]}"'
        )
    return there[0]


def _known(names: list[str]) -> str:
    return "there are " + ", ".join(f'"{n}"' for n in names) if names else ""


def _start(found: Understood, name: str, zone: tzinfo | None, begins: datetime | None) -> datetime:
    """Return when the first reading was made [UTC]."""
    told = found.log.started
    if begins is not None:
        return _utc(begins, zone, name) if begins.tzinfo is None else begins.astimezone(UTC)
    if told is None:
        raise InputError.one(
            name, "", "it does not tell on which day it began; say when the first reading was made",
            '--begins "2026-11-02 08:00"',
        )  # fmt: skip
    own = found.form.time.zone
    if own is not None and found.form.time.dated:
        return (told - timedelta(seconds=own)).replace(tzinfo=UTC)
    return _utc(told, zone, name)


def _offset(naive: datetime, zone: tzinfo | None, fold: int) -> timedelta:
    """Return how far a clock is ahead of Greenwich; this machine's when no zone is given."""
    there = naive.replace(fold=fold)
    there = there.astimezone() if zone is None else there.replace(tzinfo=zone)
    return there.utcoffset() or timedelta(0)


def _utc(naive: datetime, zone: tzinfo | None, name: str) -> datetime:
    """Return a moment of a clock; refused where summer time makes two of it, or none."""
    first, second = (_offset(naive, zone, fold) for fold in (0, 1))
    if first != second:
        twice = first > second
        raise InputError.one(
            f"{name}, first reading",
            f"{naive:%Y-%m-%d %H:%M}",
            "this hour is there twice, as summer time ends in it; say which"
            if twice
            else "this hour is not there, as summer time begins in it: the logger keeps winter time; say its zone",
            f"--zone {_zone(first)} or {_zone(second)}" if twice else f"--zone {_zone(first)}",
        )
    return (naive - first).replace(tzinfo=UTC)


def _zone(offset: timedelta) -> str:
    minutes = round(offset.total_seconds() / 60)
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def _carried(time: Floats, value: Floats, place: str, name: str) -> list[Finding]:
    """Return that a logger was somewhere warm when it was begun or read out."""
    middle = float(np.median(value))
    if middle >= COLD:
        return []
    found = []
    for word, option, t, v in (
        ("begins", "--from", time, value),
        ("ends", "--until", time[-1] - time[::-1], value[::-1]),
    ):
        settled = int(np.argmax(v <= middle + SETTLED))
        if not settled or t[settled] > READ_OUT or float(v[:settled].max()) < middle + CARRIED:
            continue
        found.append(
            Finding(
                severity=Severity.WATCH,
                stage="stock",
                place=f"{name}, {place}",
                what=f"the log {word} at {shown(float(v[0]), '°C', 0)} and is settled at {shown(middle, '°C', 0)} only "
                f"{t[settled] / 60:.0f} min {'later' if word == 'begins' else 'before'}",
                why="when the logger was begun or read out in the room, what it saw there is not the freezer's, and "
                "is counted all the same",
                do=f"leave those readings out ({option}), unless the freezer was as warm as that",
                basis=Basis.COMMON,
            )
        )
    return found


def _summer(found: Understood, start: datetime, lasts: float, zone: tzinfo | None, name: str) -> list[Finding]:
    """Return that the clock was not changed with the country's."""
    time = found.form.time
    if time.zone is not None or not time.dated or any("an hour" in f.what for f in found.log.noticed):
        return []

    def ahead(moment: datetime) -> timedelta:
        return (moment.astimezone() if zone is None else moment.astimezone(zone)).utcoffset() or timedelta(0)

    end = start + timedelta(seconds=lasts)
    if ahead(start) == ahead(end):
        return []
    return [
        Finding(
            severity=Severity.SEEN,
            stage="stock",
            place=name,
            what="its clock did not go along when summer time began or ended meanwhile",
            why="its later times stand an hour off the clock on the wall",
            do="nothing: the first reading's hour counts, and the time passed since then",
            basis=Basis.MEASURED,
        )
    ]


def _clock(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M} UTC"
