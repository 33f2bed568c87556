"""What stops a command on a build: gates that do not hold and that nobody has passed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagside.ledger.gates.before import Gate
    from bagside.ledger.planned import PlannedStep
    from bagside.ledger.things import Build
    from bagside.records.desk import Desk


def stopped(here: Desk, meant: Sequence[tuple[Build, PlannedStep]], doing: str, *, json: bool) -> int:
    """Return 1, having said why, when a gate stops a step; else 0.

    Parameters
    ----------
    here
        The desk.
    meant
        Builds and the step each would begin. A step that was begun passed its gates then.
    doing
        What would be done, for the sentence: ``start it``.
    json
        Whether one JSON object is wanted.

    Raises
    ------
    InputError
        When a build is closed.
    """
    for build, _ in meant:
        _refuse_closed(build, here)
    fresh = [(b, s) for b, s in meant if not _begun(b, s.key)]
    if not fresh:
        return 0
    from bagside.cli import show  # what gates rest on takes a while to load, and a step that was begun needs none
    from bagside.cli.build.gate_words import gate_data
    from bagside.ledger.gates.before import gate_findings, gates_before, stopping

    shop, now = here.standing(), here.at.astimezone(UTC)
    found = [(b, s, gates) for b, s in fresh if (gates := stopping(gates_before(b, s.key, shop, now)))]
    if not found:
        return 0
    asked: dict[tuple[str, str], Gate] = {}
    for _, _, gates in found:
        for gate in gates:
            asked.setdefault((gate.key, gate.what), gate)
    findings = gate_findings(asked.values())
    if json:
        show.emit(
            {
                "kept": [],
                "stopped": [
                    {"build": b.name, "step": s.key, "gates": [gate_data(g) for g in gates]} for b, s, gates in found
                ],
                "findings": [show.finding_data(f) for f in findings],
            }
        )
        return 1
    show.show_findings(findings)
    ways = [f"  bagside build pass {b.name} {','.join(g.key for g in gates)} --step {s.key}" for b, s, gates in found]
    show.ERR.print(
        f"Nothing was written. To {doing} all the same, somebody takes it on, with --by NAME --why REASON:",
        *ways,
        sep="\n",
        soft_wrap=True,
        markup=False,
    )
    return 1


def _refuse_closed(build: Build, here: Desk) -> None:
    """Refuse what comes after the end of a build, before anything else is said about it.

    Raises
    ------
    InputError
        When it is closed.
    """
    from bagside.cli.build.words import clock
    from bagside.errors import InputError

    if build.closed is not None and here.at > build.closed.at:
        closed = build.closed
        raise InputError.one(
            "BUILD",
            build.name,
            f"{closed.who} closed it at {clock(closed.at)} as {closed.what.verdict}",
            "correct that first (--history tells its id), or begin another part",
        )


def _begun(build: Build, key: str) -> bool:
    """Return whether a step was begun already, by its start or by what is written down of it."""
    if any(d.key == key and (d.started is not None or d.finished is not None) for d in build.steps):
        return True
    word, _, number = key.partition("-")
    return (
        (word == "ply" and any(str(n.what.ply) == number for n in build.laid))
        or (word == "debulk" and any(str(n.what.after) == number for n in build.debulks))
        or (key == "bag" and bool(build.bagged))
        or (key == "cure" and any(not n.what.post for n in build.cures))
        or (key == "post-cure" and any(n.what.post for n in build.cures))
        or (key == "demould" and build.pulled is not None)
    )
