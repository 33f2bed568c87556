"""A judged log written to the parts that were in the oven: which parts those may be, and what is kept of it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bagside.errors import InputError
from bagside.ledger.bodies import Cured, Passed, Sort
from bagside.ledger.builds.as_planned import revision_of
from bagside.ledger.gates.before import gates_before, stopping
from bagside.ledger.things import Build
from bagside.records.attachments import Attachments
from bagside.records.desk import Desk, desk
from bagside.records.with_stock import opened_job
from bagside.web.work.child import Teller
from bagside.web.work.cure_log import LogJudged

LATE = timedelta(minutes=10)
"""A logger's clock may be ahead of this machine's by so much."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBuild:
    """A part of a job that is being made.

    Parameters
    ----------
    name
        Its serial number.
    born
        When it was begun.
    waits
        Whether this cure is what comes next.
    cured
        Whether one is written down already.
    """

    name: str
    born: datetime
    waits: bool
    cured: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBuilds:
    """The open parts of a job.

    Parameters
    ----------
    kept
        Whether the workshop keeps records at all.
    builds
        Oldest first.
    """

    kept: bool
    builds: tuple[OpenBuild, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """What was written down.

    Parameters
    ----------
    builds
        Serial numbers.
    at
        When heat came on.
    moved_on
        Those that were begun from another state of the job's files: the log is judged by the job as it is now.
    """

    builds: tuple[str, ...]
    at: datetime
    moved_on: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What a gate holds back: nothing was written.

    Parameters
    ----------
    gates
        That stop, of each part.
    """

    gates: tuple[HeldGate, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldGate:
    """A gate that stops.

    Parameters
    ----------
    build, key
        Of which part; by which the gate is called.
    what, why, do
        As the gate says them.
    """

    build: str
    key: str
    what: str
    why: str
    do: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """Somebody takes it on that gates do not hold.

    Parameters
    ----------
    gates
        Part and key of each that they have seen; no other is passed.
    by, why
        Their name and their reason.
    """

    gates: frozenset[tuple[str, str]]
    by: str
    why: str


def open_builds(tell: Teller, folder: Path, job: tuple[str, ...], post: bool) -> OpenBuilds:
    """Return the open parts of a job.

    Parameters
    ----------
    tell
        Hears nothing.
    folder
        Of the workshop.
    job
        What its plan or its folder is called.
    post
        Whether it is asked for the post-cure.
    """
    try:
        with desk(folder, "bagside", "desk") as here:
            found = _open(here, job)
    except InputError:
        return OpenBuilds(kept=False, builds=())
    key = _key(post)
    return OpenBuilds(
        kept=True,
        builds=tuple(
            OpenBuild(
                name=b.name,
                born=b.born,
                waits=b.next_step == key,
                cured=any(c.what.post is post for c in b.cures),
            )
            for b in found
        ),
    )


def _open(here: Desk, job: tuple[str, ...]) -> list[Build]:
    things = here.ledger.things(Sort.BUILD, there=True).values()
    found = [b for b in things if isinstance(b, Build) and b.planned.job in job]
    return sorted(found, key=lambda b: b.born)


def _key(post: bool) -> str:
    return "post-cure" if post else "cure"


def accept_log(
    tell: Teller,
    folder: Path,
    who: str,
    device: str,
    job: Path,
    names: tuple[str, ...],
    path: Path,
    log: LogJudged,
    at: datetime | None,
    passing: Passing | None = None,
) -> Accepted | Held:
    """Write a judged log to the parts that were in the oven: all of it, or nothing.

    Parameters
    ----------
    tell
        Hears nothing.
    folder
        Of the workshop.
    who, device
        Write it down.
    job
        Its file.
    names
        Serial numbers of the parts.
    path
        The logger's file.
    log
        Judged.
    at
        When heat came on; by the log's clock when None.
    passing
        Who takes on which gates, that are then passed on the record together with the log.

    Returns
    -------
    Accepted or Held
        The latter when a gate stops that nobody has passed; nothing is written then.

    Raises
    ------
    InputError
        When no part is named, one is closed, a name or a reason is missing, the log is kept already, or its clock
        cannot be right.
    OutputError
        When it cannot be written.
    """
    if not names:
        raise InputError.one("parts", "", "say which parts were in the oven")
    with desk(folder, who, device) as here:
        builds = [_build(here, name) for name in names]
        now = datetime.now(UTC).astimezone()
        begins = heat_on_at(log, at)
        _refuse_time(begins, builds, now, log.name)
        _refuse_twice(builds, path, log.post)
        held = _held(here, builds, log.post, now)
        passed = _passed(held, passing, _key(log.post))
        if len(passed) < len(held):
            return Held(gates=held)
        digest = Attachments(here.folder).put(path, log.name)
        events = [here.event(body) for body in passed]
        here.ledger.add([*events, here.event(_body(builds, digest, log), begins, late=True)])
    revision = revision_of(opened_job(job, folder / "workshop.toml").inputs)
    return Accepted(
        builds=tuple(b.name for b in builds),
        at=begins,
        moved_on=tuple(b.name for b in builds if b.planned.revision != revision),
    )


def heat_on_at(log: LogJudged, stated: datetime | None = None) -> datetime:
    """Return when heat came on.

    Parameters
    ----------
    log
        With its clock.
    stated
        By a person; counts before the log's clock.

    Raises
    ------
    InputError
        When neither tells it.
    """
    if stated is not None:
        return stated.astimezone()
    if log.started is None:
        raise InputError.one("heat on", "", "the log tells no clock time; say when heat came on")
    first = log.started if log.started.tzinfo is not None else log.started.astimezone()  # summer time of its own day
    return first + timedelta(seconds=log.heat_on)


def _build(here: Desk, name: str) -> Build:
    found = here.ledger.thing(name)
    if not isinstance(found, Build):
        raise InputError.one("parts", f'"{name}"', "there is no build of this name")
    if found.closed is not None:
        raise InputError.one("parts", name, f"{found.closed.who} closed it already", "correct that first")
    return found


def _refuse_time(at: datetime, builds: Sequence[Build], now: datetime, name: str) -> None:
    born = max(b.born for b in builds)
    if not born <= at <= now + LATE:
        what = "before the part was begun" if at < born else "and that is still to come"
        raise InputError.one(
            "heat on", f"{at:%Y-%m-%d %H:%M}", f"heat came on then, {what}",
            f"the clock of {name} is wrong, or it is another log: say when heat came on",
        )  # fmt: skip


def _refuse_twice(builds: Sequence[Build], path: Path, post: bool) -> None:
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    for build in builds:
        for noted in build.cures:
            if noted.what.file == digest and noted.what.post is post:
                raise InputError.one(
                    "log", path.name, f"{noted.who} kept it already as a cure of {build.name}",
                    "to judge it anew, take that back first",
                )  # fmt: skip


def _held(here: Desk, builds: Sequence[Build], post: bool, now: datetime) -> tuple[HeldGate, ...]:
    """Return what gates stop; a step that was begun passed its gates then."""
    key, shop = _key(post), None
    held: list[HeldGate] = []
    for build in builds:
        begun = any(s.key == key and (s.started or s.finished) for s in build.steps)
        if begun or any(c.what.post is post for c in build.cures) or all(s.key != key for s in build.planned.steps):
            continue
        shop = shop or here.standing()
        held += [
            HeldGate(build=build.name, key=gate.key, what=gate.what, why=gate.why, do=gate.do)
            for gate in stopping(gates_before(build, key, shop, now.astimezone(UTC)))
        ]
    return tuple(held)


def _passed(held: Sequence[HeldGate], passing: Passing | None, step: str) -> list[Passed]:
    """Return what is written down of the gates that somebody takes on."""
    if passing is None or not held:
        return []
    by, why = passing.by.strip(), passing.why.strip()
    if not by or not why:
        raise InputError.one("gate", "", "the name of who takes it on, and their reason in a sentence, are wanted")
    return [
        Passed(build=gate.build, gate=gate.key, step=step, by=by, why=why)
        for gate in held
        if (gate.build, gate.key) in passing.gates
    ]


def _body(builds: Sequence[Build], digest: str, log: LogJudged) -> Cured:
    values = log.values
    bag = tuple(dict.fromkeys(i for b in builds if b.bagged for i in b.bagged[-1].what.items))
    moulds = tuple(dict.fromkeys(b.mould for b in builds if b.mould))
    many = ("column", "at", "unit", "pressure")
    return Cured(
        builds=tuple(b.name for b in builds),
        post=log.post,
        file=digest,
        called=log.name,
        settled={
            name: tuple(p.strip() for p in text.split(";") if p.strip()) if name in many else text
            for name, text in log.settled.items()
        },
        seconds=log.end - log.heat_on,
        programme=log.programme,
        verdict=log.verdict,
        reasons=log.reasons,
        cure=min(max(values["cure"][1], 0.0), 1.0),
        tg=values["tg"][1],
        hottest_part=values["laminate"][0],
        hottest_tool=None if log.post or "tool" not in values else values["tool"][0],
        pressure=values["bag"][0] if "bag" in values else None,
        bag=() if log.post else bag,
        moulds=() if log.post else moulds,
    )
