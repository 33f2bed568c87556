"""``bagside build finish BUILD [STEP]``: a step is done, its boxes ticked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from bagside.cli.build import given
from bagside.cli.desk import At, Folder, Late, Who
from bagside.cli.options import AsJson

if TYPE_CHECKING:
    from bagside.findings import Finding
    from bagside.ledger.planned import PlannedStep
    from bagside.ledger.things import Build


def finish(
    build: given.Serials,
    step: given.AStep = "",
    tick: Annotated[str, typer.Option(help='Boxes that are ticked: "all", or their numbers, as in "1,3".')] = "",
    attended: Annotated[
        str, typer.Option(help='Hands-on time, when it was not from start to finish, as in "25 min".')
    ] = "",
    note: Annotated[str, typer.Option(help="Whatever should be remembered.")] = "",
    workshop: Folder = None,
    who: Who = "",
    at: At = "",
    late: Late = False,
    json: AsJson = False,
) -> int:
    """Finish a step and tick its boxes; the next step is shown."""
    from bagside.cli.build import words
    from bagside.cli.build.found import builds_called, step_called
    from bagside.cli.build.gated import stopped
    from bagside.cli.desk import desk
    from bagside.cli.options import not_negative
    from bagside.errors import InputError
    from bagside.findings import Severity
    from bagside.ledger.bodies import Finished
    from bagside.quantity import Quantity

    hands_on = not_negative(attended, Quantity.TIME, "--attended") if attended else None
    with desk(workshop, who, at, late=late) as here:
        meant: list[tuple[Build, PlannedStep]] = []
        for found in builds_called(here.ledger, build):
            planned = step_called(found, step) if step else _in_hand(found)
            if planned is None:
                raise InputError.one("STEP", "", f"every step of {found.name} is done")
            meant.append((found, planned))
        bodies = [
            Finished(build=b.name, step=s.key, boxes=ticked(s, tick), attended=hands_on, note=note) for b, s in meant
        ]
        for (b, s), body in zip(meant, bodies, strict=True):
            open_ = [f'{n} "{box}"' for n, box in enumerate(s.boxes, 1) if n - 1 not in body.boxes]
            if open_ and not note.strip():
                raise InputError.one(
                    "--tick",
                    "",
                    f"{b.name}, {s.key}: not ticked yet: {', '.join(open_)}",
                    "--tick all when all of it is done, or say in a --note why not",
                )
        code = stopped(here, meant, "finish", json=json)
        if code:
            return code
        events = words.kept(here, *bodies)
        first, planned = meant[0]
        now = words.again(here, first.name)
    names = ", ".join(b.name for b, _ in meant)
    left = [s for n, s in enumerate(planned.boxes) if n not in bodies[0].boxes]
    done = next(d for d in now.steps if d.key == planned.key)
    took = "" if done.started is None else f", {words.span((events[0].at - done.started).total_seconds())}"
    planned_time = words.span(planned.attended + planned.unattended)
    findings = []
    if left:
        findings.append(
            words.seen(
                f"{names}, {planned.key}",
                f"{words.plural(len(left), 'box was', 'boxes were')} not ticked: {'; '.join(left)}",
                f"as noted: {note}",
                "nothing, if the note says enough for whoever reads it in a year",
                Severity.SEEN,
            )
        )
    findings += [f for b, s in meant for f in unticked(b, s)]
    number = words.number_of(first, planned)
    said = [f"{names}: {number} {planned.name} – done{took} (planned {planned_time})."]
    return words.answered(now, said, findings, events=events, before=[b for b, _ in meant], json=json)


def unticked(build: Build, step: PlannedStep) -> list[Finding]:
    """Return what a step of laying lacks that the next one will ask for: ticks of pieces, films, time under vacuum.

    Parameters
    ----------
    build
        As it is now.
    step
        That was finished.
    """
    from bagside.cli.build import words
    from bagside.ledger.gates.lay import debulked, films_off
    from bagside.ledger.gates.record import number_of

    number = number_of(step.key)
    gate = None
    if step.key.startswith("ply-"):
        gate = films_off(build, step.key, number, number - 1)
    elif step.key.startswith("debulk-"):
        gate = debulked(build, step.key, number, number - 1)
    if gate is None or gate.holds:
        return []
    way = f"bagside build lay {build.name} {number} --films N"
    if gate.holds is False:
        way = f"bagside build show {build.name} --history tells which tick, bagside build correct puts it right"
    if step.key.startswith("debulk-"):
        way = f'bagside build debulk {build.name} --time "…" --vacuum "…"'
    return [words.seen(f"{build.name}, {step.key}", gate.what, gate.why, f"{gate.do}: {way}")]


def _in_hand(build: Build) -> PlannedStep | None:
    """Return the step that is running, else the next one.

    Raises
    ------
    InputError
        When several are running.
    """
    from bagside.cli.build import words
    from bagside.cli.build.found import listed
    from bagside.errors import InputError

    going = words.running(build)
    if len(going) > 1:
        raise InputError.one("STEP", "", f"{listed([p.key for p, _ in going])} are running; name the one that is done")
    return going[0][0] if going else words.next_step(build)


def ticked(step: PlannedStep, text: str) -> tuple[int, ...]:
    """Return the boxes that are ticked, counted from 0.

    Parameters
    ----------
    step
        Whose boxes.
    text
        ``all``, or numbers from 1 with commas; nothing ticks none.

    Raises
    ------
    InputError
        When a number is not one of the step's boxes.
    """
    from bagside.errors import InputError

    count = len(step.boxes)
    if text.strip().casefold() == "all":
        return tuple(range(count))
    numbers = []
    for word in text.replace(",", " ").split():
        if not word.isdigit() or not 1 <= int(word) <= count:
            wanted = f'this step has boxes 1 to {count}: "all" or numbers are wanted, as in "1,3"'
            raise InputError.one("--tick", f'"{word}"', wanted if count else "this step has no boxes to tick")
        numbers.append(int(word) - 1)
    return tuple(sorted(set(numbers)))
