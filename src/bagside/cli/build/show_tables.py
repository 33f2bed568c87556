"""One part as tables and lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from bagside.cli.build.words import clock, number_of, plural, span, steps
from bagside.ledger.actual.measured import PointActual, points_of
from bagside.quantity import shown

if TYPE_CHECKING:
    from bagside.ledger.builds.weighed import MassReading
    from bagside.ledger.planned import PlannedStep
    from bagside.ledger.things import Build, Noted, StepDone

Table = tuple[str, list[str], list[list[str]]]


def shown_tables(build: Build) -> Iterator[Table]:
    """Yield title, headers and rows of each table of a part.

    Parameters
    ----------
    build
        The part.
    """
    plan = build.planned
    on = f", on {build.mould}" if build.mould else ""
    yield (
        f"{build.name}: {plan.job}, part {plan.number} of {plan.quantity}{on}, begun {clock(build.born)} by "
        f"{build.begun_by}, revision {plan.revision}",
        ["step", "planned", "took", "started", "finished", "ticked", "who"],
        [_step(build, p, d) for p, d in steps(build)],
    )
    if build.laid:
        yield "Laid", ["ply", "pieces", "films off", "last tick", "by"], list(_plies(build))
    if plan.points and (build.cures or any(p.thickness is not None for p in points_of(build))):
        yield "Thickness", ["", "where", "planned", "measured"], [_point(p) for p in points_of(build)]


def _step(build: Build, planned: PlannedStep, done: StepDone) -> list[str]:
    took = "–"
    if done.started is not None and done.finished is not None:
        took = span((done.finished - done.started).total_seconds())
    if done.attended is not None:
        took += f" ({span(done.attended)} by hand)"
    boxes = f"{len(done.boxes)} of {len(planned.boxes)}" if done.finished is not None and planned.boxes else "–"
    return [
        f"{number_of(build, planned)} {planned.name} ({planned.key})",
        span(planned.attended + planned.unattended),
        took,
        "–" if done.started is None else clock(done.started),
        "–" if done.finished is None else clock(done.finished),
        boxes,
        ", ".join(done.who) or "–",
    ]


def _point(point: PointActual) -> list[str]:
    planned = "–" if point.planned is None else shown(point.planned, "mm", 2)
    if point.planned is not None and point.tolerance is not None:
        planned += f" ± {shown(point.tolerance, 'mm', 2)}"
    measured = "–" if point.thickness is None else shown(point.thickness, "mm", 2)
    return [point.place or "–", point.where or "–", planned, measured]


def _plies(build: Build) -> Iterator[list[str]]:
    for ply in build.planned.plies:
        ticks = [n for n in build.laid if n.what.ply == ply.number]
        if not ticks:
            continue
        last = max(ticks, key=lambda n: n.at)
        yield [
            f"{ply.number} {ply.material}",
            f"{len(ticks)} of {len(ply.pieces)}",
            f"{sum(n.what.films for n in ticks)} of {ply.films * len(ply.pieces)}",
            clock(last.at),
            ", ".join(dict.fromkeys(n.who for n in ticks)),
        ]


def shown_lines(build: Build, masses: Sequence[MassReading]) -> Iterator[str]:
    """Yield what was pressed, read, weighed, cured, passed and conceded, a line each.

    Parameters
    ----------
    build
        The part.
    masses
        Against its plan.
    """
    from bagside.cli.build.history import sentence_of
    from bagside.cli.build.mass_words import cause_lines, mass_line
    from bagside.ledger.bodies import Found

    told: list[Noted[Any]] = [
        *build.debulks, *build.bagged, *build.cures, *build.measured, *build.passed, *build.conceded
    ]  # fmt: skip
    for noted in sorted(told, key=lambda n: n.at):
        if getattr(noted.what, "found", None) is Found.MASS:
            continue
        yield f"{clock(noted.at)}  {sentence_of(noted.what)}  ({noted.who})"
    if build.pulled is not None:
        yield f"{clock(build.pulled.at)}  {sentence_of(build.pulled.what)}  ({build.pulled.who})"
    for reading in masses:
        yield f"{clock(reading.at)}  {mass_line(reading)}"
        yield from (f"    {line}" for line in cause_lines(reading))
    if build.photos:
        yield f"{plural(len(build.photos), 'photo')}: {', '.join(n.what.called for n in build.photos)}"
    if build.closed is not None:
        yield f"{clock(build.closed.at)}  {sentence_of(build.closed.what)}  ({build.closed.who})"
