"""When a build may be closed: scrap any time with a reason; good only when nothing is open."""

from __future__ import annotations

from bagside.errors import Problem, did_you_mean
from bagside.ledger.bodies import Closed
from bagside.ledger.gates.record import gates_on_record, stopping
from bagside.ledger.things import Build

VERDICTS = ("good", "conceded", "scrap")
"""How a build may end."""


def closing_problems(body: Closed, build: Build) -> list[Problem]:
    """Return why a build cannot be closed so.

    Parameters
    ----------
    body
        How it is to end.
    build
        Which.
    """
    place = f"{build.name}, close"
    if body.verdict not in VERDICTS:
        wanted = f"{', '.join(VERDICTS[:-1])} or {VERDICTS[-1]} is wanted"
        return [
            Problem(place=place, came=f'"{body.verdict}"', wanted=wanted, hint=did_you_mean(body.verdict, VERDICTS))
        ]
    if build.closed is not None:
        closed = build.closed
        wanted = f"{closed.who} closed it as {closed.what.verdict} {closed.at:%Y-%m-%d %H:%M} UTC"
        return [Problem(place=place, came=body.verdict, wanted=wanted, hint="correct that event if it was wrong")]
    if body.verdict == "scrap":
        if body.why.strip():
            return []
        return [Problem(place=f"{place}, why", came="", wanted="what the part is scrapped for is wanted")]
    wrong: list[Problem] = []
    left = [s.key for s in build.steps if s.finished is None]
    if left:
        wanted = "these steps are not finished"
        hint = "finish them, or close it as scrap"
        wrong.append(Problem(place=f"{place} as {body.verdict}, steps", came=", ".join(left), wanted=wanted, hint=hint))
    if body.verdict == "good":
        gates = stopping(gates_on_record(build))
        if gates:
            came = "; ".join(f"{g.key} ({g.what})" for g in gates)
            hint = "put them right, let somebody pass them by name, or close it as conceded or scrap"
            wrong.append(Problem(place=f"{place} as good, gates", came=came, wanted="these stop", hint=hint))
    if body.verdict == "conceded" and not build.conceded:
        wanted = "no concession is written down"
        hint = "write one down first: what, why, what it means, who decided"
        wrong.append(Problem(place=f"{place} as conceded", came="", wanted=wanted, hint=hint))
    return wrong
