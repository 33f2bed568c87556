"""Gates of the cure: judged good, on the mould and off it, and cool before the part is pulled."""

from __future__ import annotations

from datetime import timedelta

from bagside.findings import Basis
from bagside.ledger.bodies import Cured, Found
from bagside.ledger.gates.gate import Gate
from bagside.ledger.things import Build
from bagside.quantity import shown

HOLDS = ("good", "good with a note")
"""Verdicts with which the part goes on; see `bagside.cure.judging.Verdict`."""


def cured(build: Build, step: str, *, post: bool) -> Gate | None:
    """Return whether the last cure was judged good; nothing for a post-cure that is not planned and was not run.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    post
        Whether the post-cure is asked for, else the cure on the mould.

    Notes
    -----
    The verdict is that of the log: every place at its temperature for its time, by its lagging thermocouple. A cure
    without a log is not judged, and stops.
    """
    runs = [c.what for c in build.cures if c.what.post is post]
    if post and not runs and all(s.key != "post-cure" for s in build.planned.steps):
        return None
    key = "post-cured" if post else "cured"
    word = "post-cure" if post else "cure"
    why = "a part that is cured too little creeps, prints through and may not be used"
    if not runs or not runs[-1].verdict:
        what = f"no {word} is written down" if not runs else f"the {word} has no log that was judged"
        return Gate(
            key=key, step=step, holds=None, what=what, why=why, do=f"write the {word} down with its log",
            basis=Basis.MEASURED,
        )  # fmt: skip
    run = runs[-1]
    reasons = f": {run.reasons[0]}" if run.reasons and run.verdict != HOLDS[0] else ""
    return Gate(
        key=key, step=step, holds=run.verdict in HOLDS, what=f"{run.verdict}{_numbers(run, build)}{reasons}", why=why,
        do=f"do what the verdict of the {word} asks for, and write that down as one more {word}", basis=Basis.MEASURED,
        source=f"log {run.called}" if run.called else "",
    )  # fmt: skip


def cool(build: Build, step: str) -> Gate | None:
    """Return whether the part is cool enough to pull, read since the cure ended; nothing when the plan has no limit.

    Parameters
    ----------
    build
        Which.
    step
        Before which.
    """
    limit = build.planned.demould
    if limit is None:
        return None
    ends = [c.at + timedelta(seconds=c.what.seconds) for c in build.cures if not c.what.post]
    since = max(ends, default=None)
    read = [m for m in build.measured if m.what.found is Found.DEMOULD and (since is None or m.at >= since)]
    why = "a part pulled hot springs out of shape for good"
    do = "let it cool, and read the hottest place again"
    source = "under 40 to 50 °C; a resin maker's guide and a builder's account"
    if not read:
        return Gate(
            key="cool", step=step, holds=None, why=why, do="read the hottest place of the part, and write it down",
            what=f"how warm it is nobody has read; {shown(limit, '°C', 0)} or less is wanted", basis=Basis.PUBLISHED,
            source=source,
        )  # fmt: skip
    warm = read[-1].what.value
    return Gate(
        key="cool", step=step, holds=warm <= limit, why=why, do=do, basis=Basis.PUBLISHED, source=source,
        what=f"{shown(warm, '°C', 0)}; {shown(limit, '°C', 0)} or less is wanted",
    )  # fmt: skip


def _numbers(run: Cured, build: Build) -> str:
    """Return degree of cure and glass transition beside what is wanted."""
    plan, told = build.planned, []
    if run.cure is not None:
        wanted = f" of {shown(plan.cure, '%', 0)}" if plan.cure is not None else ""
        told.append(f"cured to {shown(run.cure, '%', 0)}{wanted}")
    if run.tg is not None:
        wanted = f" of {shown(plan.tg, '°C', 0)}" if plan.tg is not None else ""
        told.append(f"Tg {shown(run.tg, '°C', 0)}{wanted}")
    return f" ({', '.join(told)})" if told else ""
