"""What every command on builds says in the same way: when, how long, what is next, what was written down."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from bagside.cli import show
from bagside.findings import Basis, Finding, Severity

if TYPE_CHECKING:
    from bagside.ledger.bodies import Body
    from bagside.ledger.event import Event
    from bagside.ledger.planned import PlannedStep
    from bagside.ledger.things import Build, StepDone
    from bagside.records.desk import Desk



def kept(at: Desk, *bodies: Body, when: datetime | None = None) -> list[Event]:
    """Write what happened into the ledger, all of it or nothing, and return the events.

    Parameters
    ----------
    at
        The desk.
    bodies
        What happened, in order.
    when
        When, if not at the desk's time.

    Raises
    ------
    InputError
        When the ledger refuses it; nothing is kept then.
    """
    events = [at.event(body, when) for body in bodies]
    at.ledger.add(events)
    return events


def again(at: Desk, name: str) -> Build:
    """Return a build as it is now, after something was written down of it.

    Parameters
    ----------
    at
        The desk.
    name
        Its serial number.
    """
    from bagside.ledger.things import Build

    found = at.ledger.thing(name)
    if not isinstance(found, Build):
        raise TypeError(name)
    return found


def answered(
    build: Build,
    said: Sequence[str],
    findings: Iterable[Finding] = (),
    *,
    events: Sequence[Event] = (),
    before: Sequence[Build] = (),
    data: dict[str, Any] | None = None,
    json: bool = False,
    upcoming: bool = True,
) -> int:
    """Say what was written down and what comes next, and return the exit code.

    Parameters
    ----------
    build
        As it is now.
    said
        Sentences.
    findings
        What should be known; one that says stop makes the exit code 1.
    events
        That were written.
    before
        Builds as they were before that: what looks wrong about the events is said.
    data
        More for JSON.
    json
        Whether one JSON object is wanted.
    upcoming
        Whether the next step is said.
    """
    noticed = (*findings, *_looks_wrong(events, before))
    if json:
        show.emit(
            {
                "build": build.name,
                "kept": [event_data(e) for e in events],
                **(data or {}),
                "next": next_data(build),
                "findings": [show.finding_data(f) for f in noticed],
            }
        )
        return show.exit_code(noticed)
    for line in said:
        show.OUT.print(line, soft_wrap=True, markup=False)
    if upcoming:
        show.OUT.print(next_line(build), soft_wrap=True, markup=False)
    show.show_findings(noticed)
    return show.exit_code(noticed)


def _looks_wrong(events: Sequence[Event], before: Sequence[Build]) -> list[Finding]:
    """Return what looks wrong about events that were kept."""
    if not before:
        return []
    from bagside.ledger.builds.build_events import build_after
    from bagside.ledger.builds.build_notes import noticed

    out: list[Finding] = []
    for build in before:
        was: Build = build
        for event in events:
            if was.name in event.subjects:
                out += noticed(event, was)
                was = build_after(was, event, was.name) or was
    return out


def event_data(event: Event) -> dict[str, Any]:
    """Return an event as JSON data.

    Parameters
    ----------
    event
        Any.
    """
    from bagside.ledger.bodies import body_data

    return {
        "id": event.id,
        "kind": event.kind,
        "at": event.at.isoformat(),
        "zone": event.zone,
        "who": event.who,
        "device": event.device,
        "late": event.late,
        "body": body_data(event.body),
    }


def running(build: Build) -> list[tuple[PlannedStep, StepDone]]:
    """Return the steps that were started and are not finished, the last started first.

    Parameters
    ----------
    build
        Any.
    """
    found = [(p, d) for p, d in steps(build) if d.started is not None and d.finished is None]
    return sorted(found, key=lambda pair: pair[1].started or build.born, reverse=True)


def steps(build: Build) -> list[tuple[PlannedStep, StepDone]]:
    """Return each planned step with what happened of it.

    Parameters
    ----------
    build
        Any.
    """
    done = {d.key: d for d in build.steps}
    return [(p, done[p.key]) for p in build.planned.steps]


def next_step(build: Build) -> PlannedStep | None:
    """Return the first step that is not finished; None when all are.

    Parameters
    ----------
    build
        Any.
    """
    return next((p for p, d in steps(build) if d.finished is None), None)


def next_data(build: Build) -> dict[str, Any] | None:
    """Return the next step as JSON data; None when there is none.

    Parameters
    ----------
    build
        Any.
    """
    step = next_step(build) if build.there else None
    if step is None:
        return None
    begun = {p.key: d.started for p, d in running(build)}
    started = begun.get(step.key)
    return {
        "key": step.key,
        "name": step.name,
        "stage": step.stage,
        "number": number_of(build, step),
        "started": None if started is None else started.isoformat(),
    }


def number_of(build: Build, step: PlannedStep) -> int:
    """Return the number of a step, from 1.

    Parameters
    ----------
    build, step
        Its build and itself.
    """
    return 1 + [s.key for s in build.planned.steps].index(step.key)


def next_line(build: Build) -> str:
    """Return what is to be done next, in one line.

    Parameters
    ----------
    build
        Any.
    """
    if build.closed is not None:
        return f"{build.name} is closed: {build.closed.what.verdict}."
    step = next_step(build)
    if step is None:
        return f"Every step is done: bagside build close {build.name}"
    number = number_of(build, step)
    going = next((d for p, d in running(build) if p.key == step.key), None)
    if going is not None and going.started is not None:
        return f"Running since {clock(going.started)}: {number} {step.name} ({step.key})"
    return f"Next: {number} {step.name} ({step.key})"


def clock(at: datetime) -> str:
    """Return a moment as this machine's clock shows it, with its day when that is not today.

    Parameters
    ----------
    at
        With its zone.
    """
    here = at.astimezone()
    return here.strftime("%H:%M") if here.date() == datetime.now().astimezone().date() else here.strftime("%d %b %H:%M")


def span(seconds: float) -> str:
    """Return a time as people say it.

    Parameters
    ----------
    seconds
        From zero up [s].

    Examples
    --------
    >>> span(12840.0)
    '3 h 34'
    >>> span(90.0)
    '2 min'
    """
    minutes = round(seconds / 60.0)
    if seconds < 50.0:
        return f"{seconds:.0f} s"
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    return f"{hours} h {minutes:02d}" if minutes else f"{hours} h"


def seen(place: str, what: str, why: str, do: str, severity: Severity = Severity.WATCH) -> Finding:
    """Return a finding of a command on builds, by common practice.

    Parameters
    ----------
    place, what, why, do, severity
        See `Finding`.
    """
    return Finding(
        severity=severity, stage="build", place=place, what=what, why=why, do=do, basis=Basis.COMMON, source=""
    )


def plural(count: int, word: str, many: str = "") -> str:
    """Return a count with its word.

    Parameters
    ----------
    count
        How many.
    word, many
        For one, and for more when an s does not make it.

    Examples
    --------
    >>> plural(2, "film")
    '2 films'
    """
    return f"{count} {word if count == 1 else many or word + 's'}"
